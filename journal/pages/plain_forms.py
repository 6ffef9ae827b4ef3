"""What a form holds, as HTML to read: it stands in the place of the form until the form's module is there.

A form covers its plain text as soon as it is mounted (`browser/takeover.js` gives it a shadow tree), within the same
frame, so the text is seen only where the modules never arrive. It has what the journal has; nothing can be entered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from journal.language import digits
from journal.language.catalogue import _, _p
from journal.sections.escape import Html, tag
from journal.wording import numbers

PlainValues = Mapping[str, Any]
PlainRow = tuple[str, object]
"""A name and what is said of it. What is empty is left out."""


def plain(module: str, values: PlainValues, *, note: bool) -> Html | None:
    """A form as text, by the name of its module and the values that it gets. None if nothing is written in it.

    `note` says above it that it can only be read. A form that is all of its page has its heading and its main part.
    """
    if module not in _PARTS:
        return None
    offer = values["offer"]
    shown = [part for part in _PARTS[module](offer) if part is not None]
    if not shown:
        return None
    text = _("This page can be read, not written on: a part of it did not arrive. Load it again to write.")
    said = tag("p", text, class_="plain-note") if note else ""
    if module in _WHOLE:
        return tag("main", tag("h1", _WHOLE[module](offer)), said, *shown, class_="plain-form")
    return tag("div", said, *shown, class_="plain-form")


def _day(offer: PlainValues) -> Iterator[Html | None]:
    yield _titled("", [(field["label"], _field(field)) for field in offer["fields"]])
    yield from _written(offer)


def _evening(offer: PlainValues) -> Iterator[Html | None]:
    yield from _day(offer)
    yield _titled(_("One to remember"), [("", offer["memory"])])
    tomorrow = offer["tomorrow"]
    if tomorrow is not None:
        rows = [("", tomorrow["sun"]), *((field["label"], _field(field)) for field in tomorrow["fields"])]
        yield _titled(tomorrow["title"], rows)
        yield _titled(_("Appointments"), _appointments(tomorrow["appointments"]))
        yield _titled(_("Tasks"), _tasks(tomorrow["tasks"]))


def _written(offer: PlainValues) -> Iterator[Html | None]:
    """The parts that the page of a day and an evening share."""
    yield _titled(_("Appointments"), _appointments(offer["appointments"]))
    yield _titled(_("Tasks"), _tasks(offer["tasks"]))
    yield _titled(_("Habits"), [(habit["name"], _mark(habit)) for habit in offer["habits"]])
    yield _titled(_("Challenges"), [(one["name"], one["said"]) for one in offer["challenges"]])
    yield _titled(_("Good things"), [("", line) for line in offer["gratitude"]])
    yield _titled(_("Notes"), [("", line) for line in offer["notes"]])
    names = {category["key"]: category["name"] for category in offer["categories"]}
    for heading, strip in ((_("Hours as planned"), offer["planned"]), (_("Hours as they went"), offer["actual"])):
        yield _titled(heading, [(names.get(key, key), numbers.listed(spans)) for key, spans in strip.items()])


def _review(offer: PlainValues) -> Iterator[Html | None]:
    yield _titled(offer["title"], [(question["prompt"], question["answer"]) for question in offer["questions"]])
    yield _titled(_("Notes"), [("", line) for line in offer["notes"]])


def _ahead(offer: PlainValues) -> Iterator[Html | None]:
    for day in offer["days"]:
        yield _titled(day["title"], [*_appointments(day["appointments"]), *_tasks(day["tasks"]), ("", day["fit"])])


def _decisions(offer: PlainValues) -> Iterator[Html | None]:
    rows = [(habit["name"], numbers.joined([habit["schedule"], habit["note"]], ". ")) for habit in offer["habits"]]
    yield _titled(_("Habits"), rows)


def _settings(offer: PlainValues) -> Iterator[Html | None]:
    for section in offer["sections"]:
        rows = [_setting(offer["controls"][path], offer["singles"].get(path, "")) for path in section["fields"]]
        listed = offer["lists"].get(section["list"])
        for row in listed["rows"] if listed else ():
            rows.append(("", numbers.joined([row["values"][listed["name_key"]], row["rule_words"]], ", ")))
        yield _titled(section["title"], rows)


def _setting(control: PlainValues, value: str) -> PlainRow:
    named = {option["value"]: option["name"] for option in control["options"]}
    return control["label"], named.get(value, value)


_WHOLE: Mapping[str, Callable[[PlainValues], str]] = {
    "day": lambda offer: str(offer["title"]),
    "evening": lambda offer: str(offer["title"]),
    "settings": lambda _offer: _("Settings"),
}
"""Forms that are all of their page, and its heading. The other pages have it around their forms."""

_PARTS: Mapping[str, Callable[[PlainValues], Iterator[Html | None]]] = {
    "day": _day,
    "evening": _evening,
    "review": _review,
    "week_ahead": _ahead,
    "habit_decisions": _decisions,
    "settings": _settings,
}


def _titled(title: str, rows: Iterable[PlainRow]) -> Html | None:
    """A heading with its rows, None if they are all empty."""
    said = [(name, text) for name, text in rows if text]
    if not said:
        return None
    lines = [tag("li", tag("b", name) if name else "", " " if name else "", str(text)) for name, text in said]
    return tag("section", tag("h2", title) if title else "", tag("ul", *lines))


def _field(field: PlainValues) -> str:
    value = field["value"]
    if isinstance(value, str) or value is None:
        return value or ""
    word = next((step["word"] for step in field["steps"] if step["value"] == value), "")
    return numbers.joined([digits.number(value, 2), word or field["unit"]], " ")


def _mark(habit: PlainValues) -> str:
    mark = habit["mark"]
    if mark is None:
        return ""
    if mark == "rest":
        return _("rest")
    if isinstance(mark, bool):
        return _("done") if mark else _("not done")
    return numbers.joined([digits.number(mark, 2), habit["unit"]], " ")


def _tasks(tasks: Iterable[PlainValues]) -> list[PlainRow]:
    ended = {
        "done": _p("of a task", "done"),
        "carried": _p("of a task", "carried"),
        "dropped": _p("of a task", "dropped"),
    }
    return [("", numbers.joined([task["title"], ended.get(task["status"], "")], ", ")) for task in tasks]


def _appointments(appointments: Iterable[PlainValues]) -> list[PlainRow]:
    return [(numbers.joined([one["start"], one["end"]], "–"), one["title"]) for one in appointments]
