"""`duskbook show`: rows, promised keys and formats, on two weeks that can be counted by hand."""

from __future__ import annotations

import csv
import io
import json
import os
from pathlib import Path
from typing import Any

import polars as pl
import pytest
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint

from journal.commands import print_frame
from journal.commands.show_catalogue import MEASURES
from journal.export.csv_text import as_csv
from tests.cli.conftest import SETTINGS, Typed

# The promised keys. New keys of a measure go after these; none is ever renamed.
PROMISED = {
    "streaks": "habit unit current current_from pending longest longest_from longest_to",
    "rates": "habit from to due done missed blank rest pending rate low high logged_rate",
    "changes": "habit rate_before rate_after difference low high clear",
    "mood": "period n days mean median sd",
    "links": "habit lag_days n_done n_missed mean_done mean_missed difference superiority p q clear",
    "sleep": "date bed wake minutes",
    "hours": "category from to planned_minutes actual_minutes as_planned_minutes",
    "tasks": "title since status last days carried rank estimate took",
    "waiting": "days at_risk done survival median_days",
    "challenges": "challenge from to days ticks rate longest",
    "coverage": "from to days logged coverage longest_gap",
    "lines": "date kind text",
    "findings": "page text measure n dates",
    "sun": "date rise set day_minutes state",
    "trials": "trial from to days n_on n_off kept effect low high p finished",
    "lots": "trial date arm done outcome",
}
BY_DAY = {"mood": " value trailing_7 trailing_28"}
SUMMED = {
    "sleep": "from to nights mean_minutes bed_mean wake_mean regularity social_jetlag_minutes",
}
AGAINST = ("--from", "2025-03-10", "--against", "2025-W10")


def shown(typed: Typed, measure: str, folder: Path, *more: str) -> list[dict[str, Any]]:
    result = typed("show", measure, folder, "--today", "2025-03-16", "--format", "json", *more)
    assert (result.exit_code, result.stderr) == (0, "")
    rows = json.loads(result.stdout)
    assert isinstance(rows, list)
    return rows


def test_streaks(typed: Typed, small_journal: Path) -> None:
    walk, read, swim = shown(typed, "streaks", small_journal)
    assert walk == {
        "habit": "walk", "unit": "occasion", "current": 7, "current_from": "2025-03-09", "pending": True,
        "longest": 7, "longest_from": "2025-03-09", "longest_to": "2025-03-15",
    }  # fmt: skip
    assert (read["current"], read["current_from"]) == (7, "2025-03-09")
    assert swim == {
        "habit": "swim", "unit": "week", "current": 1, "current_from": "2025-03-10", "pending": False,
        "longest": 1, "longest_from": "2025-03-10", "longest_to": "2025-03-16",
    }  # fmt: skip


def test_a_streak_is_counted_from_the_first_given_day(typed: Typed, small_journal: Path) -> None:
    walk = shown(typed, "streaks", small_journal, "--from", "2025-03-12", "--to", "2025-03-14")[0]
    assert (walk["current"], walk["current_from"], walk["longest_to"]) == (3, "2025-03-12", "2025-03-14")


def test_a_running_week_counts_before_its_middle_day(typed: Typed, small_journal: Path) -> None:
    for day in range(11, 17):
        (small_journal / "2025" / f"2025-03-{day}.toml").unlink()
    tuesday = ("--today", "2025-03-11")
    swim = shown(typed, "streaks", small_journal, *tuesday)[-1]
    assert (swim["current"], swim["pending"]) == (0, True)
    swim = shown(typed, "rates", small_journal, *tuesday)[-1]
    assert [swim[key] for key in ("due", "blank", "pending", "to")] == [2, 1, 1, "2025-03-16"]
    # Up to the day before, the week has no row: it belongs to its Thursday.
    swim = shown(typed, "rates", small_journal, *tuesday, "--to", "2025-03-10")[-1]
    assert (swim["due"], swim["to"]) == (1, "2025-03-09")


def test_rates(typed: Typed, small_journal: Path) -> None:
    walk, read, swim = shown(typed, "rates", small_journal)
    counts = ("due", "done", "missed", "blank", "rest", "pending")
    assert [walk[key] for key in counts] == [14, 11, 1, 1, 0, 1]
    assert [read[key] for key in counts] == [14, 8, 4, 1, 0, 1]
    assert [swim[key] for key in counts] == [2, 1, 0, 1, 0, 0]
    assert walk["rate"] == pytest.approx(11 / 13)
    assert walk["logged_rate"] == pytest.approx(11 / 12)
    worth = walk["n_effective"]
    assert 0 < worth < 13  # fourteen days do not show that a habit is independent from day to day
    expected = proportion_confint(walk["rate"] * worth, worth, method="wilson")
    assert (walk["low"], walk["high"]) == pytest.approx(expected, abs=1e-6)
    assert (walk["from"], walk["to"]) == ("2025-03-03", "2025-03-16")


def test_rates_by_week(typed: Typed, small_journal: Path) -> None:
    weeks = [row for row in shown(typed, "rates", small_journal, "--by", "week") if row["habit"] == "walk"]
    assert [(row["from"], row["to"], row["done"], row["due"]) for row in weeks] == [
        ("2025-03-03", "2025-03-09", 5, 7),
        ("2025-03-10", "2025-03-16", 6, 7),
    ]


def test_changes(typed: Typed, small_journal: Path) -> None:
    walk = shown(typed, "changes", small_journal, *AGAINST)[0]
    assert walk["rate_before"] == pytest.approx(5 / 7)
    assert walk["rate_after"] == 1
    assert walk["difference"] == pytest.approx(2 / 7)
    then, now = walk["n_effective_before"], walk["n_effective_after"]
    expected = confint_proportions_2indep(now, now, 5 / 7 * then, then, method="newcomb", compare="diff")
    assert (walk["low"], walk["high"]) == pytest.approx(expected, abs=1e-6)
    assert walk["clear"] is False
    spelled = shown(typed, "changes", small_journal, *AGAINST[:-1], "2025-03-03..2025-03-09")
    assert spelled[0] == walk


def test_mood(typed: Typed, small_journal: Path) -> None:
    everything = shown(typed, "mood", small_journal, "--by", "all")
    assert len(everything) == 1
    whole = everything[0]
    assert (whole["n"], whole["days"], whole["mean"], whole["median"]) == (12, 14, 3, 3)
    assert whole["sd"] == pytest.approx((28 / 11) ** 0.5)
    weekdays = shown(typed, "mood", small_journal, "--by", "weekday")
    assert [row["period"] for row in weekdays][::6] == ["monday", "sunday"]
    assert [row["n"] for row in weekdays] == [2, 2, 2, 2, 2, 1, 1]


def test_trailing_means_look_back_before_the_first_given_day(typed: Typed, small_journal: Path) -> None:
    days = shown(typed, "mood", small_journal, "--from", "2025-03-15")
    assert [(row["period"], row["value"], row["trailing_7"], row["trailing_28"]) for row in days] == [
        ("2025-03-15", 1, 3, None),
        ("2025-03-16", None, pytest.approx(16 / 6), None),
    ]


def test_links(typed: Typed, small_journal: Path) -> None:
    rows = shown(typed, "links", small_journal)
    assert [(row["habit"], row["lag_days"], row["n_done"], row["n_missed"]) for row in rows] == [
        ("walk", 0, 11, 1), ("walk", 1, 9, 1), ("read", 0, 8, 4), ("read", 1, 6, 4),
        ("swim", 0, 5, 7), ("swim", 1, 5, 5),
    ]  # fmt: skip
    # Seven days on a side are too few for a p; the row has the number needed.
    assert {(row["difference"], row["p"], row["clear"], row["needed"]) for row in rows} == {(None, None, None, 14)}
    earlier = shown(typed, "links", small_journal, "--to", "2025-03-10")
    # The mark of the 10th has the mood of the 11th; the 7th has none, since the 8th has no page.
    assert [(row["n_done"], row["n_missed"]) for row in earlier[:2]] == [(6, 1), (5, 1)]
    yesterday = shown(typed, "links", small_journal, "--today", "2025-03-10")
    assert [row["n_done"] for row in yesterday[:2]] == [6, 4]


def test_a_table_of_links_is_in_points_of_the_scale() -> None:
    frame = pl.DataFrame({"difference": [0.5, -0.04], "superiority": [0.669, None], "p": [1 / 340, 1.0]})
    assert print_frame.as_table(frame).splitlines() == [
        "difference  superiority       p",
        "     +0.50         67 %  0.0029",
        "     -0.04            -  1.0000",
    ]


def test_sleep(typed: Typed, small_journal: Path) -> None:
    assert shown(typed, "sleep", small_journal) == []
    for day, bed, wake, more in (
        (10, "23:00", "06:00", "work"),
        (11, "22:00", "07:00", ""),
        (12, "23:00", "06:30", "work"),
    ):
        page = small_journal / "2025" / f"2025-03-{day}.toml"
        worked = '\nwork = ["09:00-12:00"]' if more else ""
        strip = f'[hours.actual]\nsleep = ["00:00-{wake}", "{bed}-24:00"]{worked}\n'
        page.write_text(page.read_text(encoding="utf-8") + strip, encoding="utf-8")
    # The night to the 10th began on a day without a page, the one to the 13th ended on one.
    nights = shown(typed, "sleep", small_journal)
    assert [(row["date"], row["bed"], row["wake"], row["minutes"]) for row in nights] == [
        ("2025-03-11", "23:00", "07:00", 480),
        ("2025-03-12", "22:00", "06:30", 510),
    ]
    # The evening before the first given day is part of its night.
    assert shown(typed, "sleep", small_journal, "--from", "2025-03-12")[0] == nights[1]
    (whole,) = shown(typed, "sleep", small_journal, "--by", "all")
    assert [whole[key] for key in ("from", "to", "nights", "mean_minutes", "bed_mean", "wake_mean")] == [
        "2025-03-11", "2025-03-12", 2, 495, "22:30", "06:45",
    ]  # fmt: skip
    # Two pairs of days: an hour in the morning and one in the evening differ, then half an hour and an hour.
    assert whole["regularity"] == pytest.approx(-100 + 200 * (2880 - 120 - 90) / 2880)
    assert whole["social_jetlag_minutes"] == pytest.approx(45)  # 3:00 on the free day, 2:15 on the work day
    table = typed("show", "sleep", small_journal, "--today", "2025-03-16", "--by", "all").stdout
    assert table.splitlines()[0].split() == SUMMED["sleep"].split()


def test_coverage(typed: Typed, small_journal: Path) -> None:
    (whole,) = shown(typed, "coverage", small_journal)
    assert whole["coverage"] == pytest.approx(12 / 14)
    assert [whole[key] for key in ("from", "to", "days", "logged", "longest_gap")] == [
        "2025-03-03", "2025-03-16", 14, 12, 1,
    ]  # fmt: skip


def test_lines(typed: Typed, small_journal: Path) -> None:
    lines = shown(typed, "lines", small_journal)
    assert len(lines) == 13
    assert lines[0] == {"date": "2025-03-03", "kind": "gratitude", "text": "=SUM(A1) on the 3th"}
    assert lines[-1] == {"date": "2025-03-16", "kind": "note", "text": "Only planned."}
    assert shown(typed, "lines", small_journal, "--search", "PLÁNNED") == lines[-1:]
    assert shown(typed, "lines", small_journal, "--search", "planned", "--to", "2025-03-15") == []


@pytest.mark.parametrize("measure", PROMISED)
def test_every_promised_key_is_there_in_every_format(typed: Typed, small_journal: Path, measure: str) -> None:
    assert " ".join(MEASURES[measure].keys) == PROMISED[measure]
    more = AGAINST if measure == "changes" else ()
    for by in MEASURES[measure].by or ("",):
        keys = (PROMISED[measure] + (BY_DAY.get(measure, "") if by == "day" else "")).split()
        if measure in SUMMED and by != "day":
            keys = SUMMED[measure].split()
        asked = (*more, "--by", by) if by else more
        for row in shown(typed, measure, small_journal, *asked):
            assert list(row)[: len(keys)] == keys
        for form in ("csv", "table"):
            result = typed("show", measure, small_journal, "--today", "2025-03-16", "--format", form, *asked)
            assert result.exit_code == 0
            head = result.stdout.splitlines()[0]
            assert (head.split(",") if form == "csv" else head.split())[: len(keys)] == keys


def test_every_measure_has_promised_keys() -> None:
    assert list(MEASURES) == list(PROMISED)


def test_csv_text_is_never_a_formula_and_the_help_says_so(typed: Typed, small_journal: Path) -> None:
    result = typed("show", "lines", small_journal, "--today", "2025-03-16", "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(result.stdout)))
    assert rows[0]["text"] == "'=SUM(A1) on the 3th"
    assert rows[-1]["text"] == "Only planned."
    assert "spreadsheet" in typed("show", "--help").output


@pytest.mark.parametrize("start", list("=+-@\t\r\n＝＋－＠"))
def test_text_that_a_spreadsheet_would_run_gets_an_apostrophe(start: str) -> None:
    frame = pl.DataFrame({"text": [f"{start}cmd", "plain = text", None], "difference": [-0.5, 0.5, None]})
    rows = list(csv.reader(io.StringIO(as_csv(frame), newline="")))
    assert rows == [["text", "difference"], [f"'{start}cmd", "-0.5"], ["plain = text", "0.5"], ["", ""]]


def test_a_table_is_rounded_for_reading(typed: Typed, small_journal: Path) -> None:
    result = typed("show", "rates", small_journal, "--today", "2025-03-16")
    assert result.stdout.splitlines()[:2] == [
        "habit  from        to          due  done  missed  blank  rest  pending  rate   low  high  logged_rate",
        "walk   2025-03-03  2025-03-16   14    11       1      1     0        1  85 %  42 %  98 %         92 %",
    ]


def test_line_breaks_and_wide_characters_keep_a_table_aligned() -> None:
    frame = pl.DataFrame({"text": ["two\nlines", "\x1b[31mred", "散歩", "č"], "n": [1, 10, 100, None]})
    assert print_frame.as_table(frame).splitlines() == [
        "text           n",
        "two\\nlines     1",
        "\\x1b[31mred   10",
        "散歩         100",
        "č              -",
    ]


def test_a_journal_without_pages(typed: Typed, tmp_path: Path) -> None:
    (tmp_path / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    for measure in MEASURES:
        more = AGAINST if measure == "changes" else ()
        result = typed("show", measure, tmp_path, "--today", "2025-03-16", "--format", "json", *more)
        assert (result.exit_code, result.stderr) == (0, ""), measure
        assert isinstance(json.loads(result.stdout), list)


def test_problems_are_mentioned_on_standard_error(typed: Typed, small_journal: Path) -> None:
    (small_journal / "2025" / "2025-03-08.toml").write_text("mood = \n", encoding="utf-8")
    result = typed("show", "coverage", small_journal, "--today", "2025-03-16", "--format", "json")
    assert result.exit_code == 0
    assert json.loads(result.stdout)[0]["logged"] == 12
    assert result.stderr == f'duskbook: 1 problem in this journal; "duskbook check {small_journal}" tells where\n'


def test_the_folder_comes_from_the_environment_or_the_current_one(
    typed: Typed, small_journal: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    named = typed("show", "streaks", small_journal, "--today", "2025-03-16").stdout
    monkeypatch.setenv("DUSKBOOK_FOLDER", os.fspath(small_journal))
    assert typed("show", "streaks", "--today", "2025-03-16").stdout == named
    monkeypatch.setenv("DUSKBOOK_FOLDER", os.fspath(tmp_path / "gone"))
    monkeypatch.chdir(small_journal)
    assert typed("show", "streaks", "--today", "2025-03-16").exit_code == 2, "what is named goes before what is here"
    monkeypatch.delenv("DUSKBOOK_FOLDER")
    assert typed("show", "streaks", "--today", "2025-03-16").stdout == named


def test_a_table_of_trials_is_in_units_of_the_outcome() -> None:
    """An end of an interval is a share elsewhere: 0.14 points of mood would read 14 %."""
    row = {
        "trial": "walking",
        "kept": 0.75,
        "effect": -0.213,
        "low": -0.566,
        "high": 0.138,
        "p": 0.2247,
        "finished": True,
    }
    assert print_frame.as_table(pl.DataFrame([row])).splitlines()[1].split("  ") == [
        "walking", "75 %", " -0.21", "-0.57", "+0.14", "0.2247", "yes",
    ]  # fmt: skip
