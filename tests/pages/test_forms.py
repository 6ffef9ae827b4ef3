"""The forms' line to the journal."""

from __future__ import annotations

from typing import Any

import pytest

from journal.errors import UsageError
from journal.pages.forms import EveningForm, TriageForm


class Heard(EveningForm):
    """A form whose messages are kept."""

    def __init__(self, **answers: Any) -> None:
        self.sent: list[dict[str, Any]] = []
        super().__init__({"day": "2025-03-13", "base": "one"}, answers)

    def send(self, content: Any, buffers: Any = None) -> None:
        self.sent.append(content)

    def hear(self, message: object) -> None:
        self._heard(self, message, [])


def test_a_question_is_answered_with_its_number() -> None:
    sheet = Heard(fit=lambda of: {"fit": of["minutes"] * 2})
    sheet.hear({"id": 7, "ask": "fit", "of": {"minutes": 4}})
    assert sheet.sent == [{"id": 7, "fit": 8}]


@pytest.mark.parametrize("message", ["fit", None, {"ask": "delete"}, {"id": 1}, {"ask": ["fit"]}])
def test_what_is_no_question_is_passed_over(message: object) -> None:
    sheet = Heard(fit=lambda of: {"fit": of})
    sheet.hear(message)
    assert sheet.sent == []


def test_a_refusal_is_told_and_a_fault_is_told_and_seen() -> None:
    def refuse(of: dict[str, Any]) -> dict[str, Any]:
        raise UsageError("2026-01-01 is still to come")

    def fail(of: dict[str, Any]) -> dict[str, Any]:
        raise KeyError("broken")

    sheet = Heard(day=refuse, save=fail)
    sheet.hear({"id": 1, "ask": "day"})
    assert sheet.sent == [{"id": 1, "failed": "2026-01-01 is still to come"}]
    with pytest.raises(KeyError):
        sheet.hear({"id": 2, "ask": "save"})
    assert sheet.sent[1]["id"] == 2
    assert "What you typed stays here" in sheet.sent[1]["failed"]


def test_only_another_offer_of_the_day_shown_is_told() -> None:
    sheet = Heard(day=lambda of: {"offer": {"day": of["day"], "base": "two"}})
    assert not sheet.told({"day": "2025-03-13", "base": "one"})
    assert not sheet.told({"day": "2025-03-12", "base": "new"})
    sheet.hear({"id": 1, "ask": "day", "of": {"day": "2025-03-12"}})
    assert sheet.day == "2025-03-12"
    assert sheet.told({"day": "2025-03-12", "base": "new"})
    assert sheet.sent[-1] == {"news": True, "offer": {"day": "2025-03-12", "base": "new"}}


def test_the_list_to_decide_on_is_told_of_every_other_offer() -> None:
    class HeardList(TriageForm):
        def send(self, content: Any, buffers: Any = None) -> None:
            sent.append(content)

    sent: list[dict[str, Any]] = []
    here, hidden = {"base": "one", "shown": True}, {"base": "one", "shown": False}
    after = {"base": "two", "shown": True}
    widget = HeardList(here, {"decide": lambda of: {"answer": of, "offer": after}})
    widget.told(here)
    widget.told(hidden)
    widget._heard(widget, {"id": 1, "ask": "decide", "of": {"decisions": []}}, [])
    widget.told(after)
    assert sent == [{"news": True, "offer": hidden}, {"id": 1, "answer": {"decisions": []}, "offer": after}]
