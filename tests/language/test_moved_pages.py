"""What is said around the notebooks in other languages: the entrance, controls, the manual, a server that changes."""

from __future__ import annotations

import gzip
import html
import json
import os
import re
import threading
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from journal import periods
from journal.language.languages import ENGLISH, GERMAN, LANGUAGES
from journal.language.spoken import speaking, spoken
from journal.pages import (
    book_widget,
    browser_opening,
    care_button,
    controls,
    entrance_pages,
    form_endpoints,
    manual,
    page_head,
    page_params,
    period_page,
    redirect_file,
    server,
    sight_frame,
)
from journal.pages.care_button import Closed
from journal.pages.entrance import Entrance
from journal.pages.first_sight import FirstSights
from journal.pages.kept_sights import KeptSights
from journal.pages.served_language import ServedLanguage
from journal.sections import cards, line_cards
from tests.language.test_moved_parts import NOW, PAGE, PSEUDO, SETTINGS, TODAY, foreign, shown_texts
from tests.pages.guarded import Behind, ask_at, guarded

WEEKS = [periods.parse(f"2025-W{week}", week_starts="monday") for week in (10, 11)]


def words_of(page: str) -> str:
    """The text of a page, and the names of its elements."""
    bare = re.sub(r"<(script|style)>.*?</\1>", "", page, flags=re.DOTALL)
    names = re.findall(r'(?:aria-label|placeholder|title)="([^"]*)"', bare)
    return html.unescape(" ".join([re.sub("<[^>]*>", " ", bare), *names])).strip()


def write(folder: Path, language: str, settings: str = SETTINGS) -> None:
    """A journal with Greek names, in a language. The file differs from any earlier one."""
    path = folder / "journal.toml"
    later = path.stat().st_mtime_ns + 10**9 if path.exists() else 10**18
    path.write_text(f'language = "{language}"\n{settings}', encoding="utf-8")
    os.utime(path, ns=(later, later))
    page = folder / f"{TODAY}.toml"
    page.write_text(f"mood = 4\n{PAGE}", encoding="utf-8")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    write(tmp_path, "en")
    monkeypatch.setenv(page_params.FOLDER, str(tmp_path))
    monkeypatch.setenv(page_params.TODAY, TODAY.isoformat())
    return tmp_path


def test_the_entrance_says_nothing_that_is_not_from_the_catalogue() -> None:
    told = (
        entrance_pages.NOT_HERE, entrance_pages.NO_SUCH_PAGE, entrance_pages.SIGN_IN, entrance_pages.SPENT,
        entrance_pages.WRONG,
    )  # fmt: skip
    with speaking(PSEUDO):
        pages = [entrance_pages.message(*text) for text in told]
        pages += [entrance_pages.sign_in(*text, "", renew=True) for text in told]
        pages += [entrance_pages.entered("/week", "key"), redirect_file._page("/enter", "token", "/week")]
    assert [word for page in pages for word in foreign(words_of(page)) if word != "XXXX"] == []
    assert all('<html lang="en-XA">' in page for page in pages)


def test_the_frame_of_the_manual_is_german_and_its_text_is_marked_as_english() -> None:
    english = manual.page(manual.FOLDER / manual.FIRST)
    with speaking(GERMAN):
        german = manual.page(manual.FOLDER / manual.FIRST)
    assert '<html lang="en">' in english
    assert ' lang="en"' not in english.partition("</head>")[2]
    assert '<html lang="de">' in german
    assert "Das Handbuch gibt es nur auf Englisch" in words_of(german)
    assert "Seiten des Handbuchs" in words_of(german)
    inside = re.search(r'<div lang="en">(.*)</div><p class="next">', german, re.DOTALL)
    assert inside is not None
    assert "<h1" in inside[1]


def test_a_page_has_its_language_and_its_title_before_any_script() -> None:
    notebooks = [(server.notebook_folder() / f"{page}.py").read_text(encoding="utf-8") for page in server.PAGES]
    titles = [match[1] for text in notebooks if (match := re.search(r'app_title="([^"]*)"', text))]
    assert titles == [sight_frame.TITLES[page] for page in server.PAGES]
    with speaking(GERMAN):
        heads = [sight_frame.page_html(page) for page in server.PAGES]
    assert [re.findall(r'lang="(\w+)"|<title>(\w+) · Duskbook</title>', head) for head in heads] == [
        [("de", ""), ("", name)] for name in ("Tag", "Abend", "Woche", "Monat", "Jahr", "Einstellungen")
    ]


def labels_of(element: Any) -> list[str]:
    """The labels of marimo's element, which has them as HTML."""
    return [words_of(json.loads(html.unescape(text))) for text in re.findall(r"data-label='([^']*)'", element.text)]


def test_controls_and_the_book_have_no_word_that_is_not_from_the_catalogue() -> None:
    with speaking(PSEUDO):
        elements = [
            *controls.arrows(WEEKS, lambda _move: None), controls.picker(WEEKS, WEEKS[1], lambda _week: None),
            controls.quantity({"mood": "Διάθεση"}, "mood", lambda _key: None),
        ]  # fmt: skip
        texts = [label for element in elements for label in labels_of(element)]
        assert len(texts) == 4
        texts += [words_of(care_button._closed(Closed({"mood": TODAY}, is_kept))) for is_kept in (True, False)]
        texts += [period_page.form_chapter(key)[1] for key in ("ahead", "lot", "book")]
        texts += [period_page.ahead_sentence(), book_widget.sentence()]
        offered = {"shown": True, "tasks": [{"kind": "undated"}] * 3, "more": 0}
        texts += [form_endpoints.jump_to_decide(offered)[0][1]]
    assert [(word, text) for text in texts for word in foreign(text)] == []


def test_labels_of_periods_have_their_gender() -> None:
    with speaking(GERMAN):
        periods_of = [[periods.parse(name, week_starts="monday")] for name in ("2025-W11", "2025-03", "2025")]
        arrows = [[*map(labels_of, controls.arrows(of, lambda _move: None))] for of in periods_of]
        links = [
            form_endpoints.jump_to_decide({"shown": True, "tasks": [{"kind": "routine"}] * count, "more": 0})
            for count in (1, 3)
        ]
    assert arrows == [
        [["← Frühere Woche"], ["Spätere Woche →"]],
        [["← Früherer Monat"], ["Späterer Monat →"]],
        [["← Früheres Jahr"], ["Späteres Jahr →"]],
    ]
    assert [text for ((_place, text),) in links] == ["1 Aufgabe zu entscheiden", "3 Aufgaben zu entscheiden"]


def test_what_she_wrote_is_of_no_known_language() -> None:
    with speaking(GERMAN):
        head = cards.header("week", "Νήμα", today=TODAY, on=TODAY)
        lines = pl.DataFrame({"date": [TODAY], "kind": ["memory"], "text": ["Το κερί"]})
        told = line_cards.memories(lines, nothing="")
    assert ' lang="">Νήμα</span>' in head
    assert '<span lang="">Το κερί</span>' in told


def test_the_head_has_the_texts_of_each_language() -> None:
    texts = page_head._texts()
    assert list(texts) == list(LANGUAGES)
    assert texts["en"]["ended"].startswith("The journal has ended.")
    assert texts["de"]["ended"].startswith("Das Journal ist beendet.")


def test_the_terminal_is_told_in_the_language_of_the_journal(folder: Path) -> None:
    told: list[str] = []
    with speaking(GERMAN):
        browser_opening.open_page("127.0.0.1:1", None, "ABCD", told.append)
        ways = Entrance(1, say=told.append)
        for _attempt in range(5):
            ways.spend_code("wrong")
    assert told == [
        "http://127.0.0.1:1/\nÖffne es in einem Browser und tippe den Code ABCD",
        (
            "5 falsche Codes wurden eingegeben. Wenn du das nicht warst, versucht ein anderes Programm, den Code zu "
            "erraten."
        ),
    ]


def test_the_guard_follows_the_language_of_the_journal(folder: Path) -> None:
    guard = guarded(Behind())
    guard.language = ServedLanguage(folder)
    said = []
    for language in ("en", "de", "en"):
        write(folder, language)
        said.append(ask_at(guard, "/").body)
    (folder / "journal.toml").unlink()
    said.append(ask_at(guard, "/").body)
    assert [re.findall(r'lang="(\w+)"', body) for body in said] == [["en"], ["de"], ["en"], ["en"]]
    assert ["Öffne das Journal mit dem Befehl" in body for body in said] == [False, True, False, False]
    assert spoken() == ENGLISH


def drawn(sights: FirstSights, page: str) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(gzip.decompress(sights.take(page, "").result(60)))
    return answer


PLACES = {
    "week": ("Stimmung 4", "Mood 4", "Frühere Woche"), "month": ("März 2025", "March 2025", "Früherer Monat"),
    "year": ("Stimmung im Jahr 2025", "Mood through 2025", "Späteres Jahr"),
}  # fmt: skip


def test_one_server_follows_the_language_of_the_journal_and_back(folder: Path) -> None:
    sights = FirstSights(server.notebook_folder())
    for language in ("en", "de", "en", "de"):
        write(folder, language)
        for page, (german, english, control) in PLACES.items():
            for _again in range(2):  # the second is a kept one
                sight = drawn(sights, page)
                shown = words_of(sight["html"])
                assert sight["language"] == language, page
                assert (german in shown, english in shown) == (language == "de", language == "en"), (page, language)
                assert (control in shown) == (language == "de"), page
    assert spoken() == ENGLISH


def test_nothing_that_was_kept_of_a_page_is_of_another_language(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with (folder / "journal.toml").open(encoding="utf-8") as file:
        prompts = f"{file.read()}[prompts]\n" + "".join(f'{kind} = ["Τι;"]\n' for kind in PLACES)
    (folder / "journal.toml").write_text(prompts, encoding="utf-8")
    sights = FirstSights(server.notebook_folder())
    for page in server.PAGES:
        drawn(sights, page)
    monkeypatch.setitem(LANGUAGES, "de", PSEUDO._replace(code="de"))
    write(folder, "de", prompts.partition("\n")[2])
    for page in server.PAGES:
        sight = drawn(sights, page)
        texts = [words_of(sight["html"]), *shown_texts(sight["forms"])]
        assert len(texts) > 10 or page == "settings", page
        assert {word for text in texts for word in foreign(text)} - OURS == set(), page


OURS = {"Duskbook", "ISO", "English", "Deutsch", "Europe", "Ljubljana"}
"""Names: of the project, a standard, languages and a time zone."""


def test_a_kept_first_sight_is_of_its_language(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept = KeptSights()
    states = []
    for language in ("en", "de"):
        write(folder, language)
        monkeypatch.setattr("journal.pages.kept_sights.file_watch.seen", lambda _folder: ())
        states.append(kept.state("month"))
    assert states[0] != states[1]


def test_a_thread_of_a_page_speaks_the_language_of_the_journal(folder: Path) -> None:
    write(folder, "de")
    heard = []

    def page() -> None:
        book = page_params.opened(folder, NOW)
        heard.append((spoken().code, form_endpoints.coming_day(book, TODAY)["title"]))

    thread = threading.Thread(target=page)
    thread.start()
    thread.join()
    assert heard == [("de", "Donnerstag, 13. März 2025")]
