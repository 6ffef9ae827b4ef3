"""A real server, attacked from other processes: lists of processes, a token used twice, other cookies, connections."""

from __future__ import annotations

import contextlib
import http.client
import os
import re
import selectors
import signal
import socket
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, ClassVar
from urllib.parse import urlencode

import pytest

from tests.browser.evenings import begin
from tests.entering import read_announced
from tests.promises.strangers import try_port

pytestmark = [
    pytest.mark.xdist_group("attacked"),
    pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="another system has no list of processes in /proc"),
]

PROJECT = Path(__file__).parents[2]
DESCRIPTORS = 160  # that the server may open
IDLE = 600

# A browser that only keeps what it is opened with, and stays in the list of processes for a while.
BROWSER = """#!/bin/sh
exec >/dev/null 2>&1
cp "${1#file://}" "$KEPT/redirect.html"
echo "$1" > "$KEPT/opened"
sleep 3
"""


class Command:
    """A `duskbook` command with such a browser, and few file descriptors."""

    def __init__(self, kept: Path, page: str, folder: Path, *options: str) -> None:
        self.kept = kept
        self.environment = {
            **os.environ, "XDG_RUNTIME_DIR": str(kept / "runtime"), "KEPT": str(kept), "PYTHONUNBUFFERED": "1",
            "BROWSER": f"{kept / 'browser'} %s &",
        }  # fmt: skip
        command = [sys.executable, "-m", "journal", page, str(folder), *options]
        with (kept / "stderr").open("ab") as stderr:
            self.process = subprocess.Popen(
                ["/bin/sh", "-c", f'ulimit -n {DESCRIPTORS}; exec "$@"', "sh", *command],
                cwd=PROJECT, env=self.environment, stdout=subprocess.PIPE, stderr=stderr, text=True,
            )  # fmt: skip
        self.address, self.code = read_announced(self.process)
        self.port = int(self.address.rstrip("/").rpartition(":")[2])

    def redirect(self) -> tuple[str, dict[str, str]]:
        """What the browser was opened with, and the fields of the file that it was then given."""
        opened = self.kept / "opened"
        for _ in range(500):
            if opened.exists() and opened.stat().st_size:
                break
            time.sleep(0.01)
        page = (
            (self.kept / "redirect.html").read_text().replace("&#45;", "-").replace("&#95;", "_").replace("&#47;", "/")
        )
        return opened.read_text().strip(), dict(re.findall(r'name="(\w+)" value="([^"]*)"', page))


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    kept = tmp_path_factory.mktemp("kept")
    (kept / "runtime").mkdir(mode=0o700)
    (kept / "browser").write_text(BROWSER)
    (kept / "browser").chmod(0o755)
    return kept


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("journal")
    begin(folder)
    return folder


@pytest.fixture(scope="module")
def server(kept: Path, folder: Path) -> Iterator[Command]:
    command = Command(kept, "week", folder, "--port", str(_free_port()))
    yield command
    for window in Window.all:
        window.connection.close()
    command.process.send_signal(signal.SIGINT)
    command.process.communicate(timeout=30)
    assert command.process.returncode == 0
    assert list((kept / "runtime").iterdir()) == []
    assert (kept / "stderr").read_text() == "", "no attack is worth a line"


class Window:
    """The owner's browser: it keeps a connection, the cookie and the path."""

    all: ClassVar[list[Window]] = []

    def __init__(self, port: int) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
        self.path = self.cookie = ""
        self.all.append(self)

    def enter(self, fields: dict[str, str], origin: str = "null") -> int:
        self.connection.request("POST", "/enter", urlencode(fields), {"Origin": origin})
        answer = self.connection.getresponse()
        found = re.search(r"location\.replace\(\"(.*?)\"\)", answer.read().decode())
        self.path = found[1] if found else self.path
        self.cookie = (answer.getheader("Set-Cookie") or self.cookie).partition(";")[0]
        return answer.status

    def get(self, cookie: str = "") -> int:
        headers = {"Cookie": cookie or self.cookie}
        self.connection.request("GET", self.path, headers=headers)
        try:
            answer = self.connection.getresponse()
        except http.client.RemoteDisconnected:  # nothing was asked for some seconds; a browser asks again too
            self.connection.request("GET", self.path, headers=headers)
            answer = self.connection.getresponse()
        answer.read()
        return answer.status


@pytest.fixture(scope="module")
def window(server: Command) -> Window:
    """Let in by the file that the command opened."""
    opened, fields = server.redirect()
    file = Path(opened.removeprefix("file://"))
    assert opened.startswith("file:///") and "open-journal" in opened
    assert stat.S_IMODE(file.stat().st_mode) == 0o600 and stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    listed = _processes()
    assert any(opened in line for line in listed), "the browser is in the list"
    assert [line for line in listed if fields["token"] in line] == []
    entered = Window(server.port)
    assert entered.enter(fields) == 200
    assert not file.parent.exists(), "removed when its token is spent"
    assert [line for line in _processes() if entered.cookie.partition("=")[2] in line or entered.path in line] == []
    return entered


def test_the_token_is_in_no_list_of_processes_and_opens_once(server: Command, window: Window) -> None:
    assert window.path.endswith("/week/") and window.get() == 200
    _, fields = server.redirect()
    stranger = Window(server.port)
    assert stranger.enter(fields) == 403
    assert (stranger.path, stranger.cookie) == ("", "")


def test_the_command_run_again_opens_another_browser_and_ends(
    server: Command, window: Window, kept: Path, folder: Path
) -> None:
    (kept / "opened").unlink()
    again = Command(kept, "month", folder)
    assert again.process.stdout is not None
    with again.process.stdout as stdout:
        rest = stdout.read()  # `communicate` would miss what was read ahead with the lines before
    again.process.wait(timeout=30)
    assert (again.process.returncode, again.port) == (0, server.port)
    assert rest == "The journal is open already, in another terminal. This terminal is free again.\n"
    _, fields = again.redirect()
    other = Window(server.port)
    assert other.enter(fields) == 200 and other.path == window.path.replace("/week/", "/month/")
    by_code = Window(server.port)
    assert by_code.enter({"code": again.code}, server.address.rstrip("/")) == 200
    assert [entered.get() for entered in (other, by_code, window)] == [200, 200, 200]


def test_cookies_of_other_programs_do_no_harm(window: Window) -> None:
    many = "; ".join(f"c{number}={'x' * 4000}" for number in range(179))  # all that a browser keeps of one host
    for others in ('user={"name":"Ana"}', '"', f"x={'y' * 16_000}", many):
        assert window.get(f"{others}; {window.cookie}") == window.get(f"{window.cookie}; {others}") == 200
    assert window.get('user={"name":"Ana"}') == 403


def test_idle_connections_neither_shut_the_owner_out_nor_pile_up(server: Command, window: Window) -> None:
    assert window.get() == 200
    with contextlib.ExitStack() as ending:
        idle = [ending.enter_context(_connected(server.port)) for _ in range(IDLE)]
        begun = time.monotonic()
        fresh = Window(server.port)
        fresh.path, fresh.cookie = window.path, window.cookie
        assert (window.get(), fresh.get()) == (200, 200)
        assert time.monotonic() - begun < 5
        descriptors = len(list(Path(f"/proc/{server.process.pid}/fd").iterdir()))
        assert descriptors < DESCRIPTORS - 20
        assert sum(_is_open(one) for one in idle) <= 64
        for one in idle[-20:]:
            with contextlib.suppress(OSError):
                one.sendall(b"GET / HTTP/1.1\r\nHost: x\r\nX-Slow: ")
        assert window.get() == 200
    assert window.get() == 200


def test_whatever_a_stranger_guesses_opens_nothing(server: Command, window: Window) -> None:
    """A part of `tests.promises.strangers`, without another user id and without a browser."""
    place: dict[str, Any] = {"port": server.port, "host": "127.0.0.1"}
    secrets = [window.path.split("/")[1], window.cookie.partition("=")[2]]
    _, fields = server.redirect()
    given = [
        try_port.guess_paths(**place, count=80, seed=11, secrets=secrets),
        try_port.replay(**place, fields=[fields, {"code": server.code}, {"key": "x"}]),
        *(guess(**place, count=16) for guess in (try_port.guess_codes, try_port.guess_tokens, try_port.guess_proofs)),
        try_port.use_cookie(**place, prefix=secrets[0], cookies=[window.cookie], keys=["x" * 43]),
        try_port.take(server.port),
    ]
    assert [one["got"] for one in given] == [[]] * 7
    assert window.get() == 200


def _processes() -> list[str]:
    """The command lines of all processes, as any user can list them."""
    lines = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        with contextlib.suppress(OSError):
            lines.append(path.read_bytes().replace(b"\0", b" ").decode(errors="replace"))
    return lines


def _connected(port: int) -> socket.socket:
    return socket.create_connection(("127.0.0.1", port), timeout=10)


def _is_open(connection: socket.socket) -> bool:
    """Whether the other end has not closed a connection on which nothing was sent."""
    with selectors.DefaultSelector() as selector:
        selector.register(connection, selectors.EVENT_READ)
        return not selector.select(0)


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port: int = found.getsockname()[1]
        return port
