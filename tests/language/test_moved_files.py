"""Each problem of a file is from the catalogue, in whichever language it is shown."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest

import journal
from journal.commands.open_journal import open_journal
from journal.errors import Problem
from journal.folder import (
    calendar_files,
    discover,
    earlier_settings,
    reading,
    save_record,
    stray_files,
    syntax_words,
    writing,
)
from journal.folder.page_versions import Base, file_of
from journal.language.languages import ENGLISH, GERMAN
from journal.language.spoken import speaking
from tests.folder.journals import DAY as PATH
from tests.folder.journals import SETTINGS, begin, load, put
from tests.folder.test_check_trials import WRONG
from tests.folder.test_check_trials import settings as trial_settings
from tests.language.file_words import new_folder, ours, unsaid
from tests.language.test_moved_parts import PSEUDO

DAY = "2025-03-04"
NOW = dt.datetime(2025, 3, 4, 21, 0, tzinfo=dt.UTC)


def test_each_problem_of_a_page_is_from_the_catalogue(tmp_path: Path) -> None:
    names = reading.read_settings(begin(tmp_path)).known
    problems = list[tuple[Problem, str]]()
    for case in (*load("day_problems"), *load("syntax_problems")):
        found = reading.check(file_of(DAY, PATH), case["page"], names)
        problems += [(problem, f"{SETTINGS} sers {case['page']}") for problem in found]
    review = Base("2025-W10", "2025-W10.toml", b'[decisions]\nwalk = "keep"')
    pages = [
        review,
        Base(DAY, PATH, b"pictures = [" + b'"a.jpg",' * 45 + b"]\n[captions]\n'a.jpg' = '" + b"x" * 1001 + b"'"),
    ]
    problems += [(problem, SETTINGS) for page in pages for problem in reading.read_base(page, names)[1]]
    assert len(problems) > 100
    with speaking(PSEUDO):
        assert unsaid(problems) == []
        texts = [str(text) for _, *texts in syntax_words._MEANINGS for text in texts]
        assert [word for text in texts if "{" not in text for word in ours(text)] == []
        assert not [str(one) for one, _ in problems if "expected" in str(one)]


def test_each_problem_of_the_settings_is_from_the_catalogue(tmp_path: Path) -> None:
    problems = list[tuple[Problem, str]]()
    texts = [f'title = "Kept"\n{case["added"]}\n' for case in load("settings_problems")]
    broken = (Path(__file__).parents[1] / "folder" / "broken_settings.toml").read_text(encoding="utf-8")
    for text in (
        *texts,
        broken,
        SETTINGS + "\n[[habits]\n",
        'x = ["a"\ny = 1\n[day\nturns = "04:00"\n',
        "x = 1\n" * 60,
    ):
        problems += [
            (one, text) for one in reading.basis_of(Base("settings", "journal.toml", text.encode()), tmp_path).problems
        ]
    for change, *_rest in WRONG:
        problems += [(one, str(change) + "walk read evening") for one in trial_settings(tmp_path, change).problems]
    assert len(problems) > 150
    with speaking(PSEUDO):
        assert unsaid(problems) == []


STRAYS = (
    "2025/2025-05-10.toml.txt", "2025/03-05-2025.toml", "2025/2025-02-30.toml", "2025/2025-13.toml", "1025.toml",
    "2025/2025-13-01.toml", "2025/2025-W60.toml", "2025/journal.toml", "2025/2025-03-04 (1).toml", "plan.toml",
    "2025/.2025-04-01.toml.icloud", "undated 2.toml", "journal 2.toml", "9025.toml", "2031/2031-01-01.toml",
)  # fmt: skip


def test_each_problem_of_the_folder_is_from_the_catalogue(tmp_path: Path) -> None:
    folder = begin(new_folder(tmp_path), pages={PATH: "mood = 3"})
    for name in STRAYS:
        put(folder, name, "" if name.startswith("2025/.") else "mood = 4")
    (tmp_path / "outside.toml").write_text("mood = 2")
    (folder / "2025" / "2025-03-09.toml").symlink_to(tmp_path / "outside.toml")
    (folder / "2025" / "2025-03-10.toml").symlink_to("nowhere")
    (folder / "elsewhere").symlink_to(tmp_path)
    os.mkfifo(folder / "2025" / "2025-03-11.toml")
    (folder / os.fsdecode(b"caf\xe9")).mkdir()
    (folder / "2025" / "2025-03-12.toml").write_bytes(b"mood = 4 # \xff")
    (folder / "2025" / "2025-03-13.toml").write_bytes("mood = 4".encode("utf-16"))
    (folder / "2025" / "2025-03-14.toml").write_text("x" * (discover.SIZE_LIMIT + 1))
    (folder / "undated.toml").mkdir()
    history = folder / ".history"
    history.mkdir(mode=0o700)
    (history / f"unfinished {DAY}.toml").write_text("mood = 4")
    pages = [(Base(key, f"{key}.toml", None), Base(key, f"{key}.toml", b"")) for key in ("undated", "2025")]
    with pytest.raises(ZeroDivisionError), save_record.kept(folder, pages, NOW, "evening"):
        _ = 1 / 0
    book = journal.open(folder, today=DAY)
    calendars = calendar_files.read(folder, ["https://example.org/a.ics", "", "/dev/null", "\0", "none.ics"])
    problems = [*book.problems, *calendars.problems, stray_files.empty("2025/2025-03-15.toml")]
    assert len(problems) > 25
    source = "caf xe xFF txt elsewhere xE journal undated unfinished example org none dev null plan icloud"
    with speaking(PSEUDO):
        assert unsaid([(problem, source) for problem in problems]) == []


def test_what_stands_in_for_broken_settings_is_from_the_catalogue(tmp_path: Path) -> None:
    folder = begin(tmp_path)
    base = reading.read_settings(folder).base
    writing.save(folder, "settings", base, {("clock",): 12}, now=NOW, by="settings")
    text = (folder / "journal.toml").read_text(encoding="utf-8")
    few = text.replace('title = "', "title = ", 1).replace('"FREQ=DAILY"', '"FREQ=DAILY', 1)
    all_habits = (
        text.replace('every = "', "every = ").replace('name = "', "name = ").replace("[[challenges]]", "[[challenges")
    )
    problems = list[tuple[Problem, str]]()
    for broken in (few, all_habits, "\xff", "clock = 12\n[day\nturns = 1\n"):
        (folder / "journal.toml").write_text(broken, encoding="latin-1")
        problems += [(one, f"{SETTINGS} xFF") for one in reading.read_settings(folder).problems]
    assert len(problems) > 8
    with speaking(PSEUDO):
        assert unsaid(problems) == []
    assert isinstance(earlier_settings.last(folder), earlier_settings.EarlierSettings)


def test_two_languages_read_one_folder_and_its_cache(tmp_path: Path) -> None:
    """A program reads it in English and a command in German, each from the snapshot that the other has written."""
    german = f'language = "de"\nmood.high = "x"\n{SETTINGS}'
    folder = begin(tmp_path, german, pages={PATH: "mood = 7.5\n", "2025/2025-03-05.toml": "mood = ["})
    for path in folder.rglob("*.toml"):
        os.utime(path, ns=(10**18, 10**18))
    words = {
        ENGLISH: (
            "expected a number from 1 to 5, got 7.5; write one in between, or change [mood] in journal.toml",
            'expected a "]" for the list that begins here, got none; close the list',
        ),
        GERMAN: (
            (
                "erwartet: eine Zahl von 1 bis 5; gefunden: 7.5; "
                "schreib eine dazwischen, oder ändere [mood] in journal.toml"
            ),
            'erwartet: ein "]" für die Liste, die hier beginnt; gefunden: nichts; schließ die Liste',
        ),
    }
    kept = (folder / ".cache" / "snapshot").read_bytes
    written = []
    for language in (ENGLISH, GERMAN, ENGLISH):
        with speaking(language):
            book = journal.open(folder, today=DAY)
            assert [str(one).partition(": ")[2].removeprefix("mood: ") for one in book.problems[:2]] == [
                *words[language]
            ]
            assert ("write one without" in str(book.problems[2])) == (language is ENGLISH)
        written.append(kept())
        again = [str(one) for one in book.problems]  # what is in memory, in the other language
        assert again[0].endswith(words[ENGLISH][0])
    assert len(set(written)) == 1
    with speaking(ENGLISH):
        of_command = open_journal(folder, dt.date(2025, 3, 4))
        assert str(of_command.problems[0]).endswith(words[GERMAN][0])


def test_a_word_that_is_not_from_the_catalogue_is_found() -> None:
    assert ours('ŕéþļý not a "sewn" 2025/2025-03-04.toml', "sewn") == ["not"]
