"""The pages' forms: each one widget with its own HTML, so that every control has a native role and name.

Their code is in `journal/pages/browser/`; `journal.pages.browser_modules` serves it. A form gets its content as an
offer. It sends the entered values as one message when the user saves, never on its own.

    form = EveningForm(offer, {"day": ..., "save": ..., "fit": ..., "month": ..., "save_month": ...}, journal="...")

Each handler maps the parameters of a request to its answer. Both are JSON objects.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, cast

import msgspec

from journal.errors import GoneError, JournalError, UsageError
from journal.language.catalogue import N_, _
from journal.pages import elements, marimo_library, sight_context

if TYPE_CHECKING:
    from journal.pages.form_widget import FormWidget

JsonObject = dict[str, Any]
"""A JSON object."""

Responder = Callable[[JsonObject], JsonObject]

_FAULT = N_("Something went wrong in Duskbook, and it is not certain what was saved. What you typed stays here.")


_GONE = N_("Nothing is saved: the folder of this journal is gone. Bring it back, then save again.")


def failure(error: JournalError) -> str:
    """Why a request of a page was not answered. The page was open, so a missing journal has vanished since."""
    return _(_GONE) if isinstance(error, GoneError) else str(error)


class Form:
    """A form and its message channel. `journal` distinguishes the drafts of different journals without revealing the
    folder. In a session it is a widget (`form_widget`); in a first sight nobody answers yet."""

    _module = ""  # the module of the form in `journal/pages/browser/`
    _renewing: tuple[str, ...] = ()  # the requests whose answer may contain an offer that the form then shows

    def __init__(self, offer: JsonObject, answers: Mapping[str, Responder], *, journal: str = "") -> None:
        self.offer = self._last_offer = offer
        self._answers = dict(answers)
        self._element: Any = None
        self.widget: FormWidget | None = None
        if sight_context.is_drawing():
            self._element = elements.sight_widget(self._module, {"offer": offer, "journal": journal})
            return
        from journal.pages.form_widget import FormWidget  # noqa: PLC0415 - imports anywidget

        self.widget = FormWidget(self._module, self._receive, offer=offer, journal=journal)

    def _display_(self) -> Any:
        """The element that marimo shows. For a bare widget marimo makes one itself, and never frees it."""
        if self._element is None:
            self._element = marimo_library.imported().ui.anywidget(self.widget)
        return self._element

    def send(self, content: JsonObject, buffers: list[bytes] | None = None) -> None:
        """Send a message to the form in the browser, if there is one yet."""
        if self.widget is not None:
            self.widget.send(content, buffers)

    def push_offer(self, offer: JsonObject) -> bool:
        """Send the form a new offer, of the same thing or another, if it differs. Returns whether it was sent."""
        if not self._is_news(offer):
            return False
        self._send_offer(offer)
        return True

    def _send_offer(self, offer: JsonObject) -> None:
        """Send the form an offer that it did not request."""
        self._last_offer = offer
        self.send({"news": True, "offer": offer})

    def _is_news(self, offer: JsonObject) -> bool:
        return offer != self._last_offer

    def _receive(self, _widget: object, message: Any, _buffers: object) -> None:
        handler = self._answers.get(str(message.get("ask"))) if isinstance(message, dict) else None
        if handler is None:
            return
        try:
            sent = message.get("of") or {}
            if not isinstance(sent, dict):
                raise UsageError(_("what was sent is no form; open the page anew"))
            answer = handler(sent)
        except JournalError as error:
            answer = {"failed": failure(error)}
        except Exception:
            # A bug: the form shows it and keeps the entered values, and the exception propagates to the log.
            self.send({"id": message.get("id"), "failed": _(_FAULT)})
            raise
        if message["ask"] in self._renewing and "offer" in answer:
            self._last_offer = answer["offer"]
        self.send(sendable({"id": message.get("id"), **answer}))


def sendable(message: JsonObject) -> JsonObject:
    r"""A message without half characters, which a page may send and no answer can hold: a sign stands for each.

    >>> sendable({"said": "there is no day \ud800"})["said"] == "there is no day \ufffd"
    True
    """
    try:
        msgspec.json.encode(message)
    except UnicodeEncodeError:
        text = json.dumps(message, ensure_ascii=False).encode("utf-16", "surrogatepass").decode("utf-16", "replace")
        return cast("JsonObject", json.loads(text))
    return message


class EveningForm(Form):
    """The evening's form."""

    _module = "evening"
    _renewing = ("day", "save", "saved", "back")

    @property
    def day(self) -> str:
        """The day whose evening is shown."""
        return str(self._last_offer["day"])

    def _is_news(self, offer: JsonObject) -> bool:
        """Whether an offer is for the day shown, and its pages or habits differ."""
        is_same = all(offer.get(name) == self._last_offer.get(name) for name in ("base", "habits"))
        return offer["day"] == self.day and not is_same


class DayForm(Form):
    """The page of a day. Its edits are saved one by one."""

    _module = "day"
    _renewing = ("day", "edit", "undo")

    @property
    def day(self) -> str:
        """The day shown."""
        return str(self._last_offer["day"])

    def _is_news(self, offer: JsonObject) -> bool:
        """Whether an offer is for the day shown, and differs in more than the time."""
        return offer["day"] == self.day and offer | {"now": None} != self._last_offer | {"now": None}


class ReviewForm(Form):
    """The review of a week, month or year: its prompts, each with a field, and notes."""

    _module = "review"
    _renewing = ("save", "back")


class HabitDecisions(Form):
    """The grid of a month: its habits with their days and numbers, and what becomes of each. Its offer is that of
    `setup.decision_form`, plus `grid`: that of `sections.habit_grids.month`."""

    _module = "habit_decisions"
    _renewing = ("decide",)


class TimeOff(Form):
    """The list of time off, folded. Its offer is that of `setup.time_off_form`."""

    _module = "time_off"
    _renewing = ("save", "back")


class SettingsForm(Form):
    """The settings: every field of journal.toml."""

    _module = "settings"
    _renewing = ("save", "back", "mend")


class TriageForm(Form):
    """The week's list of tasks to decide on. Its offer is that of `evening.triage_list`, plus `shown`: whether the
    page's week has the list."""

    _module = "task_triage"
    _renewing = ("decide", "back")


class WeekAheadForm(Form):
    """The days to come, with the tasks to put on one of them. Its offer is that of `planning.week_ahead`, plus `shown`:
    whether the page's week has it."""

    _module = "week_ahead"
    _renewing = ("put", "back")


class PageCopies(Form):
    """The copies of pages that lie in the folder, each to look at and to merge. Its offer has the copies as those of
    `saving.merge_copy.offers`; without any the form shows nothing."""

    _module = "page_copies"
    _renewing = ("merge", "put_away", "back")


class DayPictures(Form):
    """The pictures of a day, each saved as it is added or given a caption. Its offer is that of
    `planning.day_pictures`, with the address of each picture."""

    _module = "day_pictures"
    _renewing = ("add", "caption", "off", "back")


class PaperSheets(Form):
    """A place to drop photographs of sheets. Its requests are those of `paper.paper_form`; nothing is written before
    the last of them."""

    _module = "paper_sheets"


class EarlierStates(Form):
    """The earlier states of some pages, folded, each to look at and to bring back. Its offer has the pages as those of
    `saving.earlier_states.offer`; the states are asked for when it is opened."""

    _module = "earlier_states"
