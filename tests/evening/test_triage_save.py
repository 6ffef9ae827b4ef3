"""Saving triage decisions: a task is on the decided page and on no other, and no interruption loses one."""

from __future__ import annotations

import datetime as dt
import itertools
import tempfile
import tomllib
from pathlib import Path
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from journal.errors import WriteError
from journal.evening import triage_list, triage_save
from journal.folder import writing
from journal.measures import tasks as measure
from journal.saving.save_pages import SaveResult
from tests.evening.evenings import fields, opened, text, written

TODAY = dt.date(2025, 3, 16)  # a Sunday
NEXT = dt.date(2025, 3, 17)
NOW = dt.datetime(2025, 3, 16, 17, 5, tzinfo=dt.UTC)  # 18:05 in Ljubljana
MONDAY, FRIDAY, LATER = dt.date(2025, 3, 10), dt.date(2025, 3, 14), dt.date(2025, 3, 20)

QUOTE: dict[str, Any] = {"title": "Quote", "estimate": 45, "since": dt.date(2025, 3, 3), "id": "t7k2"}
BEFORE: dict[dt.date, dict[str, Any]] = {
    MONDAY: {"tasks": [QUOTE | {"status": "carried"}]},
    FRIDAY: {"tasks": [QUOTE | {"status": "carried"}]},
}
TIN = '# Some day.\n[[tasks]]\ntitle = "Sort the tin"\nsince = 2025-01-02\nid = "u2p5"\n'


def offered(folder: Path, today: dt.date = TODAY) -> dict[str, Any]:
    plain = msgspec.json.decode(msgspec.json.encode(triage_list.offer(opened(folder, today))))
    assert isinstance(plain, dict)
    return plain


def decided(folder: Path, offer: dict[str, Any], *decisions: dict[str, Any]) -> SaveResult:
    """The answer to decisions, each for the task whose title is in "of"; through JSON as in the browser."""
    refs = {task["title"]: task["ref"] for task in offer["tasks"]}
    rows = [{"ref": refs[one["of"]]} | {k: v for k, v in one.items() if k != "of"} for one in decisions]
    sent = msgspec.json.decode(msgspec.json.encode({"base": offer["base"], "day": offer["day"], "decisions": rows}))
    return triage_save.decide(opened(folder, TODAY), sent, now=NOW)


def tasks(folder: Path, day: dt.date | None) -> list[dict[str, Any]]:
    """The tasks of a page, or the undated tasks."""
    whole = text(folder, day) if day else (folder / "undated.toml").read_text(encoding="utf-8")
    task_tables = tomllib.loads(whole).get("tasks", [])
    assert isinstance(task_tables, list)
    return task_tables


def test_the_list_shows_age_carries_and_place(tmp_path: Path) -> None:
    pages = BEFORE | {NEXT: {"tasks": [QUOTE]}, MONDAY: {"tasks": [QUOTE | {"status": "carried"}, {"title": "Fold"}]}}
    offer = offered(written(tmp_path, pages, TIN))
    assert [(task["title"], task["said"], task["where"], task["kind"]) for task in offer["tasks"]] == [
        ("Quote", "since 3 March, carried twice, 45 min", "tomorrow", "ahead"),
        ("Sort the tin", "since 2 January", "without a day", "undated"),
        ("Fold", "since Monday", "left on Monday 10 March", "behind"),
    ]
    assert (offer["day"], offer["tomorrow"], offer["more"]) == ("2025-03-16", "2025-03-17", 0)


def test_a_task_without_a_first_day_is_not_said_to_have_waited_long(tmp_path: Path) -> None:
    """Sort the tin has waited since January, Oil the press for nobody knows how long, Quote was carried on Friday."""
    quote = {"title": "Quote", "id": "t7k2", "since": dt.date(2025, 3, 12), "status": "carried"}
    undated = TIN + '[[tasks]]\ntitle = "Oil the press"\n[[tasks]]\ntitle = "Quote"\nid = "t7k2"\nsince = 2025-03-12\n'
    days = (dt.date(2025, 3, 12), dt.date(2025, 3, 13))
    offer = offered(written(tmp_path, {day: {"tasks": [quote]} for day in days}, undated))
    assert {task["title"]: (task["kind"], task["waits"]) for task in offer["tasks"]} == {
        "Quote": ("undated", "short"),
        "Sort the tin": ("undated", "long"),
        "Oil the press": ("undated", "unknown"),
    }


@pytest.mark.parametrize(("what", "to", "day"), [("do", None, NEXT), ("day", "2025-03-20", LATER)])
def test_a_task_of_a_past_day_moves_to_the_chosen_day(tmp_path: Path, what: str, to: str | None, day: dt.date) -> None:
    folder = written(tmp_path, {FRIDAY: {"tasks": [{"title": "Fold", "estimate": 20, "rank": 1}]}})
    assert decided(folder, offered(folder), {"of": "Fold", "what": what, "to": to}).saved
    (left,), (there,) = tasks(folder, FRIDAY), tasks(folder, day)
    own = {"since": FRIDAY, "id": left["id"]}
    assert left == {"title": "Fold", "estimate": 20, "rank": 1, "status": "carried"} | own
    assert there == {"title": "Fold", "status": "open", "estimate": 20} | own
    assert not opened(folder, TODAY).problems


def test_a_task_of_a_later_page_moves_to_tomorrow(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {LATER: {"tasks": [QUOTE | {"rank": 1}, {"title": "Sew"}]}})
    assert decided(folder, offered(folder), {"of": "Quote", "what": "do"}).saved
    assert tasks(folder, NEXT) == [QUOTE | {"status": "open"}]
    assert tasks(folder, LATER) == [{"title": "Sew"}]


def test_a_task_already_on_tomorrow_is_unchanged(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {NEXT: {"tasks": [QUOTE | {"rank": 1}]}})
    before = text(folder, NEXT)
    assert decided(folder, offered(folder), {"of": "Quote", "what": "do"}).said.startswith("Nothing to save")
    assert text(folder, NEXT) == before


def test_unknown_keys_are_not_lost(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {LATER: {"tasks": [QUOTE | {"colour": "grey"}]}})
    before = text(folder, LATER)
    (trouble,) = decided(folder, offered(folder), {"of": "Quote", "what": "do"}).problems
    assert trouble.field == "decisions.0"
    assert trouble.message == 'It has "colour" in 2025/2025-03-20.toml, which would be lost; move it by hand.'
    assert (text(folder, LATER), text(folder, NEXT)) == (before, "")
    assert decided(folder, offered(folder), {"of": "Quote", "what": "drop"}).saved
    assert tasks(folder, LATER)[0]["colour"] == "grey"


def test_a_shrunk_task_stays_on_its_page_and_keeps_its_id(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {NEXT: {"tasks": [QUOTE | {"rank": 2}]}}, TIN)
    smaller = {"of": "Quote", "what": "shrink", "title": "Ask the choir for its sizes", "estimate": 10}
    assert decided(folder, offered(folder), smaller).saved
    assert tasks(folder, NEXT) == [QUOTE | {"title": "Ask the choir for its sizes", "estimate": 10, "rank": 2}]
    tin = {"of": "Sort the tin", "what": "shrink", "title": "Sort the brass buttons", "estimate": None}
    assert decided(folder, offered(folder), tin).saved
    assert tasks(folder, None)[0]["title"] == "Sort the brass buttons"
    assert tasks(folder, None)[0]["id"] == "u2p5"
    assert (folder / "undated.toml").read_text(encoding="utf-8").startswith("# Some day.\n")


def test_a_shrunk_task_of_a_past_day_moves_to_tomorrow_and_the_day_keeps_the_old_title(tmp_path: Path) -> None:
    folder = written(tmp_path, {FRIDAY: {"tasks": [{"title": "Fold", "estimate": 90}]}})
    smaller = {"of": "Fold", "what": "shrink", "title": "Fold ten", "estimate": 15}
    assert decided(folder, offered(folder), smaller).saved
    (left,), (there,) = tasks(folder, FRIDAY), tasks(folder, NEXT)
    assert (left["title"], left["estimate"], left["status"]) == ("Fold", 90, "carried")
    assert (there["title"], there["estimate"], there["status"], there["id"]) == ("Fold ten", 15, "open", left["id"])


def test_a_task_carried_by_hand_stays_one_task_under_a_new_title(tmp_path: Path) -> None:
    row = {"title": "Fold", "since": MONDAY}
    pages: dict[dt.date, dict[str, Any]] = {
        MONDAY: {"tasks": [{"title": "Fold", "status": "carried"}]},
        FRIDAY: {"tasks": [row | {"status": "carried"}]},
    }
    folder = written(tmp_path, pages | {TODAY: {"tasks": [row]}})
    assert decided(folder, offered(folder), {"of": "Fold", "what": "shrink", "title": "Fold ten"}).saved
    (life,) = measure.lives(opened(folder, TODAY).tables.tasks, today=TODAY).iter_rows(named=True)
    assert (life["title"], life["since"], life["carried"]) == ("Fold ten", MONDAY, 2)


def test_a_drop_is_marked_on_its_page_and_an_undated_task_leaves_a_record(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {LATER: {"tasks": [QUOTE]}, MONDAY: {"tasks": [{"title": "Fold"}]}}, TIN)
    offer = offered(folder)
    drops = [{"of": title, "what": "drop"} for title in ("Fold", "Sort the tin")]
    assert decided(folder, offer, *drops).saved
    assert tasks(folder, MONDAY) == [{"title": "Fold", "status": "dropped"}]
    assert tasks(folder, TODAY) == [
        {"title": "Sort the tin", "status": "dropped", "since": dt.date(2025, 1, 2), "id": "u2p5"}
    ]
    assert tasks(folder, None) == []
    assert not offered(folder)["tasks"] or "Fold" not in {task["title"] for task in offered(folder)["tasks"]}


def test_a_drop_on_a_future_page_can_be_reversed(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {LATER: {"tasks": [QUOTE]}})
    assert decided(folder, offered(folder), {"of": "Quote", "what": "drop"}).saved
    assert tasks(folder, LATER) == [QUOTE | {"status": "dropped"}]
    assert offered(folder)["tasks"] == []
    path = folder / "2025" / f"{LATER}.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("dropped", "open"), encoding="utf-8")
    assert [task["title"] for task in offered(folder)["tasks"]] == ["Quote"]


def test_a_carried_task_that_is_on_no_later_page_can_be_decided(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE)
    offer = offered(folder)
    assert offer["tasks"][0]["ref"] == "2025-03-14/t7k2"
    assert decided(folder, offer, {"of": "Quote", "what": "day", "to": "2025-03-16"}).saved
    assert tasks(folder, TODAY) == [{"title": "Quote", "status": "open"} | QUOTE]


def test_a_task_on_two_pages_is_on_one_after_the_decision(tmp_path: Path) -> None:
    """As after an interrupted save: open on its old page and its new one, and in the undated list."""
    pages = BEFORE | {TODAY: {"tasks": [QUOTE]}, LATER: {"tasks": [QUOTE]}}
    undated = '[[tasks]]\ntitle = "Quote"\nsince = 2025-03-03\nid = "t7k2"\n'
    folder = written(tmp_path, pages, undated)
    assert decided(folder, offered(folder), {"of": "Quote", "what": "do"}).saved
    assert [one["status"] for one in tasks(folder, TODAY)] == ["carried"]
    assert [one["status"] for one in tasks(folder, NEXT)] == ["open"]
    assert (tasks(folder, LATER), tasks(folder, None)) == ([], [])


def test_a_clash_is_a_conflict_with_both_values(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {TODAY: {"tasks": [QUOTE]}}, TIN)
    offer = offered(folder)
    path = folder / "2025" / f"{TODAY}.toml"
    path.write_text(text(folder, TODAY) + 'status = "done"\n', encoding="utf-8")
    before = {path.name: path.read_bytes() for path in folder.rglob("*.toml")}
    answer = decided(folder, offer, {"of": "Quote", "what": "do"}, {"of": "Sort the tin", "what": "drop"})
    assert not answer.saved
    (one,) = answer.conflict
    assert (one.field, one.yours, one.theirs, one.file) == (
        "decisions.0.status", "carried", "done", "2025/2025-03-16.toml",
    )  # fmt: skip
    assert {path.name: path.read_bytes() for path in folder.rglob("*.toml")} == before


def test_a_task_removed_in_another_tab_is_rejected_and_other_changes_are_kept(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE | {TODAY: {"tasks": [QUOTE]}}, TIN)
    offer = offered(folder)
    (folder / "undated.toml").write_text(TIN.replace("Sort the tin", "Sort both tins"), encoding="utf-8")
    (folder / "2025" / f"{TODAY}.toml").write_text("mood = 4\n" + text(folder, TODAY), encoding="utf-8")
    assert decided(folder, offer, {"of": "Quote", "what": "do"}).said.endswith(
        "What was changed there meanwhile is kept."
    )
    assert text(folder, TODAY).startswith("mood = 4\n")
    (one,) = decided(folder, offer, {"of": "Sort the tin", "what": "do"}).conflict
    assert (one.field, one.yours) == ("decisions.0", None)
    assert one.theirs["title"] == "Sort both tins"


@pytest.mark.parametrize(
    ("decision", "field", "message"),
    [
        ({"what": "day"}, "decisions.0.to", "Expected the day to set it on, got none; write e.g. 2025-03-23."),
        ({"what": "day", "to": "2025-03-15"}, "decisions.0.to", "Expected a day from 2025-03-16 on"),
        ({"what": "day", "to": "soon"}, "decisions.0.to", 'There is no day "soon"'),
        ({"what": "shrink", "title": " "}, "decisions.0.title", "This task has no title"),
        ({"what": "shrink", "title": "Fold", "estimate": -5}, "decisions.0.estimate", "minutes, more than 0"),
        ({"what": "shrink", "title": "Fold", "estimate": "ten"}, "decisions.0.estimate", "Expected a number"),
        ({"what": "burn"}, "decisions.0.what", "choose one of them"),
        ({"what": "do", "ref": "2025-03-14/none"}, "decisions.0", "does not stand where this page found it"),
        ({"what": "do", "ref": "2025-13-45/none"}, "decisions.0", "does not stand where this page found it"),
        ({"what": "do", "ref": None}, "decisions.0.ref", "not one to decide on"),
    ],
)
def test_invalid_decisions_are_reported_beside_their_fields(
    tmp_path: Path, decision: dict[str, Any], field: str, message: str
) -> None:
    folder = written(tmp_path, BEFORE)
    before = {path.name: path.read_bytes() for path in folder.rglob("*.toml")}
    answer = decided(folder, offered(folder), {"of": "Quote"} | decision)
    assert [trouble.field for trouble in answer.problems] == [field]
    assert message in answer.problems[0].message
    assert {path.name: path.read_bytes() for path in folder.rglob("*.toml")} == before


@pytest.mark.parametrize("what", ["do", "day", "shrink"])
def test_a_task_that_another_window_moved_meanwhile_is_told_and_not_doubled(tmp_path: Path, what: str) -> None:
    folder = written(tmp_path, BEFORE)
    offer = offered(folder)
    assert decided(folder, offer, {"of": "Quote", "what": "day", "to": "2025-03-28"}).saved
    answer = decided(folder, offer, {"of": "Quote", "what": what, "to": "2025-03-29", "title": "A start"})
    assert fields(answer) == {"decisions.0": "It stands on 2025-03-28 by now; open the page anew."}


def test_a_reworded_task_keeps_its_title_on_a_page_that_had_let_it_go(tmp_path: Path) -> None:
    old = {"title": "Sort the tin", "status": "carried", "since": dt.date(2025, 1, 2), "id": "u2p5"}
    folder = written(tmp_path, {NEXT: {"tasks": [old]}}, TIN.replace("Sort the tin", "Sort the blue tin"))
    assert decided(folder, offered(folder), {"of": "Sort the blue tin", "what": "do"}).saved
    assert tasks(folder, NEXT) == [old | {"title": "Sort the blue tin", "status": "open"}]
    assert tasks(folder, None) == []


def test_a_decision_after_midnight_is_rejected(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE)
    offer = offered(folder) | {"day": "2025-03-15"}
    (trouble,) = decided(folder, offer, {"of": "Quote", "what": "do"}).problems
    assert trouble.message.startswith("it is 2025-03-16 by now")
    assert triage_save.decide(opened(folder, TODAY), {"day": "2025-03-16", "base": "?"}, now=NOW).problems
    assert triage_save.decide(opened(folder, TODAY), None, now=NOW).problems


def test_a_broken_page_affects_only_its_own_tasks(tmp_path: Path) -> None:
    folder = written(tmp_path, BEFORE, "tasks = [")
    assert decided(folder, offered(folder), {"of": "Quote", "what": "do"}).saved
    assert (folder / "undated.toml").read_text(encoding="utf-8") == "tasks = ["


class Stopped(Exception):
    """The program was interrupted here."""


PLACES = ("undated", "2025-03-10", "2025-03-14", "2025-03-16", "2025-03-17", "2025-03-20")
Drawn = list[tuple[str, str, bool, str]]


def filled(folder: Path, drawn: Drawn) -> Path:
    """A journal with a task for each draw: its place, the decision, whether it has an id, its new day."""
    pages: dict[dt.date, dict[str, list[dict[str, Any]]]] = {}
    undated = ""
    for i, (place, _, has_id, _) in enumerate(drawn):
        own = {"id": f"a{i}b{i}"} if has_id else {}
        row: dict[str, Any] = {"title": f"Task {i}", "since": dt.date(2025, 1, 1 + i)} | own
        for day in (dt.date(2025, 3, 8), dt.date(2025, 3, 9)):  # carried twice, so it is on the list
            pages.setdefault(day, {"tasks": []})["tasks"].append(row | {"status": "carried"})
        if place == "undated":
            undated += f'[[tasks]]\ntitle = "Task {i}"\nsince = {row["since"]}\n' + (
                f'id = "{own["id"]}"\n' if own else ""
            )
        else:
            pages.setdefault(dt.date.fromisoformat(place), {"tasks": []})["tasks"].append(row)
    return written(folder, pages, undated or "# none\n")


def waiting(folder: Path) -> dict[str, list[str]]:
    """The pages on which each task is open, by its id or (without one) its title."""
    pages_by_task: dict[str, list[str]] = {}
    for path in [*sorted(folder.glob("2025/*.toml")), folder / "undated.toml"]:
        for task in tomllib.loads(path.read_text(encoding="utf-8")).get("tasks", []):
            if task.get("status", "open") == "open":
                pages_by_task.setdefault(task["title"].removesuffix(", a start"), []).append(path.stem)
    return pages_by_task


def test_an_undated_one_that_another_window_has_dropped_stays_dropped(tmp_path: Path) -> None:
    """It has no id, as an editor adds it. It came back on another day, or was dropped twice."""
    folder = filled(tmp_path, [])
    (folder / "undated.toml").write_text('[[tasks]]\ntitle = "Sharpen"\n', encoding="utf-8")
    stale = offered(folder)
    assert decided(folder, stale, {"of": "Sharpen", "what": "drop"}).saved
    page = (folder / "2025" / f"{TODAY}.toml").read_text(encoding="utf-8")
    for what in ("do", "day"):
        answer = decided(folder, stale, {"of": "Sharpen", "what": what, "to": "2025-03-28"})
        assert [problem.message for problem in answer.problems] == ["It is dropped by now; open the page anew."]
    assert decided(folder, stale, {"of": "Sharpen", "what": "drop"}).saved
    assert (folder / "2025" / f"{TODAY}.toml").read_text(encoding="utf-8") == page
    assert page.count("Sharpen") == 1


@settings(max_examples=10, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(PLACES), st.sampled_from(triage_save.ACTIONS), st.booleans(), st.sampled_from(PLACES[3:])
        ),
        min_size=1,
        max_size=3,
    )
)
def test_no_interrupted_decision_loses_a_task(drawn: Drawn) -> None:
    """Interrupted before each write in turn, then repeated: always the same, expected result."""
    with pytest.MonkeyPatch.context() as patch, tempfile.TemporaryDirectory() as name:
        real, ends = writing.save, []
        for stop_at in itertools.count():
            folder = filled(Path(name) / str(stop_at), drawn)
            offer = offered(folder)
            assert len(offer["tasks"]) == len(drawn)
            decisions = [
                {"of": f"Task {i}", "what": what, "to": to, "title": f"Task {i}, a start", "estimate": 5}
                for i, (_, what, _, to) in enumerate(drawn)
            ]
            writes = itertools.count()

            def failing(
                *arguments: Any, rehearse: bool = False, _writes: Any = writes, _at: int = stop_at, **more: Any
            ) -> Any:
                if not rehearse and next(_writes) == _at:
                    raise (Stopped if _at % 2 else WriteError)("the disk is full")
                return real(*arguments, rehearse=rehearse, **more)

            patch.setattr(writing, "save", failing)
            try:
                finished = decided(folder, offer, *decisions).saved
            except Stopped:
                finished = False
            patch.setattr(writing, "save", real)
            half = waiting(folder)
            assert all(half.get(f"Task {i}") for i, (_, what, _, _) in enumerate(drawn) if what != "drop")
            assert decided(folder, offer, *decisions).saved
            assert not opened(folder, TODAY).problems
            ends.append({path.name: path.read_text(encoding="utf-8") for path in sorted(folder.rglob("2*.toml"))})
            if finished:
                break
        assert all(end == ends[-1] for end in ends)
        after = waiting(folder)
        for i, (place, what, _, to) in enumerate(drawn):
            stays = [place] if place == "undated" or place >= "2025-03-16" else ["2025-03-17"]
            expected = {"do": ["2025-03-17"], "day": [to], "shrink": stays, "drop": []}[what]
            assert after.get(f"Task {i}", []) == expected
        lives = measure.lives(opened(folder, TODAY).tables.tasks, today=TODAY)
        assert lives.height == len(drawn), "each is one task still, whatever it is called now"
