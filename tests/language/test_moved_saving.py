"""What saving, changes of a page, rules and times say is from the catalogue, and German has its plurals and signs."""

from __future__ import annotations

import datetime as dt
import errno
import os
from functools import partial
from pathlib import Path

import pytest

from journal import periods, recurrence, schedule
from journal.commands.open_journal import opened_to_write
from journal.entry import Clock, Span
from journal.folder import (
    copy_merge,
    differences,
    failed_save,
    interrupted_save,
    mending,
    new_journal,
    picture_names,
    private_folder,
    reading,
    save_record,
    stray_files,
    toml_read,
    write_refusals,
    writing,
)  # fmt: skip
from journal.folder.folder_walk import unreadable
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.language import system_errors
from journal.language.languages import ENGLISH, GERMAN
from journal.language.lazy_text import said
from journal.language.spoken import speaking
from tests.folder.journals import DAY as PATH
from tests.folder.journals import SETTINGS, begin
from tests.language.file_words import new_folder, ours, raised
from tests.language.test_moved_parts import PSEUDO

DAY = "2025-03-04"
NOW = dt.datetime(2025, 3, 4, 21, 0, tzinfo=dt.UTC)


def test_what_cannot_be_written_is_told_in_words_of_the_catalogue(tmp_path: Path) -> None:
    folder = begin(new_folder(tmp_path), pages={PATH: "mood = 3"})
    (taken := folder / "taken").write_text("x")
    files, now = OpenedFiles(folder), NOW
    base = files.pages.look(DAY)
    broken = Base("settings", "journal.toml", b'title = "Spine\nclock = 12\n[day]\nturns = "04:00"\n')
    place = reading.basis_of(broken, folder).broken[0]
    copy = stray_files.PageCopy(f"2025/{DAY} (1).toml", DAY, PATH)
    codes = (errno.ENOSPC, errno.EFBIG, errno.EACCES, errno.EROFS, errno.ENOENT, errno.EIO)
    errors = [OSError(code, os.strerror(code)) for code in codes]
    (folder / ".writing").touch()

    def save(changes: writing.Changes) -> object:
        return writing.save(folder, DAY, base, changes, now=now)

    def mend(text: str) -> object:
        return mending.mend(folder, broken, place, text, now=now)

    with speaking(PSEUDO):
        texts = [
            *(failed_save.reason_of(folder, "undated.toml", error) for error in errors),
            failed_save.uncertain(folder, "undated.toml", errors[-1]),
            failed_save.never_still("undated.toml"),
            failed_save.typed_text({("memory",): writing.REMOVE}),
            *(part for error in (*errors, PermissionError(13, "")) for part in unreadable(error)),
            write_refusals.other_sentence(2),
            write_refusals.other_words(0),
            copy_merge.plan(files, copy, now=NOW).problem,
            *raised(
                lambda: save({("memory",): "x" * 300_000}),
                lambda: save({("memory",): "\ud800"}),
                lambda: save({("tasks", "none", "rank"): 1}),
                lambda: save({("memory",): object()}),
                lambda: save({("mood",): 9}),
                lambda: save({("mood", "x"): 1}),
                lambda: copy_merge.put_copy_back(files, Base(DAY, "2025/other.toml", b""), copy.page),
                lambda: new_journal.refuse_if_begun(folder),
                lambda: new_journal.refuse_if_begun(taken),
                lambda: reading.read_settings(folder / "none"),
                lambda: reading.read_settings(taken),
                lambda: reading.read_settings(folder / "2025"),
                lambda: reading.read_settings(Path("\0")),
                lambda: files.pages.look("1025-01-01"),
                lambda: broken.values,
            ),
        ]
        (folder / "journal.toml").write_bytes(broken.data or b"")
        texts += raised(lambda: mend("title = "), lambda: mend("[mood]"), lambda: mend('x = """'))
        (folder / "journal.toml").write_text('title = "Other"')
        texts += raised(lambda: mend(""))
    known = f"{folder} other none taken object"
    assert [(word, text) for text in texts for word in ours(text, known)] == []
    assert [text for text in texts if text.isascii()] == []


def test_what_was_interrupted_is_told_in_words_of_the_catalogue(tmp_path: Path) -> None:
    folder = begin(new_folder(tmp_path), pages={PATH: "mood = 5"})
    before, after = (Base(DAY, PATH, text) for text in (b"mood = 3", b"mood = 4"))
    other = (Base("undated", "undated.toml", None), Base("undated", "undated.toml", b"# none\n"))
    told = []
    for pages in ([(before, after), other], [other, other]):
        with pytest.raises(ZeroDivisionError), save_record.kept(folder, pages, NOW, "evening"):
            raise ZeroDivisionError
        with speaking(PSEUDO):
            told.append(interrupted_save.finish(OpenedFiles(folder), NOW))
        (folder / "undated.toml").unlink()
    with speaking(PSEUDO), private_folder.opened(folder, ".history") as place:
        told += raised(lambda: private_folder_error(place))
    assert [(word, text) for text in told for word in ours(text, str(folder) + " unfinished history")] == []


def test_a_command_tells_in_the_language_of_the_journal_what_was_interrupted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = begin(tmp_path, f'language = "de"\n{SETTINGS}', pages={PATH: "mood = 3"})
    pages = [(Base(DAY, PATH, b"mood = 3"), Base(DAY, PATH, b"mood = 4")), (Base("undated", "undated.toml", None),) * 2]
    with pytest.raises(ZeroDivisionError), save_record.kept(folder, pages, NOW, "evening"):
        raise ZeroDivisionError
    with speaking(ENGLISH):
        opened_to_write(OpenedFiles(folder), NOW)
    assert capsys.readouterr().err.startswith(
        'duskbook: Der unterbrochene Speichervorgang vom 2025-03-04 um 21:00 ist abgeschlossen: "2025/2025-03-04.toml".'
    )


def private_folder_error(place: private_folder.PrivateFolder) -> None:
    try:
        place.read("..", 1)
    except OSError as error:
        raise ValueError(system_errors.reason(error)) from None


RULES = (
    "DAILY", "FREQ=HOURLY", "BYHOUR=1", "FREQ=X", "X=1", "FREQQ=DAILY", "FREQ=DAILY;FREQ=DAILY", "FREQ=", "COUNT=1",
    "FREQ=DAILY;WKST=X", "FREQ=DAILY;INTERVAL=0", "FREQ=DAILY;UNTIL=2025", "FREQ=DAILY;UNTIL=20250101T1",
    "FREQ=DAILY;BYDAY=X",
    "FREQ=DAILY;BYMONTH=13", "FREQ=DAILY;BYMONTHDAY=32", "FREQ=DAILY;COUNT=1;UNTIL=20250101", "FREQ=DAILY;BYWEEKNO=1",
    "FREQ=DAILY;BYYEARDAY=1", "FREQ=WEEKLY;BYMONTHDAY=1", "FREQ=DAILY;BYDAY=1MO", "FREQ=YEARLY;BYWEEKNO=1;BYDAY=1MO",
    "FREQ=MONTHLY;BYDAY=6MO", "FREQ=DAILY;BYSETPOS=1",
)  # fmt: skip


def test_rules_periods_and_times_are_refused_in_words_of_the_catalogue() -> None:
    day = NOW.date()
    with speaking(PSEUDO):
        texts = [
            *(text for rule in RULES for text in raised(partial(recurrence.parse, rule))),
            *(text for kind in KINDS for text in raised(partial(periods.parse_name, "x", kind))),
            *(text for span in SPANS for text in raised(partial(Span.parse, span))),
            *raised(lambda: Clock.parse("x"), lambda: schedule.due("FREQ=DAILY", day, day, dt.date(2025, 1, 1))),
            *(
                said(part)
                for name in ("", "aux.jpg", "x.gif", "x" * 300 + ".jpg")
                for part in picture_names.fault(name) or ()
            ),
        ]
    assert [(word, text) for text in texts for word in ours(text, "ish")] == []
    assert [text for text in texts if text.isascii()] == []


KINDS: tuple[periods.PeriodKind | None, ...] = ("day", "week", "month", "year", None)
SPANS = ("7ish", "9:00-x", "10:00-00:00", "10:00-10:00", "10:00-09:00")

BEFORE = """
mood = 3
memory = "Α"
notes = ["Α", "Β"]
gratitude = ["Α", "Β"]
pictures = ["Α.jpg"]
place = "γ"
[captions]
"Α.jpg" = "Β"
[habits]
"π" = true
"δ" = 12
[challenges]
"γ" = true
[hours.planned]
"υ" = ["00:00-06:00"]
[hours.actual]
"υ" = ["00:00-06:00"]
[decisions]
"π" = "keep"
[decision_dates."π"]
from = 2025-03-01
[[tasks]]
title = "Κόλλα"
estimate = 45
rank = 1
[[tasks]]
title = "Χαρτί"
[[appointments]]
title = "Δ"
start = "08:30"
[[reflection]]
prompt = "Γ"
answer = "Δ"
[[habits2]]
x = 1
"""


def test_what_changed_is_told_in_words_of_the_catalogue() -> None:
    after = (
        BEFORE.replace("mood = 3", "mood = 4.5\nshare = true\nasked = false\nenergy = 2")
        .replace('"Α", "Β"', '"Β", "Α"', 1).replace("[captions]", "[weather]")
        .replace('"π" = true', '"π" = "rest"').replace('"γ" = true', '"γ" = false').replace('"keep"', '"change"')
        .replace("estimate = 45", 'status = "carried"\ntook = 20\nid = "t"').replace('start = "08:30"', 'end = "09:00"')
        .replace('answer = "Δ"', "").replace("06:00", "06:15").replace('"Α.jpg"]', '"Β.jpg"]')
    )  # fmt: skip
    texts = [
        BEFORE,
        after,
        BEFORE.replace("mood", "energy"),
        f"# x\n{BEFORE}",
        "mood = [",
        'notes = ["Α"]',
        "[weather]\n",
        "",
    ]
    lists = ("tasks", "habits", "challenges", "places", "categories", "routines", "rests", "trials")
    for name in lists:
        tables = [f'[[{name}]]\nname = "{title}"\nkey = "{title}"\nuntil = 2025-03-01\n' for title in ("Α", "Β")]
        texts += ["".join(tables), "".join(reversed(tables))]
    with speaking(PSEUDO):
        changes = [
            part
            for old, new in zip((*texts, *texts[::-1]), (*texts[1:], *texts[::-1], texts[0]), strict=False)
            for change in differences.between("2025-03", old.encode(), new.encode())
            for part in (change.words, change.added, change.removed)
        ]
        changes += [change.words for change in differences.between("2025-03", b"mood = 3", None)]
        pages = [Base("2025-03", "2025-03.toml", BEFORE.encode()).values]
        places = (("tasks", "Κόλλα", "rank"), ("tasks", "Κόλλα"), ("notes", 0), (), ("memory",), ("asked",))
        changes += [differences.place(path, pages) for path in places]
        changes += [differences.shown(("memory",), None), differences.shown(("share",), True)]
    assert len(changes) > 150
    assert [(word, text) for text in changes for word in ours(text, "jpg habits2")] == []


def test_german_with_plurals_cases_and_the_signs_of_numbers(tmp_path: Path) -> None:
    scale = '[mood]\nlow = 0.5\nhigh = 4.5\nwords = ["a"]\n'
    (words,) = reading.basis_of(Base("settings", "journal.toml", (SETTINGS + scale).encode()), tmp_path).problems
    large = toml_read._too_large("undated.toml", 250_001)
    with speaking(GERMAN):
        assert words.expected == "5 Wörter, eines für jede Stufe von 0,5 bis 4,5"
        assert (large.expected, large.got) == ("höchstens 250.000 Byte", "250.001 Byte, nicht gelesen")
        changed = differences.between(
            DAY, b"mood = 3\n[[tasks]]\ntitle = 'A'", b"mood = 4.5\n[[tasks]]\ntitle = 'A'\ntook = 1"
        )
        assert [change.words for change in changed] == ["Stimmung 3, jetzt 4,5", "A: gebraucht 1 Minute"]
        assert [*raised(lambda: recurrence.parse("DAILY"))] == [
            '"DAILY": DAILY steht ohne seinen Namen; schreib FREQ=DAILY'
        ]
        assert [*raised(lambda: periods.parse_name("x", "week"))] == [
            "eine Woche „x“ gibt es nicht; schreib z.\xa0B. „2025-W11“"
        ]
