"""A form that has things made beside the page: one after the other, each asked for and answered by its number."""

from __future__ import annotations

import logging
import queue
import threading
from typing import Any

import pytest

from journal.errors import UsageError
from journal.pages.background_form import FAULT, Making, Tell
from journal.pages.forms import Plain


class Heard(Making):
    """A form whose messages are kept in their order."""

    def __init__(self, **makes: Any) -> None:
        self.sent: queue.Queue[tuple[Plain, list[bytes] | None]] = queue.Queue()
        super().__init__({}, makes)

    def send(self, content: Any, buffers: Any = None) -> None:
        self.sent.put((content, buffers))

    def hear(self, number: int, ask: str, **of: Any) -> None:
        self._heard(self, {"id": number, "ask": ask, "of": of}, [])

    def told(self) -> tuple[Plain, list[bytes] | None]:
        return self.sent.get(timeout=20)

    def answer(self) -> tuple[Plain, list[bytes] | None]:
        """The next message that is an answer."""
        message = self.told()
        return message if "working" not in message[0] else self.answer()


def test_what_is_done_is_told_and_a_file_comes_along() -> None:
    def bind(of: Plain, tell: Tell) -> tuple[Plain, bytes]:
        tell(f"Setting {of['year']}")
        return {"name": "book.pdf"}, b"%PDF"

    form = Heard(bind=bind)
    form.hear(3, "bind", year=2025)
    assert [form.told() for _ in range(4)] == [
        ({"id": 3, "working": ""}, None),
        ({"id": 3, "working": "Setting 2025"}, None),
        ({"id": 3, "working": ""}, None),
        ({"id": 3, "name": "book.pdf"}, [b"%PDF"]),
    ]


def test_one_is_made_after_the_other_and_the_page_does_not_wait() -> None:
    go, begun = threading.Event(), []

    def slow(of: Plain, tell: Tell) -> tuple[Plain, None]:
        begun.append(of["nth"])
        assert go.wait(20)
        return {"nth": of["nth"], "begun": len(begun)}, None

    form = Heard(slow=slow)
    for nth in (1, 2, 3):
        form.hear(nth, "slow", nth=nth)  # returns, though nothing can be made yet
    go.set()
    assert [form.answer()[0] for _ in range(3)] == [{"id": nth, "nth": nth, "begun": nth} for nth in (1, 2, 3)]
    form.hear(4, "slow", nth=4)
    assert form.answer()[0] == {"id": 4, "nth": 4, "begun": 4}


def test_a_refusal_and_a_fault_are_a_line_each_and_stop_nothing(caplog: pytest.LogCaptureFixture) -> None:
    def make(of: Plain, tell: Tell) -> tuple[Plain, None]:
        if of["nth"] == 1:
            raise UsageError("there is no such habit")
        if of["nth"] == 2:
            raise ZeroDivisionError("ours")
        return {"made": True}, None

    form = Heard(make=make)
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


def test_nothing_is_sent_to_a_page_that_was_left() -> None:
    ended, left = threading.Event(), threading.Event()

    def make(of: Plain, tell: Tell) -> tuple[Plain, None]:
        assert ended.wait(20)
        try:
            tell("Counting")
        finally:
            left.set()
        return {"made": True}, None

    forms: list[Heard] = []
    session = threading.Thread(target=lambda: forms.append(Heard(make=make)))
    session.start()
    session.join()
    forms[0].hear(1, "make")
    ended.set()
    assert left.wait(20)
    assert forms[0].told()[0] == {"id": 1, "working": ""} and forms[0].sent.empty()


@pytest.mark.parametrize("message", ["make", None, {"ask": "delete"}, {"id": 1}])
def test_what_is_no_question_is_passed_over(message: object) -> None:
    form = Heard(make=lambda of, tell: ({}, None))
    form._heard(form, message, [])
    assert form.sent.empty()
