"""Controls of the pages: buttons to an earlier or later period, and lists of periods and habits.

marimo's button and dropdown become a native button and select, with accessible names. marimo renders labels as
Markdown, so labels never contain the user's own text. Options are plain text and may.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any, NamedTuple

from journal import periods
from journal.language.catalogue import N_, _
from journal.language.languages import Language
from journal.language.spoken import spoken
from journal.pages import elements
from journal.periods import Period, PeriodKind
from journal.sections import page_chapters
from journal.sections.escape import Html, join, tag
from journal.wording import dates

_PAUSE_MS = 300


class _Labels(NamedTuple):
    """The labels of the controls that choose a period."""

    list: str
    earlier: str
    later: str


_LABELS: Mapping[PeriodKind, _Labels] = {
    "day": _Labels(N_("Day"), N_("← Earlier day"), N_("Later day →")),
    "week": _Labels(N_("Week"), N_("← Earlier week"), N_("Later week →")),
    "month": _Labels(N_("Month"), N_("← Earlier month"), N_("Later month →")),
    "year": _Labels(N_("Year"), N_("← Earlier year"), N_("Later year →")),
}


def arrows(choices: Sequence[Period], move: Callable[[Callable[[Period], Period]], None]) -> tuple[Any, Any]:
    """The buttons to the previous and to the next period.

    `move` updates a state of the notebook by a function of its current value. So the buttons are not recreated, and
    keep the focus, when the period changes.
    """
    labels = _LABELS[choices[0].kind]

    def button(label: str, by: int) -> Any:
        return elements.button(
            label, lambda _count: move(lambda period: neighbour(period, by, choices)), every_press=True
        )

    return button(_(labels.earlier), -1), button(_(labels.later), 1)


def picker(choices: Iterable[Period], chosen: Period, choose: Callable[[Period], None]) -> Any:
    """The list of periods, newest first, with the chosen one selected."""
    newest_first = sorted({*choices, chosen}, key=lambda period: period.first, reverse=True)
    by_title = _by_title(spoken(), tuple(newest_first))
    return elements.dropdown(
        list(by_title),
        value=dates.title(chosen),
        label=_(_LABELS[chosen.kind].list),
        on_change=lambda title: choose(by_title[title]),
    )


@functools.lru_cache(maxsize=8)  # each page asks again, and fifty years have 2,600 weeks
def _by_title(_language: Language, choices: tuple[Period, ...]) -> Mapping[str, Period]:
    """The periods by their titles in the language, which is the spoken one."""
    return MappingProxyType({dates.title(period): period for period in choices})


def quantity(names: Mapping[str, str], chosen: str, choose: Callable[[str], None]) -> Any:
    """The list of quantities that can colour a year. `names` maps keys to names; equal names show their keys."""
    by_label: dict[str, str] = {}
    for key, name in names.items():
        by_label[name if name not in by_label else f"{name} ({key})"] = key
    first = next((label for label, key in by_label.items() if key == chosen), next(iter(by_label)))
    return elements.dropdown(
        list(by_label), value=first, label=_("Show"), on_change=lambda label: choose(by_label[label])
    )


def search_field() -> Any:
    """The search field. It takes effect a moment after the last key."""
    return elements.text_field(
        label=_("Find in every line"), placeholder=_("a word, or part of one"), debounce=_PAUSE_MS
    )


def neighbour(period: Period, by: int, choices: Iterable[Period]) -> Period:
    """The period before (-1) or after (1) `period`, or `period` itself at either end of the choices.

    >>> march, april = (periods.parse(name, week_starts="monday") for name in ("2025-03", "2025-04"))
    >>> neighbour(march, 1, [march, april]).key, neighbour(april, 1, [march, april]).key
    ('2025-04', '2025-04')
    """
    target = periods.before(period) if by < 0 else periods.after(period)
    bounds = [*choices, period]
    return target if min(bounds).first <= target.first <= max(bounds).first else period


def row(*parts: Any) -> Any:
    """Controls side by side, wrapped on narrow pages."""
    return elements.html(f'<div class="controls">{"".join(part.text for part in parts)}</div>')


def place(name: str, *parts: object) -> Any:
    """Parts of the top of a page, at the place of that name in the style sheet. The name is their id."""
    return elements.html(str(tag("div", *map(_html, parts), class_="top", id=name)))


def chapter(key: str, sentence: str, form: Any, opened: Collection[str], *below: object, hidden: bool = False) -> Any:
    """A chapter that holds a form, after those of `page_chapters.walk`. It is there while folded or hidden. `below` is
    what follows the form. Each has an element of its own, so that the form stays when `below` changes."""
    inside = join(tag("div", *map(_html, parts)) for parts in ((form,), below))
    folded = page_chapters.folded(key, sentence, inside, key in opened)
    return elements.html(str(tag("div", folded, class_="walk after", hidden=hidden)))


def show(*parts: object) -> Any:
    """Parts of a page as the output of a notebook cell. Plain text among them is escaped."""
    return elements.html(str(join(map(_html, parts))))


def _html(part: object) -> object:
    """A widget or other element of marimo as HTML. Text and HTML of ours stay as they are."""
    return part if isinstance(part, str) else Html(elements.as_html(part))
