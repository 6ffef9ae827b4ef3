"""Probes of a copy of the package with three more fields: `python -m tests.new_field.probes`.

Each probe uses the copy as a user would and raises if it does not find the fields. Prints {probe: fault or null} as
JSON. Run with a PYTHONPATH that begins with the copy.
"""

from __future__ import annotations

import datetime as dt
import json
import sys
import tempfile
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

import journal
from journal.cli import duskbook
from journal.entry import Entry
from journal.evening import form_build, save_evening
from journal.export import audience, day_text
from journal.folder import differences, reading, writing
from journal.measures import correlates
from journal.paper.field_names import FieldNames
from journal.paper.sheet_fields import FieldRead
from journal.sections import link_cards
from tests.journals import HOME

DAY = dt.date(2025, 3, 13)
NOW = dt.datetime(2025, 3, 13, 21, 4, tzinfo=dt.UTC)
SETTINGS = f"""title = "A test"
{HOME}"""
PAGE = 'mood = 4\ngratitude = ["Bread."]\n\n[weather]\nsky = "fog"\n'

Probe = Callable[[Path], None]
PROBES: dict[str, Probe] = {}


def probe(function: Probe) -> Probe:
    PROBES[function.__name__] = function
    return function


def journal_with(folder: Path, page: str = PAGE) -> Path:
    (folder / "2025").mkdir(parents=True, exist_ok=True)
    (folder / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    (folder / "2025/2025-03-13.toml").write_text(page, encoding="utf-8")
    return folder


def page_of(folder: Path) -> dict[str, Any]:
    return tomllib.loads((folder / "2025/2025-03-13.toml").read_text(encoding="utf-8"))


def opened(folder: Path, *, cache: bool = False) -> journal.Journal:
    return journal.open(folder, today=DAY, cache=cache)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(duskbook, [str(argument) for argument in arguments], catch_exceptions=False)


FILLED = 'steps = 8000\nwore = "the grey coat"\n' + PAGE


@probe
def order_on_disk(folder: Path) -> None:
    journal_with(folder)
    base = writing.look(folder, "2025-03-13")
    changes: dict[tuple[str, ...], Any] = {("wore",): "the grey coat", ("steps",): 8000}
    writing.save(folder, "2025-03-13", base, changes, now=NOW)
    lines = (folder / "2025/2025-03-13.toml").read_text(encoding="utf-8").splitlines()
    assert lines[:4] == ["mood = 4", "steps = 8000", 'wore = "the grey coat"', 'gratitude = ["Bread."]'], lines


@probe
def bounds_of_a_page(folder: Path) -> None:
    journal_with(folder, "steps = -1\n" + PAGE)
    (problem,) = opened(folder).problems
    assert str(problem) == "2025/2025-03-13.toml:1:9: steps: expected a number, 0 or more, got -1; write e.g. 0", (
        problem
    )


@probe
def a_page_without_faults(folder: Path) -> None:
    assert opened(journal_with(folder, FILLED)).problems == ()


@probe
def column(folder: Path) -> None:
    days = opened(journal_with(folder, FILLED)).tables.days
    assert str(days.schema["steps"]) == "Int64" and str(days.schema["wore"]) == "String", days.schema
    assert days.filter(date=DAY).select("steps", "wore").row(0) == (8000, "the grey coat")


@probe
def cache(folder: Path) -> None:
    opened(journal_with(folder, FILLED), cache=True)
    days = opened(folder, cache=True).tables.days
    assert days.filter(date=DAY).select("steps", "wore").row(0) == (8000, "the grey coat")


@probe
def offered_on_the_form(folder: Path) -> None:
    offer = form_build.offer(opened(journal_with(folder, FILLED)), DAY)
    fields = {tuple(field.path): field for field in offer.fields}
    steps, wore = fields["steps",], fields["wore",]
    assert (steps.label, steps.control, steps.low, steps.high, steps.value) == ("Steps", "number", 0, None, 8000)
    assert (wore.label, wore.control, wore.value) == ("Worn", "text", "the grey coat")


@probe
def entered_on_the_form(folder: Path) -> None:
    base = form_build.offer(opened(journal_with(folder)), DAY).base
    sent = {"base": base, "day": str(DAY), "steps": 8000, "wore": " the grey coat "}
    assert save_evening.save(opened(folder), sent, now=NOW).saved
    assert (page_of(folder)["steps"], page_of(folder)["wore"]) == (8000, "the grey coat")
    base = form_build.offer(opened(folder), DAY).base
    for wrong in (-1, 0.5, "many"):
        answer = save_evening.save(opened(folder), sent | {"base": base, "steps": wrong}, now=NOW)
        assert [problem.field for problem in answer.problems] == ["steps"], answer
    assert save_evening.save(opened(folder), sent | {"base": base, "steps": None, "wore": ""}, now=NOW).saved
    assert page_of(folder).keys() == {"mood", "gratitude", "weather"}


@probe
def asked_of_tomorrow(folder: Path) -> None:
    offer = form_build.offer(opened(journal_with(folder)), DAY)
    hope = next(field for field in offer.tomorrow.fields if field.path == ["hope"])
    assert (hope.control, [step.word for step in hope.steps][-1], hope.value) == ("scale", "bright", None)
    sent = {"base": offer.base, "day": str(DAY), "tomorrow": {"hope": 5}}
    assert save_evening.save(opened(folder), sent, now=NOW).saved
    assert tomllib.loads((folder / "2025/2025-03-14.toml").read_text(encoding="utf-8")) == {"hope": 5}
    base = form_build.offer(opened(folder), DAY).base
    (trouble,) = save_evening.save(opened(folder), sent | {"base": base, "tomorrow": {"hope": 6}}, now=NOW).problems
    assert trouble.field == "tomorrow.hope" and "from 1 to 5" in trouble.message, trouble


@probe
def known_of_a_day_to_come(folder: Path) -> None:
    table = journal_with(folder / "to") / "days.csv"
    table.write_text("Date,Hope,Steps\n2199-03-14,bright,8000\n", encoding="utf-8")
    run("import", "spreadsheet", table, folder / "to", "--yes")
    assert tomllib.loads((folder / "to/2199/2199-03-14.toml").read_text(encoding="utf-8")) == {"hope": 5}


@probe
def option_of_log(folder: Path) -> None:
    result = run("log", journal_with(folder), "--date", DAY, "--steps", 8000, "--wore", "the grey coat")
    assert result.output == "Saved to 2025/2025-03-13.toml: steps 8,000; wore the grey coat\n", result.output
    assert (page_of(folder)["steps"], page_of(folder)["wore"]) == (8000, "the grey coat")
    assert "--steps N" in run("log", "--help").output
    rejected = CliRunner().invoke(duskbook, ["log", str(folder), "--date", str(DAY), "--steps", "-1"])
    assert rejected.exit_code == 2 and "0 or more" in rejected.output, rejected.output


@probe
def heading_of_an_import(folder: Path) -> None:
    table = journal_with(folder / "to") / "days.csv"
    table.write_text("Date,Steps,Wore\n2025-03-13,8000,the grey coat\n", encoding="utf-8")
    result = run("import", "spreadsheet", table, folder / "to", "--yes")
    assert result.exit_code == 0, result.output
    assert (page_of(folder / "to")["steps"], page_of(folder / "to")["wore"]) == (8000, "the grey coat")


@probe
def bounds_of_an_import(folder: Path) -> None:
    table = journal_with(folder / "to") / "days.csv"
    table.write_text("Date,Steps\n2025-03-13,-1\n", encoding="utf-8")
    result = run("import", "spreadsheet", table, folder / "to", "--dry-run")
    assert "0 or more" in result.output, result.output


@probe
def line_of_the_text_export(folder: Path) -> None:
    book = opened(journal_with(folder, FILLED))
    page, _ = reading.read_base(writing.look(folder, "2025-03-13"), book.files.basis.known)
    assert page is not None and isinstance(page.content, Entry)
    assert "Mood 4 (good) · steps 8,000 · worn: the grey coat · fog" in day_text.day(DAY, page.content, book.settings)


@probe
def tables_and_dictionary(folder: Path) -> None:
    place = folder / "out"
    place.mkdir()
    assert run("export", "tables", journal_with(folder / "of", FILLED), "--to", place).exit_code == 0
    heading, *rows = (place / "days.csv").read_text(encoding="utf-8").splitlines()
    assert "energy,steps,wore,hope,place" in heading and "8000,the grey coat" in "".join(rows), heading
    dictionary = (place / "dictionary.md").read_text(encoding="utf-8")
    for words in ("steps", "Steps.", "wore", "Worn."):
        assert words in dictionary, words


@probe
def back_from_the_tables(folder: Path) -> None:
    place = folder / "out"
    place.mkdir()
    run("export", "tables", journal_with(folder / "of", FILLED), "--to", place)
    back = folder / "back"
    back.mkdir()
    (back / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    assert run("import", "spreadsheet", place / "days.csv", back, "--yes").exit_code == 0
    assert (page_of(back)["steps"], page_of(back)["wore"]) == (8000, "the grey coat")


@probe
def words_of_a_change(folder: Path) -> None:
    changes = differences.between("2025-03-13", PAGE.encode(), FILLED.encode())
    assert [change.words for change in changes] == ["steps 8,000", "worn: the grey coat"], changes


@probe
def readers(folder: Path) -> None:
    book = opened(journal_with(folder, FILLED))
    seen = {
        who: audience.seen_by(book, who).tables.days.filter(date=DAY).select("steps", "wore").row(0)
        for who in ("me", "friend", "anyone")
    }
    assert seen == {"me": (8000, "the grey coat"), "friend": (8000, None), "anyone": (None, None)}, seen


@probe
def compared_with_mood(folder: Path) -> None:
    book = opened(journal_with(folder, FILLED))
    assert "steps" in correlates.recorded(book.tables.days, book.tables.hours)
    assert "wore" not in correlates.recorded(book.tables.days, book.tables.hours)
    assert link_cards.driver_names(book.settings)["steps"] == "Steps of the day"


@probe
def name_of_a_field_of_a_sheet(folder: Path) -> None:
    names = FieldNames(opened(journal_with(folder)).settings)
    label = names.of(FieldRead(field="steps", date=DAY, photo="a.jpg", boxes=(), value=8000))
    assert label == "Steps", label


def main() -> None:
    faults: dict[str, str | None] = {}
    for name, look in PROBES.items():
        with tempfile.TemporaryDirectory() as folder:
            try:
                look(Path(folder))
                faults[name] = None
            except Exception as error:
                faults[name] = f"{type(error).__name__}: {error}"
    json.dump(faults, sys.stdout)


if __name__ == "__main__":
    main()
