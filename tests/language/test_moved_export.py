"""The words of exports: each is from the catalogue, German has its plurals and cases, and longer words have room."""

from __future__ import annotations

import datetime as dt
import errno
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import icalendar
import msgspec
import pytest

from journal import Journal
from journal.errors import ExportError, UsageError
from journal.export import (
    audience,
    book,
    day_photos,
    html,
    missing_glyphs,
    page_previews,
    retrospective,
    sheets,
    text,
    write_files,
)
from journal.export import calendar as calendar_file
from journal.export.chapters import tasks_and_links
from journal.export.document import Facts, Grid, Picture
from journal.export.export_cache import Asked, Edition
from journal.export.formats import FORMATS
from journal.export.year_document import contents
from journal.folder import atomic_write
from journal.language.catalogue import texts as catalogue_texts
from journal.language.languages import ENGLISH, GERMAN, Language
from journal.language.spoken import speaking
from journal.wording import entries
from tests.export.printed import leaves, read
from tests.export.small_documents import picture
from tests.language.greek_exports import TODAY, greek, shown, with_one_drawing, without_drawings
from tests.language.test_moved_parts import PSEUDO, foreign

__all__ = ["greek"]  # a fixture

FILE = re.compile(r"[\w-]+\.(png|jpg)|BMJ")  # and the name of a magazine, whose letters have no accents


def strange(texts: Iterable[str]) -> list[tuple[str, str]]:
    """The words that are not from the catalogue, each with its text."""
    return [(word, one) for one in texts for word in foreign(FILE.sub("", one))]


def test_text_files_are_from_the_catalogue(greek: Journal) -> None:
    with speaking(PSEUDO):
        files = text.text(greek, dt.date.min, dt.date.max) | text.undated(greek.undated.tasks, greek.settings)
    said = "\n".join(data.decode() for data in files.values())
    assert set(files) == {"2025-03.md", "2025-12.md", "undated.md"}
    assert said.count("##") > 30
    assert strange(said.splitlines()) == []


def test_the_year_is_from_the_catalogue_in_html_and_print(greek: Journal) -> None:
    steps: list[str] = []
    with speaking(PSEUDO):
        document = with_one_drawing(retrospective.document(greek, 2025, "me", progress=steps.append))
        page = html.html(document).decode()
        printed = book.make(document)
        previews = page_previews.leaves("book", printed.words)
    assert len(list(shown(document.chapters))) > 60
    assert strange([*shown(document.chapters), *steps, *(leaf.said for leaf in previews)]) == []
    read_out = re.findall(r'(?:aria-label|alt)="([^"]*)"', page)
    seen = re.sub(r"<[^>]+>", "\n", re.sub(r"(?s)<style>.*?</style>", "", page)).splitlines()
    assert strange([*read_out, *seen]) == []
    assert strange(leaf.text for leaf in leaves(printed.data)) == []


def test_a_year_without_a_page_is_from_the_catalogue(greek: Journal) -> None:
    with speaking(PSEUDO):
        assert strange(shown(contents(greek, 2031).chapters)) == []


def test_the_report_of_a_trial_has_headings_from_the_catalogue(greek: Journal) -> None:
    with speaking(PSEUDO):
        chapter = next(one for one in contents(greek, 2025).chapters if one.key == "lot")
    heads = [block.header for block in chapter.blocks if isinstance(block, Grid)]
    assert len(heads) == 1 and len(chapter.blocks) == 4
    assert (
        strange(
            [chapter.title, *heads[0], *(block.title for block in chapter.blocks if not isinstance(block, Picture))]
        )
        == []
    )


def test_what_is_told_while_files_are_made_is_from_the_catalogue(
    greek: Journal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    drawn = msgspec.structs.replace(picture("Λέξη"), key="month-grid-2025-03")
    with speaking(PSEUDO):
        small = msgspec.structs.replace(without_drawings(contents(greek, 2031)), title="Νήμα")
        block = msgspec.structs.replace(small.chapters[0], blocks=(Picture(figure=drawn),))
        small = msgspec.structs.replace(small, chapters=(block,))
        monkeypatch.setattr(retrospective, "document", lambda *_given: small)
        edition = Edition(greek)
        for kind in FORMATS:
            assert edition.file(Asked(year=2025, kind=kind), steps.append)
        edition.leaves(Asked(year=2025, what="sheets"), steps.append)
        FORMATS["pdf"].write(small, "a5", steps.append)
        elsewhere = day_photos.PhotoFiles(tmp_path, day_photos.files_of(greek).files)
        lost = day_photos.blocks(greek.tables.pictures, greek.tables.lines.clear(), elsewhere)
    assert len(steps) >= 9
    assert strange(steps) == []
    assert strange([*shown(lost), *(photo.problem for block in lost for photo in block.photos)]) == []


FOOT = (210 - 192) * 72 / 25.4
"""Where the lines at the foot of a sheet begin, in points from its lower edge."""


def test_the_sheets_are_from_the_catalogue_and_keep_to_their_places(greek: Journal) -> None:
    with speaking(PSEUDO):
        chosen = [
            *sheets.chosen(greek, TODAY - dt.timedelta(days=2), "all", "a5"),
            *sheets.chosen(greek, TODAY, "all", "a5"),
        ]
        pages = leaves(sheets.make(chosen).data)
    assert strange([*(sheet.alt for sheet in chosen), *(page.text for page in pages)]) == []
    feet = [{round(piece.y) for piece in page.said if piece.y < FOOT} for page in pages]
    assert {len(foot) for foot in feet} == {2}, "a longer line at the foot makes no other one"
    assert all("…" not in page.text for page in pages)


def test_a_label_longer_than_its_place_is_smaller(greek: Journal) -> None:
    sizes = {}
    for language, word in ((ENGLISH, "Mood"), (GERMAN, "Stimmung")):
        with speaking(language):
            page = leaves(sheets.make(sheets.chosen(greek, TODAY, "day", "a5")).data)[0]
        sizes[word] = next(piece.size for piece in page.said if piece.text.startswith(word))
    assert sizes["Stimmung"] < sizes["Mood"] == 10.5


def test_a_long_word_of_ours_has_hyphens_and_one_of_hers_is_cut(greek: Journal) -> None:
    long = "Wahrscheinlichkeitsrechnungen"
    facts = Facts(title="", facts=((long, " ".join([long] * 12)),))
    document = msgspec.structs.replace(without_drawings(contents(greek, 2025)), title=long)
    chapter = msgspec.structs.replace(document.chapters[0], blocks=(facts,))
    with speaking(GERMAN):
        data = book.make(msgspec.structs.replace(document, chapters=(chapter,))).data
    assert re.search(r"[a-z][-\u00ad]\n[a-z]", leaves(data)[-1].text)
    assert missing_glyphs.breakable(long) != long == missing_glyphs.breakable(long, hyphenated=True)


def test_every_text_of_a_format_is_in_the_catalogue() -> None:
    german = catalogue_texts(GERMAN)
    said = [one for file in FORMATS.values() for one in (file.title, file.about, file.option, file.empty) if one]
    assert [one for one in said if german.gettext(one) == one] == ["Text"]


@pytest.mark.parametrize(("language", "own"), [(ENGLISH, "en"), (GERMAN, "de")])
def test_the_frame_has_the_language_of_the_journal_and_her_text_none(
    greek: Journal, language: Language, own: str
) -> None:
    with speaking(language):
        document = without_drawings(contents(greek, 2025))
        page, printed = html.html(document).decode(), read(book.make(document).data)
    assert f'<html lang="{own}">' in page
    for said in ("Βιβλίο.", "Αυτό.", "Τι;", "Νήμα"):
        assert re.search(rf'<(span|p|h1)[^>]* lang="">{said}', page), said
    assert printed.trailer["/Root"]["/Lang"] == own  # type: ignore[index]
    streams = [page.get_contents().get_data() for page in printed.pages]  # type: ignore[union-attr]
    assert all(b"/Lang(und)" in stream for stream in (streams[0], streams[3]))
    assert b"/Lang(und)" not in streams[1], "the contents have no word of hers"


def test_a_calendar_says_the_language_of_its_categories(greek: Journal) -> None:
    of_days = dict[str, set[str]]()
    for language in (ENGLISH, GERMAN):
        with speaking(language):
            data = calendar_file.calendar(greek, TODAY - dt.timedelta(days=9), TODAY)
        events = [part for part in icalendar.Calendar.from_ical(data or b"").walk() if part.name == "VEVENT"]
        marks: list[Any] = [event["CATEGORIES"] for event in events]
        of_days[language.code] = {f"{mark.params.get('LANGUAGE')} {mark.cats[0]}" for mark in marks}
    assert of_days == {"en": {"None Planned", "None Appointment"}, "de": {"de Geplant", "de Termin"}}


def test_one_edition_keeps_each_language_apart(greek: Journal) -> None:
    edition, asked = Edition(greek), Asked(year=2025)
    english = edition.document(asked, print)
    with speaking(GERMAN):
        german = edition.document(asked, print)
        assert edition.document(asked, print) is german
    assert edition.document(asked, print) is english
    assert [one.chapters[-1].title for one in (english, german)] == ["How it is counted", "Wie gezählt wird"]


def test_letters_for_anyone_have_names_in_the_language_and_the_same_keys(greek: Journal) -> None:
    english = audience.seen_by(greek, "anyone", named=["π"]).settings
    with speaking(GERMAN):
        german = audience.seen_by(greek, "anyone", named=["π"]).settings
        assert audience.seen_by(audience.seen_by(greek, "anyone"), "anyone").settings.habits[0].name == "Gewohnheit A"
    assert [habit.key for habit in german.habits] == [habit.key for habit in english.habits]
    assert [habit.name for habit in german.habits] == ["Περπάτημα", "Gewohnheit B", "Gewohnheit C", "Gewohnheit D"]
    assert (german.categories[0].key, german.categories[0].name) == ("sleep", "Schlaf")
    assert [one.name for one in german.challenges] == ["Vorhaben A"]


def test_refusals_and_sizes_are_from_the_catalogue(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, greek: Journal
) -> None:
    (tmp_path / "β").write_bytes(b"")
    told = []
    with speaking(PSEUDO):
        for number in (errno.ENOSPC, errno.EISDIR, errno.ENAMETOOLONG, errno.EACCES):
            failure = OSError(number, "Σφάλμα")
            monkeypatch.setattr(atomic_write, "replace", lambda *_given, failure=failure: _raise(failure))
            for put in (
                lambda: write_files.put(tmp_path / "β", b"x"),
                lambda: write_files.put_all(tmp_path, {"γ": b"x"}),
            ):
                with pytest.raises(ExportError) as caught:
                    put()
                told.append(str(caught.value))
        monkeypatch.setattr(atomic_write, "replace", lambda *_given: _raise(atomic_write.ChangedError()))
        with pytest.raises(ExportError) as caught:
            write_files.put(tmp_path / "β", b"x")
        with pytest.raises(UsageError) as unknown:
            audience.seen_by(greek, "anyone", named=["ζ"])
        told += [str(caught.value), str(unknown.value), *map(write_files.sized, (1, 310, 48_200, 3_260_000))]
        told.append(missing_glyphs.warning("中"))
    known = {"kB", "MB", "cjk", "unified", "ideograph"}
    plain = [re.sub(re.escape(str(tmp_path)), "", one).replace("--to", "") for one in told]
    assert len(plain) == 15
    assert [(word, one) for word, one in strange(plain) if word not in known] == []


def _raise(failure: Exception) -> None:
    raise failure


def test_german_plurals_and_cases() -> None:
    with speaking(GERMAN):
        assert [write_files.sized(size) for size in (1, 48_500, 3_000_000)] == ["1 Byte", "49 kB", "3,0 MB"]
        assert [entries.decision(one) for one in ("keep", "rest", "drop")] == ["behalten", "ruhen lassen", "beenden"]
        assert entries.status("carried") == "verschoben"
        row = {"difference": 0.654, "low": 0.42, "high": 0.871, "q": 0.0012}
        said = [tasks_and_links._numbers(row), tasks_and_links._numbers(row | {"low": None})]
        one, two = missing_glyphs.warning("中"), missing_glyphs.warning("中文")
    assert one.startswith(
        "1 Zeichen hat auf diesem Rechner keine Schrift und steht als sein Code da: U+4E2D. Eine Schrift, die"
    )
    assert said == [
        "Unterschied 0,65, Konfidenzintervall (95\u00a0%) 0,42 bis 0,87, q 0,001",
        "Unterschied 0,65, q 0,001",
    ]
    assert "2 Zeichen haben" in two and "stehen als ihre Codes da: U+4E2D, U+6587." in two


def test_german_pages_of_a_day_and_a_month(greek: Journal) -> None:
    with speaking(GERMAN):
        said = text.text(greek, TODAY - dt.timedelta(days=9), TODAY + dt.timedelta(days=31))["2025-03.md"].decode()
        facts = {
            pair
            for block in contents(greek, 2025).chapters[1].blocks
            if isinstance(block, Facts)
            for pair in block.facts
        }
    for line in (
        "# Νήμα: März 2025", "## Mittwoch, 12. März", "Stimmung 4 (δ) · Kraft 2 (β) · ήλιος · bis 9 °C · Ort: Λισαβόνα",
        "- Διάβασμα: 12 σ (Ziel: mindestens 20)", "- Γράμματα (Ένα): getan am Donnerstag, 13. März 2025",
        "- Ganztägig: Γιορτή", "- 08:30 bis 09:00: Χαρτί",
        "- Gestrichen: Κόλλα (gebraucht 1 h · seit Sonntag, 2. März)", "- Getan: Πρέσα (Rang 2)",
        "## Rückblick: März 2025", "## Rückblick auf die Woche: 3. bis 9. März 2025", "- Περπάτημα: behalten",
    ):  # fmt: skip
        assert line in said, line
    assert {("Stimmung, Mittel", "3,0 an 3 Tagen"), ("Eingetragene Tage", "5 von 9")} <= facts
    assert ("Aufgaben", "3 getan, 0-mal verschoben, 3 gestrichen") in facts


def test_a_text_that_is_not_marked_is_found() -> None:
    assert strange(["Ďöñé", "Days logged 3", "Νήμα"]) == [("Days", "Days logged 3"), ("logged", "Days logged 3")]
