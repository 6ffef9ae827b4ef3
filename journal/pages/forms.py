"""The pages' forms: each one widget with its own HTML, so that every control has a native role and name.

They are readable JavaScript in `journal/pages/browser/`, joined into the one module that a widget is served as. What a
form shows comes as an offer; what is typed comes back as one message when it is saved, never by itself.

    form = EveningForm(offer, {"day": ..., "save": ..., "fit": ..., "month": ..., "save_month": ...}, journal="...")

Each of the answers is a function from what the form sends to what it is told, both plain JSON values.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from journal.errors import JournalError

Plain = dict[str, Any]
"""What JSON calls an object."""

Responder = Callable[[Plain], Plain]

_FAULT = (
    "Something went wrong that is no fault of yours, and it is not certain what is saved. What you typed stays here."
)
_FOLDER = Path(__file__).parent / "browser"
_IMPORT = re.compile(r'^import \{(?P<names>[^}]*)\} from "\./(?P<module>\w+)\.js";$', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function|const) (\w+))", re.MULTILINE)


def joined(folder: Path = _FOLDER, last: str = "page") -> str:
    """The modules of the form as one, each in a scope of its own and after those that it imports; `last` is the one
    that exports the widget.

    An import of names in braces from "./other.js", and an export before a function or a constant, is all they use.

    Raises ValueError where modules import each other in a ring.
    """
    scopes: dict[str, str] = {}

    def take(name: str, above: tuple[str, ...]) -> str:
        if name in above:
            raise ValueError(f"{name}.js imports itself by way of {', '.join(above[above.index(name) :])}")
        text = (folder / f"{name}.js").read_text(encoding="utf-8")
        for found in _IMPORT.finditer(text):
            if found["module"] not in scopes:
                scopes[found["module"]] = _scope(found["module"], take(found["module"], (*above, name)))
        return _IMPORT.sub(r"const {\g<names>} = \g<module>_js;", text)

    whole = take(last, ())
    return "\n".join([*scopes.values(), f"// {last}.js", whole])


def _scope(name: str, text: str) -> str:
    given = ", ".join(_EXPORT.findall(text))
    return f"// {name}.js\nconst {name}_js = (() => {{\n{_EXPORT.sub('', text)}\nreturn {{ {given} }};\n}})();\n"


class Form(anywidget.AnyWidget):
    """A form and its line to the journal. `journal` tells the drafts of one journal from those of another, and says
    nothing of its place."""

    _css = _FOLDER / "sheet.css"
    _renewing: tuple[str, ...] = ()  # the questions whose answer may be an offer that the form then shows
    offer = traitlets.Dict().tag(sync=True)
    journal = traitlets.Unicode().tag(sync=True)

    def __init__(self, offer: Plain, answers: Mapping[str, Responder], *, journal: str = "") -> None:
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

    _esm = joined()
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

    _esm = joined(last="undecided")
    _renewing = ("decide",)

    def told(self, offer: Plain) -> None:
        """Tell the list of an offer that was made anew, where it is another than it has."""
        if offer != self._known:
            self._tell(offer)
