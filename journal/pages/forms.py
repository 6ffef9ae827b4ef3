"""The pages' forms: each one widget with its own HTML, so that every control has a native role and name.

Their code is in `journal/pages/browser/`, native modules that `journal.pages.browser_modules` hands out. What a form
shows comes as an offer; what is typed comes back as one message when it is saved, never by itself.

    form = EveningForm(offer, {"day": ..., "save": ..., "fit": ..., "month": ..., "save_month": ...}, journal="...")

Each of the answers is a function from what the form sends to what it is told, both plain JSON values.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import anywidget
import traitlets

from journal.errors import JournalError
from journal.pages.browser_modules import BROWSER, widget_source

Plain = dict[str, Any]
"""What JSON calls an object."""

Responder = Callable[[Plain], Plain]

_FAULT = (
    "Something went wrong that is no fault of yours, and it is not certain what is saved. What you typed stays here."
)


class Form(anywidget.AnyWidget):
    """A form and its line to the journal. `journal` tells the drafts of one journal from those of another, and says
    nothing of its place."""

    _css = BROWSER / "forms.css"
    _module = ""  # the module of the form in `journal/pages/browser/`
    _renewing: tuple[str, ...] = ()  # the questions whose answer may be an offer that the form then shows
    offer = traitlets.Dict().tag(sync=True)
    journal = traitlets.Unicode().tag(sync=True)

    def __init__(self, offer: Plain, answers: Mapping[str, Responder], *, journal: str = "") -> None:
        self._esm = widget_source(self._module)  # which becomes a trait of the widget
        super().__init__(offer=offer, journal=journal)
        self._answers = dict(answers)
        self._known = offer
        self.on_msg(self._heard)

    def _tell(self, offer: Plain) -> None:
        """Tell the form of an offer that it did not ask for."""
        self._known = offer
        self.send({"news": True, "offer": offer})

    def _heard(self, _widget: object, message: Any, _buffers: object) -> None:
        answers = self._answers.get(str(message.get("ask"))) if isinstance(message, dict) else None
        if answers is None:
            return
        try:
            answer = answers(message.get("of") or {})
        except JournalError as error:
            answer = {"failed": str(error)}
        except Exception:
            # A fault of ours: the form says so at once and keeps what is typed, and the fault goes on to be seen.
            self.send({"id": message.get("id"), "failed": _FAULT})
            raise
        if message["ask"] in self._renewing and "offer" in answer:
            self._known = answer["offer"]
        self.send({"id": message.get("id"), **answer})


class EveningForm(Form):
    """The evening's form."""

    _module = "evening"
    _renewing = ("day", "save")

    @property
    def day(self) -> str:
        """The day whose evening is shown."""
        return str(self._known["day"])

    def told(self, offer: Plain) -> bool:
        """Tell the form of an offer that was made anew, where it is another than the form has of that day."""
        if offer["day"] != self.day or offer["base"] == self._known["base"]:
            return False
        self._tell(offer)
        return True


class TriageForm(Form):
    """The week's list of tasks to decide on. Its offer has `shown` beside what `evening.undecided` offers: whether the
    list belongs to the week that is looked at."""

    _module = "task_triage"
    _renewing = ("decide",)

    def told(self, offer: Plain) -> None:
        """Tell the list of an offer that was made anew, where it is another than it has."""
        if offer != self._known:
            self._tell(offer)
