"""The report of a trial answers every item of CENT 2015, and tells no result before its time."""

from __future__ import annotations

from pathlib import Path

from journal.measures import trial_report
from journal.measures.trial_report import REPORT_PARTS, ReportItem
from tests.journals import days_between
from tests.measures.test_trials import DAY, END, FIRST, as_drawn, opened, row

# Shamseer et al. (2015), BMJ 350, h1793: the items of CONSORT 2010 with those that CENT adds or splits. Read up to 6a
# in the table of Systematic Reviews 2015 (doi 10.1186/s13643-015-0071-x); the numbers of the others are from memory.
ITEMS = (
    "1a 1b 2a.1 2a.2 2b 3a 3b 4a 4b 4c 5 6a 6b 6c 7a 7b 8a 8b 8c 9 10 11a 11b 12a 12b 12c 13a 13b 13c 14a 14b 15 16 "
    "17a.1 17a.2 17b 18 19 20 21 22 23 24 25"
)


def items(folder: Path, **changes: object) -> dict[str, ReportItem]:
    today = changes.pop("today", END + DAY)
    pages = as_drawn()
    if changes.pop("low", False):
        pages |= {date: {"mood": 1} for date in days_between(FIRST + 4 * DAY, FIRST + 17 * DAY)}
    book = opened(folder, pages, today, **changes)  # type: ignore[arg-type]
    found = trial_report.report(book.trials[0], row(book), book.settings)
    return {item.item: item for item in found}


def test_every_item_has_an_answer_in_a_part_of_the_report(tmp_path: Path) -> None:
    found = items(tmp_path)
    assert " ".join(found) == ITEMS
    assert all(item.answer and item.part in REPORT_PARTS for item in found.values())
    assert found["17a.2"].answer.startswith("On days drawn on, mood was 1.0 higher, 95\xa0% interval ")
    assert found["7a"].answer.startswith("32 days, fixed before the first")
    assert found["8c"].answer == "pairs whose first block is on (+): ++-+++-+"
    assert found["13c"].answer == "done as drawn on 32 of 32 days"


def test_a_running_trial_tells_no_result(tmp_path: Path) -> None:
    found = items(tmp_path, today=FIRST + 20 * DAY)
    assert found["17a.2"].answer == "not shown before the end"
    assert not any("higher" in item.answer or "lower" in item.answer for item in found.values())
    assert found["14b"].answer == "still running"


def test_looks_stops_and_care_are_told(tmp_path: Path) -> None:
    stop = FIRST + 28 * DAY
    stopped = items(tmp_path / "a", today=stop, stopped=stop, looked=[FIRST + 20 * DAY])
    assert stopped["7b"].answer == "looked once before the end; stopped by choice"
    assert "count it as a test" in stopped["20"].answer
    interrupted = items(tmp_path / "b", low=True)
    assert interrupted["14b"].answer == "interrupted after many low days"
    assert interrupted["19"].answer == "low mood is watched for: it ended the trial"


def test_days_without_outcomes_are_no_hidden_result(tmp_path: Path) -> None:
    pages = {date: {"habits": {"walk": True}} for date in as_drawn()}
    book = opened(tmp_path, pages, END + 2 * DAY)
    (told,) = (item for item in trial_report.report(book.trials[0], row(book), book.settings) if item.item == "17a.2")
    assert told.answer == "too few days have an outcome"
