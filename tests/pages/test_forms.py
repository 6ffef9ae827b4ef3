"""The message channel of the forms."""

from __future__ import annotations

from typing import Any

import pytest

from journal.errors import GoneError, UsageError
from journal.pages.forms import EveningForm, TriageForm


class RecordingForm(EveningForm):
    """A form that records its messages."""

    def __init__(self, **answers: Any) -> None:
        self.sent: list[dict[str, Any]] = []
        super().__init__({"day": "2025-03-13", "base": "one"}, answers)

    def send(self, content: Any, buffers: Any = None) -> None:
        self.sent.append(content)

    def hear(self, message: object) -> None:
        self._receive(self, message, [])


def test_a_request_is_answered_with_its_number() -> None:
    sheet = RecordingForm(fit=lambda of: {"fit": of["minutes"] * 2})
    sheet.hear({"id": 7, "ask": "fit", "of": {"minutes": 4}})
    assert sheet.sent == [{"id": 7, "fit": 8}]


@pytest.mark.parametrize("message", ["fit", None, {"ask": "delete"}, {"id": 1}, {"ask": ["fit"]}])
def test_an_invalid_message_is_ignored(message: object) -> None:
    sheet = RecordingForm(fit=lambda of: {"fit": of})
    sheet.hear(message)
    assert sheet.sent == []


def test_errors_are_sent_and_bugs_are_also_raised() -> None:
    def refuse(of: dict[str, Any]) -> dict[str, Any]:
        raise UsageError("2026-01-01 is still to come")

    def fail(of: dict[str, Any]) -> dict[str, Any]:
        raise KeyError("broken")

    def vanish(of: dict[str, Any]) -> dict[str, Any]:
        raise GoneError('there is no folder "journal"; begin a journal with "duskbook start journal"')

    sheet = RecordingForm(day=refuse, save=fail, fit=vanish)
    sheet.hear({"id": 3, "ask": "fit"})
    assert sheet.sent.pop()["failed"].startswith("Nothing is saved: the folder of this journal is gone.")
    sheet.hear({"id": 1, "ask": "day"})
    assert sheet.sent == [{"id": 1, "failed": "2026-01-01 is still to come"}]
    with pytest.raises(KeyError):
        sheet.hear({"id": 2, "ask": "save"})
    assert sheet.sent[1]["id"] == 2
    assert "What you typed stays here" in sheet.sent[1]["failed"]


def test_only_a_different_offer_of_the_day_shown_is_sent() -> None:
    sheet = RecordingForm(day=lambda of: {"offer": {"day": of["day"], "base": "two"}})
    assert not sheet.push_offer({"day": "2025-03-13", "base": "one"})
    assert not sheet.push_offer({"day": "2025-03-12", "base": "new"})
    sheet.hear({"id": 1, "ask": "day", "of": {"day": "2025-03-12"}})
    assert sheet.day == "2025-03-12"
    assert sheet.push_offer({"day": "2025-03-12", "base": "new"})
    assert sheet.sent[-1] == {"news": True, "offer": {"day": "2025-03-12", "base": "new"}}
    resting = {"day": "2025-03-12", "base": "new", "habits": [{"key": "walk", "off": True}]}  # time off in journal.toml
    assert [sheet.push_offer(resting), sheet.push_offer(resting)] == [True, False]


def test_the_triage_list_gets_every_different_offer() -> None:
    class RecordingList(TriageForm):
        def send(self, content: Any, buffers: Any = None) -> None:
            sent.append(content)

    sent: list[dict[str, Any]] = []
    here, hidden = {"base": "one", "shown": True}, {"base": "one", "shown": False}
    after = {"base": "two", "shown": True}
    widget = RecordingList(here, {"decide": lambda of: {"answer": of, "offer": after}})
    widget.push_offer(here)
    widget.push_offer(hidden)
    widget._receive(widget, {"id": 1, "ask": "decide", "of": {"decisions": []}}, [])
    widget.push_offer(after)
    assert sent == [{"news": True, "offer": hidden}, {"id": 1, "answer": {"decisions": []}, "offer": after}]
