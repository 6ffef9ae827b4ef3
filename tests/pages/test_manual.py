"""The manual: as files and as pages, with links that work in both, and nothing that runs or is fetched."""

from __future__ import annotations

import re
from pathlib import Path

import html5lib
import markdown_it
import pytest

import journal
from journal.folder.check_settings import FORMAT
from journal.pages import manual
from journal.pages.guard import Guard
from tests import documents
from tests.pages.guarded import ORIGIN, Behind, ask, cookie, guarded

PAGES = {path.name: path for path in documents.MANUAL}
XHTML = "{http://www.w3.org/1999/xhtml}"


@pytest.fixture
def behind() -> Behind:
    return Behind()


@pytest.fixture
def guard(behind: Behind) -> Guard:
    return guarded(behind, ("evening", "week"))


def read(name: str) -> str:
    found = manual.reply(name)
    assert found is not None
    return found.text


def elements(html: str, *names: str) -> list[tuple[str, dict[str, str], str]]:
    """The elements of some names, by the standard's own parser: each with its attributes and its text."""
    whole = html5lib.HTMLParser(strict=True).parse(html)
    return [
        (one.tag.removeprefix(XHTML), dict(one.attrib), " ".join("".join(one.itertext()).split()))
        for one in whole.iter()
        if isinstance(one.tag, str) and one.tag.removeprefix(XHTML) in names
    ]


def test_the_first_page_leads_to_every_page_and_to_no_other() -> None:
    assert sorted(manual.order()) == sorted(PAGES)
    assert manual.order()[0] == "index.md"


def test_the_list_of_changes_begins_with_this_version_and_its_format() -> None:
    (newest, *_) = re.findall(r"^## (.+)$", (manual.FOLDER / "changes.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert newest == f"{journal.__version__}, journals of format {FORMAT}"


@pytest.mark.parametrize("name", PAGES)
def test_a_page_has_the_ways_to_all_and_marks_its_own(name: str) -> None:
    html = read(name)
    ways = [attributes for _, attributes, _ in elements(html, "a")][: len(PAGES)]
    assert [one["href"] for one in ways] == manual.order()
    assert [one["href"] for one in ways if one.get("aria-current") == "page"] == [name]
    (title,) = [text for _, _, text in elements(html, "h1")]
    assert [text for _, _, text in elements(html, "title")] == [f"{title} · Duskbook manual"]


@pytest.mark.parametrize("name", PAGES)
def test_every_link_of_a_page_leads_somewhere(name: str) -> None:
    for _, attributes, text in elements(read(name), "a"):
        target, _, place = attributes["href"].partition("#")
        assert text
        if target.startswith("https://"):
            assert attributes["rel"] == "noreferrer"
            continue
        there = read(target or name)
        if place:
            assert place in {found["id"] for _, found, _ in elements(there, "h1", "h2", "h3")}


@pytest.mark.parametrize("name", PAGES)
def test_a_heading_has_the_address_that_a_code_host_gives_it(name: str) -> None:
    titles = [documents.slug(title) for _, title in documents.headings(documents.text(PAGES[name]))]
    ids = [found["id"] for _, found, _ in elements(read(name), "h1", "h2", "h3")]
    assert ids and [one for one in ids if not re.search(r"_\d+$", one)] == list(dict.fromkeys(titles))


@pytest.mark.parametrize("name", PAGES)
def test_it_reads_as_commonmark_has_it(name: str) -> None:
    """So that a code host shows the same words, lists and tables as the page."""
    text = documents.text(PAGES[name])
    other = markdown_it.MarkdownIt("commonmark").enable("table").render(text)
    names = ("h1", "h2", "h3", "p", "li", "td", "th", "pre", "code", "em", "strong", "a")
    ours = [(tag, words) for tag, _, words in elements(f"<!doctype html>{manual.body_html(text)}", *names)]
    assert len(ours) > 10 and ours == [(tag, words) for tag, _, words in elements(f"<!doctype html>{other}", *names)]


@pytest.mark.parametrize("name", PAGES)
def test_there_is_no_html_in_the_text_and_nothing_in_the_page_that_is_fetched_but_the_style(name: str) -> None:
    text = re.sub(r"```.*?```|`[^`]*`", "", documents.text(PAGES[name]), flags=re.DOTALL)
    assert not re.search(r"<[a-zA-Z/!]", text)
    loaded = elements(read(name), "script", "img", "iframe", "link", "style", "object", "embed", "form")
    assert [(tag, found["href"]) for tag, found, _ in loaded] == [("link", "style.css"), ("link", "/favicon.ico")]


def test_its_style_is_the_journals_and_its_own_and_fetches_nothing() -> None:
    found = manual.reply("style.css")
    assert found is not None and found.media == "text/css; charset=utf-8"
    folder = Path(manual.__file__).parent
    for sheet in ("style.css", "manual.css"):
        assert (folder / sheet).read_text(encoding="utf-8") in found.text
    assert not re.search(r"url\(|@import", found.text)


def test_wide_parts_scroll_by_themselves() -> None:
    html = read("folder.md")
    assert html.count('<div class="tabular" tabindex="0"') == html.count("<table>") > 10
    assert html.count('<pre tabindex="0">') == html.count("<pre") > 3


# Behind the door ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["", *PAGES, "style.css"])
def test_it_opens_for_whoever_may_see_the_pages(guard: Guard, behind: Behind, name: str) -> None:
    answer = ask(guard, f"/manual/{name}", cookie=cookie(guard))
    assert (answer.status, answer.body) == (200, read(name))
    policy = dict(part.split(" ", 1) for part in answer.headers["content-security-policy"].split("; "))
    assert policy["default-src"] == policy["script-src"] == policy["connect-src"] == "'none'"
    assert policy["form-action"] == policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert policy["style-src"] == policy["img-src"] == "'self'"
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert not behind.reached


@pytest.mark.parametrize("path", ["/manual", "/manual/", "/manual/folder.md", "/manual/style.css"])
def test_it_is_shut_without_the_cookie(guard: Guard, path: str) -> None:
    assert ask(guard, path).status == 403
    assert ask(guard, path, cookie="duskbook_8420=wrong").status == 403
    assert ask(guard, path, cookie=cookie(guard), host="evil.example").status == 421
    assert ask(guard, path, cookie=cookie(guard), sec_fetch_site="cross-site", sec_fetch_mode="no-cors").status == 403


def test_its_short_address_leads_to_its_first_page(guard: Guard) -> None:
    answer = ask(guard, "/manual", cookie=cookie(guard))
    assert (answer.status, answer.headers["location"]) == (303, f"/{guard.prefix}/manual/")


OUTSIDE = [
    "../settings.py", "..", ".", "../manual/folder.md", "./folder.md", "/etc/passwd", "folder.md/", "folder",
    "FOLDER.MD", "style.css/..", "manual.css", "..\\settings.py", "%2e%2e/settings.py", "folder.md\0", "sub/folder.md",
]  # fmt: skip


@pytest.mark.parametrize("name", OUTSIDE)
def test_nothing_but_its_own_files_is_read(guard: Guard, behind: Behind, name: str) -> None:
    assert manual.reply(name) is None
    assert ask(guard, f"/manual/{name}", cookie=cookie(guard)).status == 404
    assert not behind.reached


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS"])
def test_it_is_only_read(guard: Guard, method: str) -> None:
    answer = ask(guard, "/manual/folder.md", method=method, cookie=cookie(guard), origin=ORIGIN)
    assert answer.status == 404
    assert ask(guard, "/manual/folder.md", method="HEAD", cookie=cookie(guard)).status == 200


def test_a_name_that_only_begins_alike_is_none(guard: Guard) -> None:
    assert ask(guard, "/manuals/folder.md", cookie=cookie(guard)).status == 404
