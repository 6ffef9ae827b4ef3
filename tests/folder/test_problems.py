"""Every problem of journal.toml, reviews, undated.toml and TOML syntax: the exact message."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal.entry import Answer, Review, Undated, UndatedTask
from journal.folder import reading
from journal.settings import DEFAULT_CATEGORIES
from tests import journals
from tests.folder.journals import DAY, SETTINGS, begin, load, read, read_day

TITLE = 'title = "Kept"\n'
HOME = f"\n{journals.HOME}"


@pytest.mark.parametrize("case", load("settings_problems"), ids=lambda case: case["line"].split(";")[0])
def test_one_invalid_setting_is_one_message_and_the_rest_is_kept(tmp_path: Path, case: dict[str, str]) -> None:
    number, rest = case["line"].split(":", 1)
    basis = reading.read_settings(begin(tmp_path, f"{TITLE}{case['added']}\n{HOME}"))
    assert [str(problem) for problem in basis.problems] == [f"journal.toml:{int(number) + 1}:{rest}"]
    assert basis.settings.title == "Kept"
    assert "home" in [place.key for place in basis.settings.places]


@pytest.mark.parametrize("case", load("syntax_problems"), ids=lambda case: case["line"].split(";")[0])
def test_broken_toml_is_one_message_and_affects_only_that_page(tmp_path: Path, case: dict[str, str]) -> None:
    begin(tmp_path, pages={"2025/2025-03-03.toml": "mood = 3", "2025/2025-03-05.toml": "mood = 5"})
    entry, problems = read_day(tmp_path, case["page"])
    assert entry is None
    assert problems == [case["line"]]
    assert list(read(tmp_path)[0]) == ["2025-03-03", "2025-03-05"]


@pytest.mark.parametrize(
    ("source", "lines"),
    [
        (
            "",
            [
                (
                    "journal.toml: places: expected at least one [[places]], got none; "
                    "add a [[places]] with key, name, latitude, longitude and timezone"
                ),
                'journal.toml: title: expected the key "title", got none; add e.g. title = "..."',
            ],
        ),
        (
            TITLE + "places = []",
            [
                (
                    "journal.toml:2:10: places: expected at least one [[places]], got none; "
                    "add a [[places]] with key, name, latitude, longitude and timezone"
                )
            ],
        ),
        (
            TITLE + HOME.replace('"Europe/Ljubljana"', '"Europe/Lubljana"'),
            [
                (
                    'journal.toml:8:12: places[0].timezone: expected a time zone, got "Europe/Lubljana"; '
                    'write "Europe/Ljubljana"'
                )
            ],
        ),
        (
            TITLE + "x = [",
            ['journal.toml:2:5: expected a "]" for the list that begins here, got none; close the list'],
        ),
    ],
    ids=["empty", "no places", "no place that can be used", "no TOML"],
)
def test_missing_required_settings_have_defaults(tmp_path: Path, source: str, lines: list[str]) -> None:
    basis = reading.read_settings(begin(tmp_path, source))
    assert [str(problem) for problem in basis.problems] == lines
    assert basis.settings.categories == DEFAULT_CATEGORIES
    assert basis.settings.places == ()
    assert basis.settings.title == ("Kept" if TITLE in source else tmp_path.name)


def test_unreadable_settings_make_no_name_unknown(tmp_path: Path) -> None:
    page: dict[str, str | bytes] = {
        DAY: 'place = "x"\n[habits]\nwalk = 3\n[challenges]\nx = true\n[hours.actual]\nx = ["00:00-01:00"]\n'
    }
    pages, problems = read(begin(tmp_path, "title =", page))
    assert problems == []
    assert len(pages) == 1


def test_a_dropped_definition_keeps_its_name_known(tmp_path: Path) -> None:
    settings = SETTINGS.replace('"FREQ=DAILY"', '"DAILY"', 1) + '[[categories]]\nkey = "desk"\n'
    page: dict[str, str | bytes] = {DAY: '[habits]\nwalk = true\n[hours.actual]\ndesk = ["08:00-09:00"]\n'}
    folder = begin(tmp_path, settings, page)
    assert len(reading.read_settings(folder).problems) == 2
    pages, problems = read(folder)
    assert problems == []
    assert pages["2025-03-04"].habits == {"walk": True}  # type: ignore[union-attr]


def test_a_habit_that_changes_is_counted_from_that_day_on(tmp_path: Path) -> None:
    later = '[[habits]]\nkey = "walk"\nname = "Walk"\nevery = "FREQ=DAILY"\nfrom = 2025-03-04\ntarget = 30\n'
    page = "[habits]\nwalk = 20\n"
    folder = begin(tmp_path, SETTINGS + later, {"2025-03-03.toml": page, "2025-03-04.toml": page})
    _, problems = read(folder)
    assert [(problem.path, problem.where) for problem in problems] == [("2025-03-03.toml", "habits.walk")]


@pytest.mark.parametrize(
    ("path", "page", "lines"),
    [
        (
            "2025-W11.toml",
            'decisions = { walk = "keep" }',
            [
                (
                    "1:1: decisions: expected decisions on the page of a month, got some on that of a week; "
                    "move them to the page of a month, e.g. 2025-03.toml"
                )
            ],
        ),
        (
            "2025-03.toml",
            'decisions = { wlak = "keep", read = "kep" }',
            [
                '1:15: decisions.wlak: expected a habit of journal.toml, got "wlak"; write "walk"',
                '1:37: decisions.read: expected "change", "drop", "keep" or "rest", got "kep"; write "keep"',
            ],
        ),
        (
            "2025.toml",
            '[[reflection]]\nanswer = "Slow."\n[[reflection]]\nprompt = "What?"\nansr = "x"',
            [
                '1:1: reflection[0]: expected the key "prompt", got none; add e.g. prompt = "..."',
                '5:1: reflection[1].ansr: expected a key that is known here, got "ansr"; write "answer"',
            ],
        ),
        (
            "2025.toml",
            "mood = 4",
            [
                (
                    '1:1: mood: expected a key that is known here, got "mood"; '
                    'write "reflection", "decisions", "decision_dates" or "notes"'
                ),
            ],
        ),
    ],
)
def test_reviews(tmp_path: Path, path: str, page: str, lines: list[str]) -> None:
    _, problems = read(begin(tmp_path, pages={path: page}))
    assert [str(problem) for problem in problems] == [f"{path}:{line}" for line in lines]


def test_valid_reviews(tmp_path: Path) -> None:
    page = 'notes = ["x"]\n[[reflection]]\nprompt = "What?"\nanswer = "Slow."\n'
    month = 'decisions = { walk = "keep", read = "rest" }\n' + page
    pages, problems = read(begin(tmp_path, pages={"2025-W11.toml": page, "2025-03.toml": month, "2025.toml": page}))
    answers = (Answer(prompt="What?", answer="Slow."),)
    assert problems == []
    assert pages["2025-W11"] == pages["2025"] == Review(reflection=answers, notes=("x",))
    assert pages["2025-03"] == Review(reflection=answers, notes=("x",), decisions={"walk": "keep", "read": "rest"})


def test_undated(tmp_path: Path) -> None:
    begin(tmp_path)
    assert reading.read_undated(tmp_path) == (Undated(), ())
    page = '[[tasks]]\ntitle = "A"\nestimate = 0\nid = "x"\n[[tasks]]\ntitel = "B"\n[[tasks]]\ntitle = "C"\nid = "x"\n'
    (tmp_path / "undated.toml").write_text(page, encoding="utf-8")
    undated, problems = reading.read_undated(tmp_path)
    assert undated == Undated(tasks=(UndatedTask(title="A", id="x"), UndatedTask(title="C")))
    assert [str(problem) for problem in problems] == [
        "undated.toml:3:12: tasks[0].estimate: expected minutes, more than 0, got 0; write e.g. 45, or leave it out",
        'undated.toml:6:1: tasks[1].titel: expected a key that is known here, got "titel"; write "title"',
        (
            'undated.toml:9:6: tasks[2].id: expected an id that no other task has ("A" has it), got "x"; '
            "take it out; Duskbook gives a task its id when it first carries it"
        ),
    ]
