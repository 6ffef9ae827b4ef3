"""A command asks the server that runs already; another program that has its port gets and gives nothing of use."""

from __future__ import annotations

import contextlib
import socket
import threading
import time
from collections.abc import Callable, Iterator
from urllib.parse import parse_qs

import pytest

from journal.pages import running_server
from journal.pages.entrance import Entrance, prove
from journal.pages.running_server import ask, is_there
from journal.pages.server_secrets import RunningServer, ServerSecrets

Answering = Callable[[str, int], bytes | None]
KEPT = ServerSecrets(prefix="p" * 32, drafts_key=b"d" * 32, proof_key=b"k" * 32)


@contextlib.contextmanager
def program(answering: Answering) -> Iterator[int]:
    """A program at a port that answers one request, of which it gets the body. None: it never answers."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port: int = listener.getsockname()[1]
        ended = threading.Event()

        def run() -> None:
            connection, _ = listener.accept()
            with connection:
                body = connection.recv(65_536).decode().partition("\r\n\r\n")[2]
                answer = answering(body, port)
                with contextlib.suppress(OSError):
                    if answer is None:
                        ended.wait(5)
                    else:
                        connection.sendall(b"HTTP/1.1 200 OK\r\n\r\n" + answer)

        thread = threading.Thread(target=run)
        thread.start()
        yield port
        ended.set()
        thread.join()


def granting(entrance: Entrance, at: int | None = None) -> Answering:
    """The answers of a server. `at` is its port if a program at another port passes the request on to it."""

    def answer(body: str, port: int) -> bytes:
        entrance.port = at or port
        fields = {name: values[0] for name, values in parse_qs(body).items()}
        return (entrance.grant(fields["nonce"], fields.get("to", ""), fields["proof"]) or "").encode()

    return answer


def test_a_server_of_this_start_grants_a_file_and_a_code() -> None:
    entrance = Entrance(0)
    with program(granting(entrance)) as port:
        granted = ask(RunningServer(port, "/journal", "", entrance.control_key), "/week/")
    assert granted is not None and granted.file is not None
    assert granted.file.exists() and granted.code == entrance.code
    entrance.close()
    assert not granted.file.exists()


def test_a_request_that_is_passed_on_to_a_server_at_another_port_is_refused() -> None:
    entrance = Entrance(0)
    before = entrance.code
    with program(granting(entrance, at=1)) as port:
        assert ask(RunningServer(port, "/journal", "", entrance.control_key)) is None
    assert entrance.code == before


@pytest.mark.parametrize("answer", [b"", b"0" * 64, b"0" * 64 + b" /etc/passwd", b"\xff\xfe", b"x" * 100_000])
def test_the_answer_of_another_program_is_not_believed(answer: bytes) -> None:
    heard: list[str] = []

    def answering(body: str, port: int) -> bytes:
        heard.append(body)
        return answer

    with program(answering) as port:
        assert ask(RunningServer(port, "/journal", "", b"c" * 32)) is None
    with program(answering) as port:
        assert not is_there(KEPT, port)
    assert [part in "".join(heard) for part in ("c" * 32, KEPT.prefix)] == [False, False]


def test_a_program_that_never_answers_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(running_server, "_SECONDS", 0.2)
    begun = time.monotonic()
    with program(lambda body, port: None) as port:
        assert ask(RunningServer(port, "/journal", "", b"c" * 32)) is None
        assert time.monotonic() - begun < 3


def test_an_ended_server_is_not_there() -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port: int = listener.getsockname()[1]
    assert ask(RunningServer(port, "/journal", "", b"c" * 32)) is None
    assert not is_there(KEPT, port)


@pytest.mark.parametrize(
    ("key", "at", "there"), [(KEPT.proof_key, 0, True), (b"x" * 32, 0, False), (KEPT.proof_key, 1, False)]
)
def test_a_server_is_known_by_the_journal_s_key_and_its_port(key: bytes, at: int, there: bool) -> None:
    def answering(nonce: str, port: int) -> bytes:
        return f"start {prove(key, 'proof', at or port, 'start', nonce)}".encode()

    with program(answering) as port:
        assert is_there(KEPT, port) == there
