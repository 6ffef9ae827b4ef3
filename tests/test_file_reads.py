"""Reads per request: journal.toml once, and each version of a page once. Counted, not timed.

The openings of a page and their reasons:

    found       when the request opens the journal, or first reads the page
    compared    directly before it is replaced, under the lock, its bytes only, so that no concurrent edit is lost
    shown       after it was replaced, for the offer in the answer, which shows the new files

A page that is only read is opened once, even if the same request opens the journal again. A page that does not exist is
looked up and not opened.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

import journal
from journal import periods
from journal.commands import import_files
from journal.commands import log as logging
from journal.commands.open_journal import open_journal
from journal.evening import triage_list
from journal.pages import form_endpoints, page_params
from journal.pages.forms import Responder
from journal.planning import week_ahead
from tests.evening.evenings import DAY, NEXT, NOW, entered, value, written
from tests.file_reads import counted, rested

MONDAY = dt.date(2025, 3, 10)
FOUND, BEFORE, AFTER, SHOWN = 1, 1, 1, 1
COMPARED = BEFORE + AFTER  # with what it should be, before and after it is replaced


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return rested(
        written(
            tmp_path,
            {
                MONDAY: {"mood": 3, "tasks": [{"title": "Oil the press"}]},
                DAY: {"mood": 3, "tasks": [{"title": "Quote", "estimate": 45}, {"title": "Fold"}, {"title": "Cut"}]},
                NEXT: {"tasks": [{"title": "Sweep"}]},
            },
            '[[tasks]]\ntitle = "Sharpen"\nid = "u2p5"\n',
        )
    )


def read(folder: Path) -> journal.Journal:
    """Open a journal as the notebook does."""
    return journal.open(folder, today=page_params.today(NOW, {}))


@pytest.fixture
def answers(folder: Path) -> Mapping[str, Responder]:
    return form_endpoints.answers(lambda: read(folder), lambda: NOW)


def whole_evening(offer: dict[str, Any], **changed: Any) -> dict[str, Any]:
    """An evening with habits, mood, memory, tasks carried, moved, done and taken in, and a plan for the next day."""
    refs = {task["title"]: task["ref"] for task in offer["tasks"]}
    what = {"Quote": "carry", "Fold": "done", "Cut": "move", "Oil the press": "carry"}
    return entered(
        offer,
        mood=4,
        habits={"walk": True, "read": 24},
        memory="Sewn.",
        tasks=[{"ref": refs[title], "title": title, "what": what[title], "to": "2025-03-20"} for title in what],
        tomorrow={
            "tasks": [
                {"ref": "Sweep", "title": "Sweep", "rank": 1, "from": "page"},
                {"ref": None, "title": "Sharpen", "rank": 2, "from": "undated", "source_ref": "u2p5"},
            ]
        },
        **changed,
    )


def test_an_evening_saved(folder: Path, answers: Mapping[str, Responder]) -> None:
    offer = answers["day"]({"day": str(DAY)})["offer"]
    with counted(folder) as reads:
        reply = answers["save"](whole_evening(offer))
    pages = [f"{day}.toml" for day in (MONDAY, DAY, NEXT, "2025-03-20")] + ["undated.toml"]
    assert reply["answer"]["said"].count(".toml") == len(pages), "all of them are written"
    every_time = dict.fromkeys(pages, FOUND + COMPARED)
    assert reads.opened == {"journal.toml": 1} | every_time | {"2025-03-20.toml": AFTER}
    # Five pages after the save and four before it: the page of 20 March did not exist.
    assert set(reads.parsed.values()) == {1}
    assert len(reads.parsed) == 1 + len(pages) + len(pages) - 1
    # That it is saved is told before the offer of the files as they are then is made.
    assert set(reply) == {"answer"}
    offer = answers["saved"]({"day": str(DAY)})["offer"]
    assert value(offer, "mood") == 4
    assert {task["title"] for task in offer["tomorrow"]["tasks"]} == {"Sweep", "Sharpen", "Quote", "Oil the press"}
    assert offer == answers["day"]({"day": str(DAY)})["offer"]


def test_a_conflicting_evening_opens_each_page_once(folder: Path, answers: Mapping[str, Responder]) -> None:
    offer = answers["day"]({"day": str(DAY)})["offer"]
    path = folder / "2025" / f"{DAY}.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("mood = 3", "mood = 2"), encoding="utf-8")
    rested(folder)
    with counted(folder) as reads:
        reply = answers["save"](whole_evening(offer))
    assert [clash["field"] for clash in reply["answer"]["conflict"]] == ["mood"]
    assert value(reply["offer"], "mood") == 2
    assert reads.opened["journal.toml"] == 1
    assert all(count == FOUND for count in reads.opened.values())
    assert set(reads.parsed.values()) == {1}


@pytest.mark.parametrize(
    ("question", "asked"),
    [
        ("day", {"day": str(DAY)}),
        ("fit", {"day": str(DAY), "tasks": [{"title": "Sew", "estimate": 60}]}),
        ("month", {"month": "2025-03"}),
    ],
)
def test_a_question_opens_each_file_once(
    folder: Path, answers: Mapping[str, Responder], question: str, asked: dict[str, Any]
) -> None:
    read(folder)
    rested(folder)  # the snapshot has other file times, so every page is read
    with counted(folder) as reads:
        answers[question](asked)
    there = {"journal.toml", "undated.toml", *(f"{day}.toml" for day in (MONDAY, DAY, NEXT))}
    assert reads.opened == dict.fromkeys(there, 1)
    assert set(reads.parsed.values()) == {1}


def test_a_month_filled(folder: Path, answers: Mapping[str, Responder]) -> None:
    offer = answers["month"]({"month": "2025-03"})["offer"]
    marks = {"walk": {"2025-03-02": True, str(MONDAY): True, str(DAY): False}}
    rested(folder)
    with counted(folder) as reads:
        reply = answers["save_month"]({"base": offer["base"], "marks": marks})
    assert reply["answer"]["said"] == "Saved 3 days, from 2 March to 13 March."
    assert reads.opened["journal.toml"] == 1
    assert {reads.opened[f"{day}.toml"] for day in (MONDAY, DAY)} == {FOUND + COMPARED}
    assert reads.opened["2025-03-02.toml"] == AFTER  # it is new
    assert set(reads.parsed.values()) == {1}


def test_tasks_decided_on(folder: Path) -> None:
    decide = form_endpoints.decisions(lambda: read(folder), lambda: NOW)["decide"]
    offer = triage_list.offer(read(folder))
    press = next(task.ref for task in offer.tasks if task.title == "Oil the press")
    rested(folder)
    with counted(folder) as reads:
        reply = decide({"base": offer.base, "day": offer.day, "decisions": [{"ref": press, "what": "do"}]})
    assert reply["answer"]["saved"]
    written_pages = [f"{MONDAY}.toml", f"{NEXT}.toml"]
    assert reads.opened == {"journal.toml": 1, "undated.toml": FOUND, f"{DAY}.toml": FOUND} | dict.fromkeys(
        written_pages, FOUND + COMPARED + SHOWN
    )
    assert set(reads.parsed.values()) == {1}


def test_a_task_put_on_a_day_and_taken_back(folder: Path) -> None:
    moves = form_endpoints.moves(lambda: read(folder), lambda: NOW)
    offer = week_ahead.offer(read(folder))
    ref = next(task.ref for task in offer.waiting if task.kind == "undated")
    params: dict[str, Any] = {"base": offer.base, "day": offer.day, "ref": ref, "to": "2025-03-15"}
    for request in ("put", "back"):
        rested(folder)
        with counted(folder) as reads:
            reply = moves[request](params)
        assert reply["saved"]
        is_new = request == "put"
        assert reads.opened.pop("undated.toml") == FOUND + COMPARED + SHOWN
        assert reads.opened.pop("2025-03-15.toml") == (AFTER + SHOWN if is_new else FOUND + BEFORE)
        assert set(reads.opened.values()) == {FOUND}
        assert set(reads.parsed.values()) == {1}
        params = {"undo": reply.get("undo")}


def test_a_day_logged_on_the_command_line(folder: Path) -> None:
    read(folder)
    given = logging.Given(fields={"mood": 4}, habits=("walk",))
    with counted(folder) as reads:
        assert "walk done" in logging.log(folder, given, DAY, now=NOW)
    assert reads.opened["journal.toml"] == 1
    assert reads.opened[f"{DAY}.toml"] == FOUND + COMPARED + SHOWN  # the last for the streak in the message
    assert set(reads.parsed.values()) == {1}


def test_a_table_imported(folder: Path, tmp_path: Path) -> None:
    table = tmp_path / "days.csv"
    table.write_text(f"date,energy\n{MONDAY},4\n{DAY},3\n2025-03-05,2\n", encoding="utf-8")
    with counted(folder) as reads:
        assert import_files.spreadsheet(table, folder, columns=(), order=None, yes=True, dry_run=False) == 0
    days = [f"{day}.toml" for day in (MONDAY, DAY)]
    assert reads.opened == {"journal.toml": 1, "2025-03-05.toml": AFTER} | dict.fromkeys(days, FOUND + COMPARED)
    assert set(reads.parsed.values()) == {1}


def test_a_calendar_imported(folder: Path, tmp_path: Path) -> None:
    calendar = tmp_path / "work.ics"
    calendar.write_text(
        "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:1\nDTSTART:20250313T080000Z\nDTEND:20250313T083000Z\nSUMMARY:Merchant\n"
        "END:VEVENT\nEND:VCALENDAR\n",
        encoding="utf-8",
    )
    read(folder)
    with counted(folder) as reads:
        assert import_files.calendar(calendar, folder, days=None, yes=True, dry_run=False) == 0
    assert "Merchant" in (folder / "2025" / f"{DAY}.toml").read_text(encoding="utf-8")
    assert reads.opened["journal.toml"] == 1
    assert reads.opened[f"{DAY}.toml"] == FOUND + COMPARED
    assert set(reads.parsed.values()) == {1}


def test_a_journal_opened_as_of_the_clocks_day(folder: Path) -> None:
    with counted(folder) as reads:
        open_journal(folder)
    assert reads.opened["journal.toml"] == 1


def test_a_page_written_a_moment_ago_is_opened_again_but_not_parsed_again(
    folder: Path, answers: Mapping[str, Responder]
) -> None:
    """Within a tick of the file system's clock, size and times cannot show whether a file has changed."""
    offer = answers["day"]({"day": str(DAY)})["offer"]
    path = folder / "2025" / f"{DAY}.toml"
    path.write_text(path.read_text(encoding="utf-8") + "# a word\n", encoding="utf-8")
    with counted(folder) as reads:
        assert answers["save"](whole_evening(offer))["answer"]["saved"]
    assert reads.opened[f"{DAY}.toml"] > FOUND + COMPARED + SHOWN
    assert set(reads.parsed.values()) == {1}
    assert "# a word" in path.read_text(encoding="utf-8")


def test_a_review_saved(folder: Path) -> None:
    save = form_endpoints.reviews(lambda: read(folder), lambda: NOW)["save"]
    offer = form_endpoints.review(read(folder), periods.parse("2025-W11", week_starts="monday"))
    answer = {"ref": "What may go?", "prompt": "What may go?", "answer": "The count."}
    rested(folder)
    with counted(folder) as reads:
        reply = save({"base": offer["base"], "period": "2025-W11", "answers": [answer]})
    assert reply["answer"]["saved"]
    assert reads.opened["journal.toml"] == 1
    assert reads.opened["2025-W11.toml"] == AFTER + SHOWN  # it is new
    assert set(reads.parsed.values()) == {1}
    assert reply["offer"]["questions"][1]["answer"] == "The count."
