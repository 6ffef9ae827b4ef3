"""The background form: requests are handled one after the other and answered by their number."""

from __future__ import annotations

import logging
import queue
import threading
from typing import Any

import pytest

from journal.errors import UsageError
from journal.pages.background_form import FAULT, BackgroundForm, Tell
from journal.pages.forms import JsonObject


class RecordingForm(BackgroundForm):
    """A form that records its messages in order."""

    def __init__(self, **makes: Any) -> None:
        self.sent: queue.Queue[tuple[JsonObject, list[bytes] | None]] = queue.Queue()
        super().__init__({}, makes)

    def send(self, content: Any, buffers: Any = None) -> None:
        self.sent.put((content, buffers))

    def hear(self, number: int, ask: str, **of: Any) -> None:
        self._receive(self, {"id": number, "ask": ask, "of": of}, [])

    def next_message(self) -> tuple[JsonObject, list[bytes] | None]:
        return self.sent.get(timeout=20)

    def answer(self) -> tuple[JsonObject, list[bytes] | None]:
        """The next message that is an answer, not progress."""
        message = self.next_message()
        return message if "working" not in message[0] else self.answer()


def test_progress_is_sent_and_a_file_comes_with_the_answer() -> None:
    def bind(of: JsonObject, tell: Tell) -> tuple[JsonObject, bytes]:
        tell(f"Setting {of['year']}")
        return {"name": "book.pdf"}, b"%PDF"

    form = RecordingForm(bind=bind)
    form.hear(3, "bind", year=2025)
    assert [form.next_message() for _ in range(4)] == [
        ({"id": 3, "working": ""}, None),
        ({"id": 3, "working": "Setting 2025"}, None),
        ({"id": 3, "working": ""}, None),
        ({"id": 3, "name": "book.pdf"}, [b"%PDF"]),
    ]


def test_requests_run_one_after_the_other_without_blocking_the_page() -> None:
    go, begun = threading.Event(), []

    def slow(of: JsonObject, tell: Tell) -> tuple[JsonObject, None]:
        begun.append(of["nth"])
        assert go.wait(20)
        return {"nth": of["nth"], "begun": len(begun)}, None

    form = RecordingForm(slow=slow)
    for nth in (1, 2, 3):
        form.hear(nth, "slow", nth=nth)  # returns at once, though the handler is blocked
    go.set()
    assert [form.answer()[0] for _ in range(3)] == [{"id": nth, "nth": nth, "begun": nth} for nth in (1, 2, 3)]
    form.hear(4, "slow", nth=4)
    assert form.answer()[0] == {"id": 4, "nth": 4, "begun": 4}


def test_an_error_and_a_bug_are_one_line_each_and_do_not_stop_the_queue(caplog: pytest.LogCaptureFixture) -> None:
    def make(of: JsonObject, tell: Tell) -> tuple[JsonObject, None]:
        if of["nth"] == 1:
            raise UsageError("there is no such habit")
        if of["nth"] == 2:
            raise ZeroDivisionError("ours")
        return {"made": True}, None

    form = RecordingForm(make=make)
    with caplog.at_level(logging.ERROR):
        for nth in (1, 2, 3):
            form.hear(nth, "make", nth=nth)
        answers = [form.answer()[0] for _ in range(3)]
    assert answers == [
        {"id": 1, "failed": "there is no such habit"},
        {"id": 2, "failed": FAULT},
        {"id": 3, "made": True},
    ]
    assert "ZeroDivisionError: ours" in caplog.text


def test_nothing_is_sent_to_a_closed_page() -> None:
    ended, left = threading.Event(), threading.Event()

    def make(of: JsonObject, tell: Tell) -> tuple[JsonObject, None]:
        assert ended.wait(20)
        try:
            tell("Counting")
        finally:
            left.set()
        return {"made": True}, None

    forms: list[RecordingForm] = []
    session = threading.Thread(target=lambda: forms.append(RecordingForm(make=make)))
    session.start()
    session.join()
    forms[0].hear(1, "make")
    ended.set()
    assert left.wait(20)
    assert forms[0].next_message()[0] == {"id": 1, "working": ""} and forms[0].sent.empty()


@pytest.mark.parametrize("message", ["make", None, {"ask": "delete"}, {"id": 1}])
def test_an_invalid_message_is_ignored(message: object) -> None:
    form = RecordingForm(make=lambda of, tell: ({}, None))
    form._receive(form, message, [])
    assert form.sent.empty()
