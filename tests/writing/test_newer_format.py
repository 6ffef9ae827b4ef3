"""Nothing of a journal of a newer format is written: by no way of saving, no command and no request of a page."""

from __future__ import annotations

import base64
import datetime as dt
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import msgspec
import pytest

import journal
from journal import periods
from journal.backup import new_backup, restored_journal
from journal.cli import duskbook
from journal.commands import clock
from journal.errors import BackupError
from journal.folder.page_versions import Base
from journal.pages import (
    day_endpoints,
    form_endpoints,
    picture_endpoints,
    settings_endpoints,
    setup_endpoints,
    trial_endpoints,
    version_endpoints,
)  # fmt: skip
from journal.pages.forms import Responder
from journal.saving import base_pages
from journal.setup import trial_advice
from tests.cli.conftest import PROJECT, Typed, typed
from tests.pictures.drawn import jpeg
from tests.promises import ways

__all__ = ["typed"]

NEWER = "journal has format 2, and this Duskbook knows format 1: it reads what it can and saves nothing; get a newer"
COMING = '\n[[trials]]\nkey = "w"\nquestion = "?"\nhabit = "walk"\nfrom = 2025-04-01\ndays = 60\nseed = 12\n'
PAGE = f"2025/{ways.TODAY}.toml"
READS = {
    "check", "show", "history", "trial list", "trial result", "backup", "export calendar", "export pages",
    "export retrospective", "export tables", "export text", "day", "evening", "week", "month", "year", "settings",
    "menu", "schema", "try",
}  # fmt: skip
"""The commands that write nothing of a journal. The pages are asked by their requests below."""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A place with the folders and the forms of the ways of writing, and three more folders."""
    place = tmp_path_factory.mktemp("ways")
    ways.prepare(place)
    for name, file, text in (
        ("broken", "journal.toml", "\nturns = \n"),
        (
            "coming",
            "journal.toml",
            '\n[[trials]]\nkey = "w"\nquestion = "?"\nhabit = "walk"\nfrom = 2025-04-01\ndays = 60\nseed = 12\n',
        ),
        ("pictured", PAGE, None),
    ):
        shutil.copytree(place / "start", place / name)
        path = place / name / file
        whole = path.read_text(encoding="utf-8")
        whole = f"format = 1\n{whole}" if file == "journal.toml" else whole
        path.write_text(f'pictures = ["a.jpg"]\n{whole}' if text is None else whole + text, encoding="utf-8")
    (place / "pictured" / "2025" / "a.jpg").write_bytes(jpeg(1, 48, 36))
    return place


@pytest.fixture
def journal_of(place: Path, tmp_path: Path) -> Iterator[Any]:
    """Make a copy of one of these folders, of format 2 or 1."""

    def copied(template: str, *, newer: bool) -> Path:
        folder = tmp_path / f"{template}-{newer}"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(place / template, folder, ignore=shutil.ignore_patterns(".cache"))
        settings = folder / "journal.toml"
        text = settings.read_text(encoding="utf-8").replace("format = 1\n", "")
        settings.write_text(f"format = {1 + newer}\n{text}", encoding="utf-8")
        return folder

    yield copied


def state(folder: Path) -> dict[str, bytes | None]:
    """All files and folders but the cache, with the bytes of the files."""
    found = (path for path in folder.rglob("*") if ".cache" not in path.parts)
    return {str(path): path.read_bytes() if path.is_file() else None for path in found}


def test_no_way_of_saving_writes(place: Path, journal_of: Any) -> None:
    for way in ways.prepared(place):
        folder = journal_of(way.template.name, newer=True)
        before = state(folder)
        told = way.save(folder)
        assert not told.saved and NEWER in told.text, (way.name, told)
        assert state(folder) == before, way.name


# Commands ----------------------------------------------------------------------------------------------------


def commands(group: click.Group, *before: str) -> Iterator[str]:
    """The names of all commands, those of groups with theirs."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        if isinstance(command, click.Group):
            yield from commands(command, *before, name)
        else:
            yield " ".join((*before, name))


@pytest.fixture
def lines(tmp_path: Path) -> dict[str, tuple[str, tuple[str | Path, ...]]]:
    """For each command that writes: the folder it needs, and the rest of its line, FOLDER in place of the journal."""
    table, calendar, picture = (tmp_path / name for name in ("days.csv", "work.ics", "a.jpg"))
    table.write_text("date,mood\n2025-03-11,4\n", encoding="utf-8")
    calendar.write_text(
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nBEGIN:VEVENT\r\nUID:a\r\nDTSTAMP:20250301T080000Z\r\n"
        "DTSTART:20250312T090000\r\nSUMMARY:Merchant\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n",
        encoding="utf-8",
    )
    picture.write_bytes(jpeg(1, 48, 36))
    trial = ("--habit", "walk", "--outcome", "mood", "--from", "2025-03-15", "--days", "28", "--yes")
    return {
        "log": ("start", ("FOLDER", "--date", "2025-03-12", "--note", "x", "--picture", picture)),
        "merge": ("copied", ("FOLDER", "--yes", "--keep", "page")),
        "import spreadsheet": ("start", (table, "FOLDER", "--yes")),
        "import calendar": ("start", (calendar, "FOLDER", "--days", "2025-03", "--yes")),
        "read": ("start", (PROJECT / "tests" / "paper" / "august.jpg", "FOLDER", "--yes")),
        "trial make": ("start", ("FOLDER", *trial)),
        "trial stop": ("drawn", ("w", "FOLDER", "--yes")),
        "trial look": ("drawn", ("w", "FOLDER", "--yes")),
        "upgrade": ("start", ("FOLDER",)),
    }


def test_no_command_writes(
    typed: Typed, journal_of: Any, lines: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clock, "now", lambda: ways.NOW)
    monkeypatch.setattr(trial_advice, "words", lambda book, plan: [])  # takes seconds of simulation
    assert set(commands(duskbook)) == READS | set(lines) - {"upgrade"} | {"start", "restore"}
    for name, (template, line) in lines.items():
        # That reading writes is tested in tests/cli/test_read.py, and an upgrade in test_format_upgrade.py.
        if name not in ("read", "upgrade"):
            folder = journal_of(template, newer=False)
            before = state(folder)
            typed(*name.split(), *(folder if part == "FOLDER" else part for part in line))
            assert state(folder) != before, f"{name} writes nothing, so what is tested here would be nothing"
        folder = journal_of(template, newer=True)
        before = state(folder)
        result = typed(*name.split(), *(folder if part == "FOLDER" else part for part in line))
        assert result.exit_code and state(folder) == before, (name, result.output)
        assert NEWER in result.stderr, name
    folder = journal_of("earlier", newer=True)
    before = state(folder)
    brought = typed("history", folder, "2025-03-13", "--bring-back", "2", "--yes")
    assert (brought.exit_code, NEWER in brought.stderr, state(folder) == before) == (2, True, True), brought.output
    assert typed("start", folder, "--yes").exit_code == 2
    assert state(folder) == before


def test_a_newer_journal_is_restored_whole_only(journal_of: Any, tmp_path: Path) -> None:
    folder, target = journal_of("earlier", newer=True), tmp_path / "of.tar"
    new_backup.write(folder, target)
    with pytest.raises(BackupError, match="format 2"):
        restored_journal.restore(target, tmp_path / "past", now=ways.NOW, as_of=dt.date(2025, 3, 13))
    assert not (tmp_path / "past").exists()
    restored_journal.restore(target, tmp_path / "whole", now=ways.NOW)
    assert len(state(tmp_path / "whole")) == len(state(folder))


# Pages -------------------------------------------------------------------------------------------------------


def requests(folder: Path) -> dict[str, Responder]:
    """Every request of every form, as "form request", with its handler."""

    def read() -> journal.Journal:
        return journal.open(folder, today=ways.TODAY, cache=False)

    def now() -> dt.datetime:
        return ways.NOW

    forms = {
        "evening": form_endpoints.answers(read, now),
        "tasks": form_endpoints.decisions(read, now),
        "ahead": form_endpoints.moves(read, now),
        "review": form_endpoints.reviews(read, now),
        "day": day_endpoints.day_answers(read, now, lambda _: None),
        "pictures": picture_endpoints.picture_answers(read, now),
        "settings": settings_endpoints.answers(read, now),
        "habits": setup_endpoints.habit_decision_answers(read, now),
        "time off": setup_endpoints.time_off_answers(read, now),
        "trials": trial_endpoints.trial_answers(read, now),
        "copies": version_endpoints.copy_answers(folder, now),
        "earlier": version_endpoints.earlier_answers(folder, now),
    }
    return {f"{form} {name}": responder for form, of_form in forms.items() for name, responder in of_form.items()}


READING = {
    "copies look", "day day", "earlier look", "earlier states", "evening day", "evening fit", "evening month",
    "evening saved", "habits preview", "settings calendars", "settings change", "settings due", "settings sun",
    "settings town", "settings zones",
}  # fmt: skip
"""The requests that write nothing."""


def _opened(folder: Path) -> journal.Journal:
    return journal.open(folder, today=ways.TODAY, cache=False)


def sent(place: Path, start: Path) -> dict[str, tuple[str, dict[str, Any]]]:
    """For each request that writes: the folder it needs, and what the page sends."""
    forms = json.loads((place / "forms.json").read_text(encoding="utf-8"))
    book = _opened(start)
    key = f"{ways.TODAY}"
    look = book.files.pages.look(key)
    before = msgspec.structs.replace(look, data=b"mood = 1\n" + (look.data or b""))
    undo = {"undo": base_pages.packed((before, look)), "day": key, "month": key[:7], "period": "2025-W11"}
    picture = {"day": key, "name": "a.jpg", "data": base64.b64encode(jpeg(1, 48, 36)).decode()}
    tasks = form_endpoints.to_decide_now(book)
    ahead = form_endpoints.ahead(book, periods.parse("2025-W11", week_starts="monday"))
    task = next(task for task in tasks["tasks"] if task["kind"] != "undated")
    tin = next(task for task in tasks["tasks"] if task["kind"] == "undated")
    copied = Base(key, f"2025/{key} (1).toml", b"mood = 2\n")
    pictured = picture_endpoints.day_pictures_of(_opened(place / "pictured"), ways.TODAY)
    of_picture = {"day": key, "name": "a.jpg", "base": pictured["base"], "text": "Hooks."}
    broken = settings_endpoints.settings(_opened(place / "broken"))
    mended = {"base": broken["base"], "text": "# gone"}
    mended |= {part: broken["broken"][0][part] for part in ("first", "last")}
    rest = {"base": setup_endpoints.time_off(book)["base"], "what": "add", "from": key, "until": key}
    return {
        "evening save": ("start", forms["evening"]),
        "evening save_month": ("start", forms["month"]),
        "tasks decide": (
            "start",
            {"base": tasks["base"], "day": tasks["day"], "decisions": [{"ref": task["ref"], "what": "drop"}]},
        ),
        "ahead put": ("start", {"base": ahead["base"], "day": ahead["day"], "ref": tin["ref"], "to": "2025-03-20"}),
        "review save": ("start", forms["review"]),
        "day edit": ("start", forms["day"]),
        "day undo": ("undone", {"undo": forms["undo"], "day": key}),
        "pictures add": ("start", picture),
        "pictures caption": ("pictured", of_picture),
        "pictures off": ("pictured", of_picture),
        "settings save": ("start", forms["settings"]),
        "settings mend": ("broken", mended),
        "habits decide": ("start", forms["decision"]),
        "time off save": ("start", rest),
        "trials make": ("start", forms["trial make"] | {"sure": True}),
        "trials stop": ("drawn", forms["trial stop"]),
        "trials look": ("drawn", forms["trial look"]),
        "trials off": ("coming", {"base": trial_endpoints.trials(_opened(place / "coming"))["base"], "ref": "w"}),
        "copies back": ("start", {"undo": base_pages.packed((look, look, copied))}),
        "copies merge": ("copied", forms["merge a copy"]),
        "copies put_away": ("copied", forms["merge a copy"]),
        "earlier bring": ("earlier", forms["bring back"]),
        **{
            f"{form} back": ("start", undo)
            for form in ("evening", "tasks", "review", "ahead", "pictures", "settings", "time off", "trials", "earlier")
        },
        "evening back_month": ("start", undo),
    }


def test_no_request_of_a_page_writes(place: Path, journal_of: Any) -> None:
    forms = sent(place, journal_of("start", newer=False))
    assert set(requests(place / "start")) == READING | set(forms), set(requests(place / "start")) ^ (
        READING | set(forms)
    )
    for name, (template, params) in forms.items():
        folder = journal_of(template, newer=False)
        before = state(folder)
        answer = requests(folder)[name](params)
        assert state(folder) != before, (name, "writes nothing, so what is tested here would be nothing", answer)
        folder = journal_of(template, newer=True)
        before = state(folder)
        refused = json.dumps(requests(folder)[name](params))
        assert NEWER in refused and state(folder) == before, (name, refused)
