"""The manual as HTML pages, rendered on request from the Markdown files of `journal/manual`.

The files link to each other by file name, so the same links work in an editor, on a code host and here.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

from journal.language.catalogue import _
from journal.language.languages import ENGLISH
from journal.language.spoken import spoken
from journal.sections.escape import Html, entity, tag

FOLDER = Path(__file__).parents[1] / "manual"
FIRST = "index.md"
STYLE = "style.css"
POLICY = (
    "default-src 'none'; script-src 'none'; style-src 'self'; img-src 'self'; connect-src 'none'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)
"""Content security policy: one style sheet and an icon, both from this server, and no scripts."""

_SHEETS = ("style.css", "manual.css")
_TITLE = re.compile(r"^# (.+)$", re.MULTILINE)
_LINKED = re.compile(r"\]\(([a-z-]+\.md)\)")
# Tables and listings may be wider than a phone's screen: they scroll on their own, also by keyboard.
_SCROLLING = (
    ("<table>", '<div class="tabular" tabindex="0" role="group" aria-label="{table}"><table>'),
    ("</table>", "</table></div>"),
    ("<pre>", '<pre tabindex="0">'),
    ('<a href="https:', '<a rel="noreferrer" href="https:'),
)


class ManualReply(NamedTuple):
    """The answer to a request: media type and text."""

    media: str
    text: str


def reply(name: str) -> ManualReply | None:
    """The page or style sheet of a name, or None for an unknown name. "" is the first page.

    The name is looked up among the existing files and never becomes part of a path.

    >>> reply("index.md").media, reply("../settings.py"), reply("") == reply("index.md")
    ('text/html; charset=utf-8', None, True)
    """
    if name == STYLE:
        text = "\n".join((Path(__file__).parent / sheet).read_text(encoding="utf-8") for sheet in _SHEETS)
        return ManualReply("text/css; charset=utf-8", text)
    file = {path.name: path for path in FOLDER.glob("*.md")}.get(name or FIRST)
    return None if file is None else ManualReply("text/html; charset=utf-8", page(file))


def order() -> list[str]:
    """The names of the pages, in the order of the links on the first page."""
    return list(dict.fromkeys([FIRST, *_LINKED.findall(_text(FIRST))]))


def page(path: Path) -> Html:
    """A page of the manual as HTML: navigation, then its text."""
    pages = order()
    # The manual is English. In another language its frame says so, and a screen reader reads the manual as English.
    english = None if spoken() == ENGLISH else ENGLISH.code
    note = tag("p", _("The manual is in English only."), class_="quiet") if english else None
    links = [
        tag("a", _title(name), href=name, lang=english, aria_current="page" if name == path.name else None)
        for name in pages
    ]
    following = pages[pages.index(path.name) + 1 :][:1]
    ahead = [
        tag("p", _("Next:"), " ", tag("a", _title(name), href=name, lang=english), class_="next") for name in following
    ]
    head = (
        '<meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="light dark">'
        f'<link rel="stylesheet" href="{STYLE}"><link rel="icon" href="/favicon.ico" type="image/svg+xml">'
    )
    body = tag(
        "div",
        tag("header", tag("p", "Duskbook", class_="wordmark"), class_="masthead"),
        tag("nav", *links, class_="contents", aria_label=_("Pages of the manual")),
        tag("main", note, _in_english(body_html(path.read_text(encoding="utf-8")), english), *ahead, class_="manual"),
        class_="output",
    )
    title = tag("title", _("{page} · Duskbook manual", page=_title(path.name)))
    return Html(
        f'<!doctype html><html lang="{spoken().code}"><head>{head}{title}</head>'
        f'<body class="published">{body}</body></html>'
    )


def body_html(text: str) -> Html:
    """Markdown of the manual as HTML. Headings have the same anchors as on a code host.

    >>> print(body_html("## A day, in full"))
    <h2 id="a-day-in-full">A day, in full</h2>
    """
    import markdown  # noqa: PLC0415 - only the manual needs it

    made = markdown.markdown(text, extensions=["tables", "fenced_code", "toc", "sane_lists"], output_format="html")
    for plain, scrolling in _SCROLLING:
        made = made.replace(plain, scrolling.replace("{table}", entity(_("Table"))))
    return Html(made)


def _in_english(text: Html, code: str | None) -> Html:
    """The text of the manual, with its language where that is not the page's."""
    return text if code is None else tag("div", text, lang=code)


def _title(name: str) -> str:
    match = _TITLE.search(_text(name))
    return match[1] if match else name


def _text(name: str) -> str:
    return (FOLDER / name).read_text(encoding="utf-8")
