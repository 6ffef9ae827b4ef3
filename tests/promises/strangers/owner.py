"""The owner of a journal: a home folder that everybody may enter, a journal, its server, and a Chromium on it."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import signal
import subprocess
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import msgspec
from playwright.sync_api import BrowserContext, Page, Playwright

from journal.pages import server_secrets
from journal.pages.entrance_pages import WINDOW_KEY
from tests.browser.evenings import Evening
from tests.chromium import ARGUMENTS, chromium
from tests.promises.strangers.users import User, processes_of

SITES = ("site.example", "rebound.example", "other.localhost")
_TOKEN = 43  # characters of the value that the server gives
_FIELD = re.compile(r'name="(token|to)" value="([^"]*)"')
_BROWSER = """#!/bin/sh
# A browser as the command starts it: it is in the list of processes with what it was given, for a while.
echo "$1" > "$HOME/opened.part" && mv "$HOME/opened.part" "$HOME/opened"
exec sleep 4 </dev/null >/dev/null 2>&1
"""
_CHROMIUM = """#!/bin/sh
# The last argument is an empty page, in whose place stands what the command has opened the browser with.
left=$#
while [ $left -gt 1 ]; do set -- "$@" "$1"; shift; left=$((left - 1)); done
shift
exec setpriv --reuid {uid} --regid {uid} --groups {shared} env -i HOME={home} PATH=/usr/bin:/bin LANG=C.UTF-8 \
{chromium} "$@" "$(cat {home}/opened)"
"""
_BEGIN = "import pathlib, sys; from tests.browser.evenings import begin; begin(pathlib.Path(sys.argv[1]))"


class Owner:
    """`base` is a folder that everybody may enter. `without` names protections that are taken away (`removed`)."""

    def __init__(self, user: User, base: Path, without: Sequence[str], descriptors: int | None = None) -> None:
        self.user = user
        self.base = base
        self.without = tuple(without)
        self.folder = user.home / "journal"
        self.port = 0
        self.saves = 0
        self.descriptors = descriptors
        self.used: list[dict[str, str]] = []
        self.context: BrowserContext | None = None
        self._write_script(user.home / "browser", _BROWSER)
        code, output = self.command("start", str(self.folder), "--yes")
        assert code == 0, output
        code, output = user.run([user.python, "-c", _BEGIN, str(self.folder)])
        assert code == 0, output
        if "private files" in self.without:
            subprocess.run(["chmod", "-R", "go+rX", str(self.folder)], check=True)

    def command(self, *arguments: str, seconds: float = 60, **options: Any) -> tuple[int, str]:
        """Run a `duskbook` command as the owner."""
        return self.user.run(self.arguments(*arguments), seconds=seconds, **options)

    def arguments(self, *arguments: str) -> list[str]:
        if self.without:
            removing = [f"--without={name}" for name in self.without]
            return [self.user.python, "-m", "tests.promises.strangers.removed", *removing, *arguments]
        return [self.user.python, "-m", "journal", *arguments]

    # The server.

    def start_server(self) -> None:
        """Start it as the command does, up to the moment in which the browser is opened."""
        (self.user.home / "opened").unlink(missing_ok=True)
        command = self.arguments("evening", str(self.folder), "--port", str(self.port))
        if self.descriptors:
            command = ["/bin/sh", "-c", f'ulimit -n {self.descriptors}; exec "$@"', "sh", *command]
        self.errors = (self.base / "server-errors").open("a+", encoding="utf-8")
        self.process = self.user.start(
            command, stdout=subprocess.PIPE, stderr=self.errors,
            env=self.user.environment({"BROWSER": f"{self.user.home}/browser %s &"}),
        )  # fmt: skip
        assert self.process.stdout is not None
        self.origin = next((line for line in self.process.stdout if line.startswith("http://")), "").strip().rstrip("/")
        assert self.origin, (self.base / "server-errors").read_text()
        self.code = self.process.stdout.readline().split()[-1]
        self.host, _, port = self.origin.removeprefix("http://").rpartition(":")
        self.port = int(port)
        self.redirect = self._opened()
        kept = (self.folder / ".cache" / server_secrets.NAME).read_bytes()
        self.secrets = msgspec.json.decode(kept, type=server_secrets.ServerSecrets)
        self.root = f"{self.origin}/{self.secrets.prefix}"
        page = self.redirect.read_text().replace("&#45;", "-").replace("&#95;", "_").replace("&#47;", "/")
        self.used.append(dict(_FIELD.findall(page)))

    def _opened(self) -> Path:
        opened = self.user.home / "opened"
        for _ in range(3000):
            if opened.exists():
                return Path(opened.read_text().strip().removeprefix("file://").partition("#")[0])
            time.sleep(0.01)
        raise AssertionError("the command has opened no browser")

    def end_server(self) -> int:
        self.process.send_signal(signal.SIGINT)
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.process.communicate(timeout=20)
        self.process.kill()
        return self.process.wait()

    def private_texts(self) -> list[str]:
        """What nobody else may learn: the ways in, the keys, and the owner's words."""
        running = self.secrets.running
        keys = [self.secrets.drafts_key.hex(), self.secrets.proof_key.hex()]
        keys += [running.control_key.hex()] if running else []
        tokens = [fields["token"] for fields in self.used]
        return [self.secrets.prefix, *tokens, *keys, *self.session(), "Cook wheat paste", "Kept by the owner"]

    def session(self) -> list[str]:
        """The value of the cookie and the window key, once the browser is in."""
        if self.context is None:
            return []
        named = [one for one in self.context.cookies(f"{self.root}/") if one.get("name") == self.cookie]
        cookies = [str(one.get("value")) for one in named if len(str(one.get("value"))) == _TOKEN]  # not a stranger's
        return [*cookies, str(self.window.evaluate("(name) => localStorage.getItem(name)", WINDOW_KEY) or "-")]

    @property
    def cookie(self) -> str:
        return f"duskbook_{self.port}"

    # The browser.

    def start_browser(self, playwright: Playwright) -> None:
        """Start Chromium with the file that the command opened, and wait for the evening."""
        wrapper = self.base / "chromium"
        values = {"uid": self.user.uid, "shared": self.user.shared, "home": self.user.home, "chromium": chromium()}
        self._write_script(wrapper, _CHROMIUM.format(**values))
        profile = self.user.home / "profile"
        profile.mkdir(mode=0o700)  # as Chromium makes it
        os.chown(profile, self.user.uid, self.user.uid)
        rules = ", ".join(f"MAP {name} 127.0.0.1" for name in SITES if name.endswith("example"))
        self.context = playwright.chromium.launch_persistent_context(
            str(profile), executable_path=str(wrapper),
            args=[*ARGUMENTS, f"--host-resolver-rules={rules}"],
        )  # fmt: skip
        self.context.set_default_timeout(30_000)
        until = time.monotonic() + 60
        while time.monotonic() < until:
            found = [page for page in self.context.pages if page.url.startswith(f"{self.origin}/")]
            if found and found[0].url.startswith(self.root):
                self.window = found[0]
                Evening(self.window)
                return
            self.context.pages[0].wait_for_timeout(100)
        raise AssertionError(f"the browser is not in: {[page.url for page in self.context.pages]}")

    def end_browser(self) -> None:
        if self.context is not None:
            self.context.close()
            self.context = None

    def new_page(self) -> Page:
        assert self.context is not None
        return self.context.new_page()

    def let_in(self) -> None:
        """Open the file of a new start in the browser, as the command does."""
        self.window.goto(self.redirect.as_uri(), wait_until="commit")
        self.window.wait_for_url(f"{self.root}/**", wait_until="commit")
        Evening(self.window)

    def works(self, *, reload: bool = False) -> str:
        """Save a line in the open window, after a reload if asked. Gives what failed, or nothing."""
        self.saves += 1
        text = f"Kept by the owner {self.saves}."
        try:
            if reload:
                self.window.goto(f"{self.root}/evening/", wait_until="commit")
            evening = Evening(self.window)
            evening.field("Good thing 1").fill(text)
            evening.save("Saved to")
        except Exception as error:
            return f"no save: {str(error).partition(chr(10))[0]}"
        saved = any(text in page.read_text() for page in self.folder.rglob("*.toml"))
        return "" if saved else "told as saved, but on no page"

    def processes(self) -> list[int]:
        """All processes of the owner."""
        return processes_of(self.user.uid)

    def _write_script(self, path: Path, text: str) -> None:
        path.write_text(text, encoding="utf-8")
        path.chmod(0o755)

    def end(self) -> None:
        with contextlib.suppress(Exception):
            self.end_browser()
        if hasattr(self, "process") and self.process.poll() is None:
            self.end_server()
        for process in self.processes():
            with contextlib.suppress(ProcessLookupError):
                os.kill(process, signal.SIGKILL)
        with contextlib.suppress(AttributeError):
            shutil.rmtree(self.redirect.parent, ignore_errors=True)
