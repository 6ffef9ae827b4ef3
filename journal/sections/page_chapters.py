"""The chapters of a page: folded, each headed by the sentence that its figures say, and drawn when it is open.

    told = [mood_cards.chapter(book, month), sleep_cards.chapter(book, month)]
    walk(told, {"mood"})

A page has the same chapters in the same order for every period. So the browser keeps its elements, and with them the
focus and the scroll position, when the period changes or a chapter opens.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from functools import cache
from typing import NamedTuple

from journal.charts.figure import Figure
from journal.language.catalogue import N_, _
from journal.sections.cards import figure
from journal.sections.escape import Html, join, tag


class PageChapter(NamedTuple):
    """A chapter of a page. `key` is its key in addresses and in the browser's storage, `name` its name in the list.

    `sentence` is its heading and must be cheap. `draw` returns the inside; it runs once, when the chapter is opened.
    """

    key: str
    name: str
    sentence: object
    draw: Callable[[], Html]


def told(key: str, name: str, sentence: object, draw: Callable[[], Html]) -> PageChapter:
    """A chapter whose inside is drawn at most once.

    >>> mood = told("mood", "Mood", "Mood was 3.5 on average.", lambda: tag("p", "drawn"))
    >>> print(mood.draw())
    <p>drawn</p>
    """
    return PageChapter(key, name, sentence, cache(draw))


def of_figure(name: str, drawn: Figure) -> PageChapter:
    """A chapter of one figure: its title is the sentence."""
    return told(drawn.key, name, drawn.title, lambda: figure(drawn, headed=False))


def walk(chapters: Sequence[PageChapter], opened: Collection[str], *, after: Iterable[tuple[str, str]] = ()) -> Html:
    """The list of chapters and the chapters, drawn where they are open. `after` has the key and name of chapters that
    follow elsewhere on the page, for the list.

    >>> shown = walk([told("mood", "Mood", "Mood was 3.5.", lambda: tag("p", "drawn"))], [])
    >>> "Mood was 3&#46;5" in shown, "drawn" in shown
    (True, False)
    """
    names = [*((chapter.key, chapter.name) for chapter in chapters), *after]
    drawn = [
        folded(chapter.key, chapter.sentence, _inside(chapter, opened), chapter.key in opened) for chapter in chapters
    ]
    return tag("div", _list(names, opened), tag("div", *drawn, class_="chapters"), class_="walk", id="chapters")


def folded(key: str, sentence: object, inside: object, open_: bool = False) -> Html:
    """A chapter as a disclosure: the heading opens and closes it."""
    summary = tag("summary", tag("h2", sentence))
    return tag(
        "details",
        summary,
        tag("div", inside, class_="inside"),
        class_="chapter",
        id=f"chapter-{key}",
        data_chapter=key,
        open=open_,
    )


def _inside(chapter: PageChapter, opened: Collection[str]) -> Html:
    return chapter.draw() if chapter.key in opened else drawing()


def _list(names: Iterable[tuple[str, str]], opened: Collection[str]) -> Html:
    items = [
        tag("li", tag("a", name, href=f"#chapter-{key}", data_goes=f"chapter-{key}", class_=_mark(key in opened)))
        for key, name in names
    ]
    every = [tag("button", _(text), type="button", data_every=key) for key, text in _EVERY]
    return tag("nav", tag("ul", *items), tag("p", *every), class_="chapter-list", aria_label=_("Chapters"))


def _mark(is_open: bool) -> str | None:
    return "open" if is_open else None


def drawing() -> Html:
    """In place of what is drawn when a chapter is opened. The browser asks again while an open chapter has it."""
    return tag("p", _("Drawing …"), class_="quiet drawing-now")


_EVERY = (("open", N_("Open all")), ("fold", N_("Fold all")))


def jumps(places: Iterable[tuple[str, object]]) -> Html:
    """Links to places of the page: their ids and texts. Empty without a place."""
    links = [tag("a", text, href=f"#{place}", data_goes=place) for place, text in places]
    return join([tag("nav", *links, class_="jumps", aria_label=_("On this page"))]) if links else Html("")
