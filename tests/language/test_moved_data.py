"""Texts of backups, calendars and pictures: all of them are in the catalogue, and German ones are whole sentences."""

from __future__ import annotations

import ast
import datetime as dt
import errno
import hashlib
import io
import os
import re
import stat
import sys
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from pathlib import Path

import pytest

import journal
from journal.backup import archive, contents, new_backup, opened_backup, past_day, restored_journal
from journal.backup.age_file import AgeReader, Seal
from journal.calendars.appointments import appointments
from journal.errors import JournalError, PictureError, Problem
from journal.folder import plain_file
from journal.folder.calendar_files import CalendarFile
from journal.language import system_errors
from journal.language.languages import LANGUAGES
from journal.language.spoken import speaking
from journal.pictures import new_picture, picture_files, picture_shape
from tests.language.test_moved_parts import PSEUDO, foreign

GERMAN = LANGUAGES["de"]
NOW = dt.datetime(2025, 3, 15, tzinfo=dt.UTC)
PACKAGES = ("backup", "calendars", "importing", "paper", "pictures")
SAID = {"BackupError", "UsageError", "RuleError", "PictureError", "WriteError", "Problem", "Unfit"}
"""What people read of an error or a problem is an argument of these."""


def unknown_words(text: str) -> list[str]:
    """The words of a text that are not from the catalogue. What is quoted, names in capitals, and the kinds of files of
    `journal.folder` are not of these packages.
    """
    for kind in map(plain_file.irregular, (stat.S_IFDIR, stat.S_IFIFO)):
        text = text.replace(kind, "")
    return [word for word in foreign(re.sub(r'"[^"]*"', "", text)) if not word.isupper()]


def bare_texts(source: str) -> Iterator[str]:
    """The texts in the arguments of errors and problems that are not from the catalogue."""
    for call in ast.walk(ast.parse(source)):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in SAID:
            for argument in (*call.args, *(word.value for word in call.keywords if word.arg not in ("path", "where"))):
                for part in argument.values if isinstance(argument, ast.JoinedStr) else [argument]:
                    if isinstance(part, ast.Constant) and re.search("[a-z]{2}", str(part.value)):
                        yield ast.unparse(call)


def test_no_error_has_a_text_of_its_own() -> None:
    top = Path(journal.__file__).parent
    files = [path for name in PACKAGES for path in (top / name).glob("*.py")]
    assert len(files) > 20
    assert [text for path in files for text in bare_texts(path.read_text(encoding="utf-8"))] == []


def test_a_text_of_its_own_is_found() -> None:
    assert (
        len([*bare_texts('UsageError("no file"); Problem(path="a.toml", got=f"{x} bytes"); UsageError(_("no"))')]) == 2
    )


BROWSER = ("appointments", "day_pictures", "paper_sheets", "paper_state", "picture_files")
"""The modules of the browser that belong to these packages."""


def bare_literals(source: str) -> Iterator[str]:
    """The texts of a module of the browser that are not from the catalogue: those with a capital, or of two words that
    are not names of classes.
    """
    calls, before = [""], ""
    for token in JS_TOKEN.findall(source):
        if token in ("(", ")"):
            calls = [*calls, before] if token == "(" else calls[:-1]
        is_text = token[0] in '"`' and re.search("^.[A-Z][a-z]|[a-z] [a-z]", token)
        if is_text and not {"_", "_n", "_p", "N_"} & {*calls} and before not in ("class", "from"):
            yield token
        before = token if token not in (":", "?", "&", "|") else before


JS_TOKEN = re.compile(r'//[^\n]*|"[^"\n]*"|`[^`]*`|\w+|\S')


def test_the_browser_has_no_text_of_its_own() -> None:
    modules = Path(journal.__file__).parent / "pages" / "browser"
    texts = [text for name in BROWSER for text in bare_literals((modules / f"{name}.js").read_text(encoding="utf-8"))]
    assert [text for text in texts if not text.startswith(('"Enter"', '"Files"'))] == []
    marked = (
        '_("No day"); say(ok ? "No sheet" : `it has ${count} days`); make("p", { class: "no day", text: N_("Day") });'
    )
    assert [*bare_literals(marked)] == ['"No sheet"', "`it has ${count} days`"]


def told(act: Callable[[], object]) -> str:
    with pytest.raises(JournalError) as caught:
        act()
    return str(caught.value)


def packed(files: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    digests = {path: hashlib.sha256(data).hexdigest() for path, data in files.items()}
    archive.write(out, ((path, len(data), [data]) for path, data in files.items()), digests)
    return out.getvalue()


def sealed(data: bytes) -> bytes:
    out = io.BytesIO()
    with Seal("pine", work=4).writing(out) as writer:
        writer.write(data)
    return out.getvalue()


@pytest.fixture
def small(tmp_path: Path) -> Path:
    folder = tmp_path / "journal"
    folder.mkdir()
    (folder / "journal.toml").write_text('title = "Νήμα"\n', encoding="utf-8")
    return folder


def backup_texts(small: Path) -> list[str]:
    """What is said of backups that cannot be made, read or restored."""
    around = small.parent
    whole, taken = packed({"journal.toml": b""}), around / "taken.tar"
    taken.write_bytes(whole)
    reads: list[Callable[[], object]] = [
        lambda: archive.BackupReader(io.BytesIO(b"x"), '"b"'),
        lambda: list(archive.BackupReader(io.BytesIO(whole[:1024]), '"b"').files()),
        lambda: [*map(list, archive.BackupReader(io.BytesIO(whole + b"\0"), '"b"').files())],
        lambda: [
            *map(list, archive.BackupReader(io.BytesIO(whole.replace(b"journal/", b"journal.", 2)), '"b"').files())
        ],
        lambda: AgeReader(io.BytesIO(b"age-encryption.org/v1\n-> X25519 x"), "p", '"b"'),
        lambda: AgeReader(io.BytesIO(b"age-encryption.org/v1\n-> scrypt"), "p", '"b"'),
        lambda: AgeReader(io.BytesIO(sealed(b"")), "wrong", '"b"'),
        lambda: AgeReader(io.BytesIO(sealed(b"words")[:-1]), "pine", '"b"').read(1),
        lambda: opened_backup.reader(io.BytesIO(sealed(b"")), None, '"b"'),
        lambda: opened_backup.is_encrypted(around / "missing"),
    ]
    writes: list[Callable[[], object]] = [
        lambda: new_backup.write(small, small / "b.tar"),
        lambda: new_backup.write(small, around / "none" / "b.tar"),
        lambda: new_backup.write(small, around),
        lambda: new_backup.write(small, taken),
        lambda: restored_journal.refuse_place(around / "none" / "again"),
        lambda: restored_journal.refuse_place(taken),
        lambda: restored_journal.refuse_place(around),
        lambda: past_day.put(small, dt.date(2025, 3, 1), now=NOW),
    ]
    texts = [told(act) for act in (*reads, *writes)]
    for files in ({"a": b""}, {"journal.toml": b"", ".profile": b""}, {"journal.toml": b"", "a": b"", "a/b": b""}):
        (around / "other.tar").write_bytes(packed(files))
        texts.append(told(lambda: restored_journal.restore(around / "other.tar", around / "again", now=NOW)))
    (small / "2025.toml").mkdir()
    (small / "link").symlink_to(small / "missing")
    os.mkfifo(small / "pipe")
    return [*texts, *problem_texts(contents.find(small).left_out)]


def problem_texts(problems: Iterable[Problem]) -> list[str]:
    return [text for problem in problems for text in (problem.expected, problem.got, problem.remedy)]


EVENT = """BEGIN:VEVENT
UID:{place}
{lines}
END:VEVENT
"""
EVENTS = (
    "SUMMARY:x",
    "DTSTART:soon",
    "DTSTART;TZID=Nowhere:20250314T083000",
    "DTSTART:20250314T083000\nDTEND:20250313T083000",
    "DTSTART:20250314T083000\nDURATION:-PT1H",
    *(
        f"DTSTART:20250314T083000\nRRULE:{rule}"
        for rule in (
            "RSCALE=HEBREW;FREQ=DAILY", "RSCALE=GREGORIAN;SKIP=FORWARD;FREQ=DAILY",
            "FREQ=DAILY;COUNT=2;UNTIL=20250320", "FREQ=DAILY;UNTIL=2025", "FREQ=DAILY;BYHOUR=8,9;BYSETPOS=1",
            "FREQ=DAILY;BYHOUR=30", "FREQ=HOURLY;INTERVAL=x", "FREQ=HOURLY;BYDAY=MO", "FREQ=SECONDLY",
        )
    ),
    "DTSTART;VALUE=DATE:20250314\nRRULE:FREQ=HOURLY",
    *(f"DTSTART:20250314T083000\nRRULE:FREQ=DAILY;BYHOUR={hour};BYSETPOS=1;BYMINUTE=1,2" for hour in range(9)),
)  # fmt: skip


def calendar_texts() -> list[str]:
    """What is said of calendars with faults, and of an event without a title."""
    events = "".join(EVENT.format(place=place, lines=lines) for place, lines in enumerate(EVENTS))
    zone = "BEGIN:VTIMEZONE\nTZID:Own\nBEGIN:STANDARD\nRRULE:FREQ=DAILY\nEND:STANDARD\nEND:VTIMEZONE\n"
    calendar = "BEGIN:VCALENDAR\n" + zone + events + "END:VCALENDAR\n"
    day = dt.date(2025, 3, 14)
    texts = []
    many = "BEGIN:VCALENDAR\n" + "".join(EVENT.format(place=place, lines="SUMMARY:x") for place in range(23))
    for data in (calendar, many, "", "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:1\n"):
        frame, problems = appointments([CalendarFile("α.ics", data.encode())], day, day, "UTC")
        texts += [*problem_texts(problems), *frame["title"]]
    return texts


def picture_texts(folder: Path) -> list[str]:
    """What is said of files that are no pictures, or that cannot be shown."""
    jpeg, png = b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n"
    for name, data in (
        ("cut.png", png),
        ("cut.jpg", jpeg),
        ("as.gif", b"GIF89a"),
        ("zero.jpg", b""),
        ("large.png", png + b"\0\0\0\rIHDR" + b"\0\0\xff\xff" * 2 + bytes(9) + bytes(4) + b"IEND" + bytes(4)),
    ):
        (folder / name).write_bytes(data)
    (folder / "link.jpg").symlink_to(folder / "cut.jpg")
    (folder / "folder.jpg").mkdir()
    names = (
        "cut.png",
        "cut.jpg",
        "as.gif",
        "zero.jpg",
        "large.png",
        "link.jpg",
        "folder.jpg",
        "cuts.jpg",
        "missing.jpg",
    )
    errors = [picture_error(partial(picture_files.look, folder / name)) for name in names]
    errors += [
        picture_error(lambda: new_picture.read(folder / "missing.jpg", "cleaned")),
        picture_error(lambda: picture_shape.of_bytes(jpeg + b"\xd9")),
        picture_error(lambda: picture_shape.of_bytes(b"RIFF    WEBPVP8 " + bytes(14))),
    ]
    return [text for error in errors for text in (error.expected, error.got, error.remedy)]


def picture_error(act: Callable[[], object]) -> PictureError:
    with pytest.raises(PictureError) as caught:
        act()
    return caught.value


def test_what_is_said_is_from_the_catalogue(small: Path) -> None:
    with speaking(PSEUDO):
        texts = [*backup_texts(small), *calendar_texts(), *picture_texts(small)]
    assert len(set(texts)) > 70
    assert [(word, text) for text in texts for word in unknown_words(text)] == []


def test_german_sentences(small: Path) -> None:
    with speaking(GERMAN):
        assert told(lambda: new_backup.write(small, small.parent)).endswith(
            "“ ist keine Datei; nenne eine Datei oder einen Ordner"
        )
        assert told(lambda: opened_backup.is_encrypted(small / "b.tar")).endswith(
            "“ ist nicht lesbar (Datei oder Ordner nicht gefunden); nenne eine Sicherung"
        )
        texts = calendar_texts()
        assert {"ein Ende nach dem Anfang", "eines davor", "3 weitere wie diese", "Ohne Titel"} <= {*texts}
        error = picture_error(lambda: picture_files.look(small / "missing.jpg"))
        assert error.expected == "eine Datei „missing.jpg“ neben der Seite"
        assert (error.got, error.remedy) == ("nichts", "bring sie zurück, oder nimm sie aus pictures heraus")


@pytest.mark.skipif(sys.platform != "linux", reason="other systems say it in other words")
def test_the_answers_of_the_system_are_those_of_this_one() -> None:
    own = {os.strerror(number) for number in errno.errorcode}
    assert sorted(system_errors.TEXTS - own) == ["embedded null byte"]  # of Python
