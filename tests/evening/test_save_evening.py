"""Saving an evening: only entered values are written, only to their own files, and nothing if there is a problem."""

from __future__ import annotations

import datetime as dt
import itertools
import tomllib
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

from journal.errors import WriteError
from journal.evening import carryover
from journal.folder import made_version, toml_edit, writing
from journal.measures import tasks as task_measures
from journal.saving import save_pages
from journal.saving.save_pages import SaveResult
from tests.evening.evenings import DAY, NEXT, NOW, entered, fields, offered, opened, saved, text, written

QUOTE = {"title": "Quote", "estimate": 45, "rank": 2}
PRESS = {"title": "Oil the press", "estimate": 30, "since": dt.date(2025, 3, 11), "id": "t7k2"}


def page(folder: Path, day: dt.date) -> dict[str, Any]:
    return tomllib.loads(text(folder, day))


def test_an_evening_from_nothing_to_both_files(tmp_path: Path) -> None:
    folder = written(tmp_path)
    offer = offered(folder)
    answer = saved(
        folder,
        entered(
            offer,
            mood=4,
            energy=2.5,
            habits={"walk": True, "read": 24, "swim": "rest", "call": None},
            challenges={"letters": True},
            gratitude=["Bread, still warm.", " ", 'Rain "held" off. '],
            memory="Sewn.\nAnd shut.",
            notes=["Ask about the thread."],
            actual={"sleep": ["23:00-24:00", "00:15-06:20"], "music": ["19:00-19:45"]},
            tasks=[{"ref": None, "title": "Mend the frame", "what": "done", "took": 20}],
            tomorrow={
                "weather": {"sky": "fog", "high": 0, "low": -2.5},
                "appointments": [{"ref": None, "title": "Merchant", "start": "08:30", "end": "09:00"}],
                "tasks": [{"ref": None, "title": "Sweep", "rank": 1, "estimate": 30, "from": "routine"}],
            },
        ),
    )
    said = "Saved to 2025/2025-03-13.toml and 2025/2025-03-14.toml at 22:04."
    assert answer == SaveResult(saved=True, said=said, undo=answer.undo)
    assert page(folder, DAY) == {
        "mood": 4,
        "energy": 2.5,
        "gratitude": ["Bread, still warm.", 'Rain "held" off.'],
        "memory": "Sewn.\nAnd shut.",
        "notes": ["Ask about the thread."],
        "habits": {"walk": True, "read": 24, "swim": "rest"},
        "challenges": {"letters": True},
        "hours": {"actual": {"sleep": ["00:15-06:20", "23:00-24:00"], "music": ["19:00-19:45"]}},
        "tasks": [{"title": "Mend the frame", "status": "done", "took": 20}],
    }
    assert page(folder, NEXT) == {
        "weather": {"sky": "fog", "high": 0, "low": -2.5},
        "hours": {"planned": {"sleep": ["00:00-06:15", "22:30-24:00"], "workshop": ["09:00-12:30"]}},
        "appointments": [{"title": "Merchant", "start": "08:30", "end": "09:00"}],
        "tasks": [{"title": "Sweep", "status": "open", "rank": 1, "estimate": 30}],
    }
    assert not opened(folder).problems


def test_each_page_is_made_once_and_no_task_of_another_year_is_looked_at(tmp_path: Path) -> None:
    """What was made at the rehearsal is written. Fifty years have thousands of tasks that nobody closed."""
    folder = written(tmp_path, {DAY: {"mood": 3}, NEXT: {"tasks": [QUOTE]}})
    form = entered(offered(folder), mood=4, memory="Sewn.", tomorrow={"weather": {"sky": "fog"}})
    all_years = mock.patch.object(carryover, "open_ids", side_effect=AssertionError("all years were looked at"))
    with all_years, mock.patch.object(made_version, "rewritten", wraps=toml_edit.rewritten) as made:
        answer = saved(folder, form)
    assert answer.saved and made.call_count == answer.said.count(".toml") == 2
    assert page(folder, DAY) == {"mood": 4, "memory": "Sewn."} and page(folder, NEXT)["weather"] == {"sky": "fog"}


def test_untouched_values_are_not_written(tmp_path: Path) -> None:
    day = '# mine\nmood = 4 # so far\nmemory = "Sewn."   # yes\nmystery = 1\n\n[habits]\nread = 24\nwalk = true\n'
    folder = written(tmp_path, {DAY: {}, NEXT: {}})
    (folder / "2025" / f"{DAY}.toml").write_text(day, encoding="utf-8")
    planned = "[hours.planned]\nsleep = ['00:00-06:00']\n[[tasks]]\ntitle = 'Sew'\nrank = 1 # first\n"
    (folder / "2025" / f"{NEXT}.toml").write_text(planned, encoding="utf-8")
    offer = offered(folder)
    assert saved(folder, entered(offer)).said == "Nothing to save: the pages say all of it already."
    assert (text(folder, DAY), text(folder, NEXT)) == (day, planned)
    assert saved(folder, entered(offer, mood=3)).said == "Saved to 2025/2025-03-13.toml at 22:04."
    assert (text(folder, DAY), text(folder, NEXT)) == (day.replace("mood = 4", "mood = 3"), planned)


def test_emptied_values_are_removed(tmp_path: Path) -> None:
    whole = {
        "mood": 4, "gratitude": ["Bread."], "memory": "Sewn.", "notes": ["Ask."], "habits": {"walk": True, "read": 3},
        "challenges": {"letters": True}, "hours": {"actual": {"sleep": ["00:00-06:00"], "music": ["19:00-20:00"]}},
    }  # fmt: skip
    folder = written(
        tmp_path, {DAY: whole, NEXT: {"weather": {"sky": "fog", "high": 3}, "appointments": [{"title": "A"}]}}
    )
    raw = entered(
        offered(folder), mood=None, gratitude=[], memory=" ", notes=[], habits={"walk": None, "read": 3},
        challenges={"letters": None}, actual={"sleep": ["00:00-06:00"], "music": []},
        tomorrow={"weather": {"sky": "", "high": None, "low": None}, "appointments": [], "planned": {}},
    )  # fmt: skip
    assert saved(folder, raw).saved
    assert page(folder, DAY) == {"habits": {"read": 3}, "hours": {"actual": {"sleep": ["00:00-06:00"]}}} | (
        {"challenges": {}} if "challenges" in page(folder, DAY) else {}
    )
    assert not any(page(folder, NEXT).values())


@pytest.mark.parametrize(
    ("before", "changed", "after"),
    [
        ({}, {"memory": "Sewn.", "share": True}, {"memory": "Sewn.", "share": True}),
        ({}, {"share": True}, {}),
        ({"memory": "Sewn."}, {"share": True}, {"memory": "Sewn.", "share": True}),
        ({"memory": "Sewn.", "share": True}, {"share": False}, {"memory": "Sewn."}),
        ({"memory": "Sewn.", "share": True}, {"memory": "Bound."}, {"memory": "Bound.", "share": True}),
        ({"memory": "Sewn.", "share": True}, {"memory": " "}, {}),
        ({"memory": "Sewn.", "share": False}, {"mood": 3}, {"memory": "Sewn.", "share": False, "mood": 3}),
        # `share` written by hand without a memory stays, and does not apply to a memory typed later.
        ({"share": True}, {"mood": 3}, {"share": True, "mood": 3}),
        ({"share": True}, {"memory": "Sewn."}, {"memory": "Sewn."}),
        ({"share": True}, {"memory": "Sewn.", "share": True}, {"memory": "Sewn.", "share": True}),
    ],
)
def test_share_applies_only_to_the_memory_it_was_set_for(
    tmp_path: Path, before: dict[str, Any], changed: dict[str, Any], after: dict[str, Any]
) -> None:
    folder = written(tmp_path, {DAY: before})
    assert saved(folder, entered(offered(folder), **changed)).saved
    assert {name: value for name, value in page(folder, DAY).items() if name != "hours"} == after


def test_share_beside_a_memory_changed_elsewhere_is_a_conflict(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"memory": "Sewn."}})
    first_tab, second_tab = offered(folder), offered(folder)
    assert saved(folder, entered(first_tab, memory="Not for others.")).saved
    answer = saved(folder, entered(second_tab, share=True))
    assert [(clash.field, clash.yours, clash.theirs) for clash in answer.conflict] == [("share", True, None)]
    assert page(folder, DAY)["memory"] == "Not for others." and "share" not in page(folder, DAY)


def test_true_and_one_are_different_marks(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"habits": {"read": 1}}})
    assert "habits.read" not in fields(saved(folder, entered(offered(folder), habits={"read": True})))
    assert page(folder, DAY)["habits"]["read"] is True


def test_an_untouched_plan_is_not_written_as_actual_hours(tmp_path: Path) -> None:
    folder = written(tmp_path)
    offer = offered(folder)
    assert offer["actual_from_plan"] and offer["actual"] == offer["planned"]
    assert saved(folder, entered(offer, mood=4)).saved
    assert "hours" not in page(folder, DAY)
    assert saved(folder, entered(offered(folder)) | {"actual_as_planned": True}).saved
    assert page(folder, DAY)["hours"]["actual"] == offer["planned"]


def test_a_day_closed_late_is_written_and_plans_nothing_for_a_past_day(tmp_path: Path) -> None:
    folder = written(tmp_path)
    late = dt.date(2025, 3, 9)
    offer = offered(folder, late, today=DAY)
    answer = saved(folder, entered(offer, mood=2))
    assert answer.said == "Saved to 2025/2025-03-09.toml at 22:04."
    assert offered(folder)["late"][3] == {"day": "2025-03-09", "title": "Sunday 9 March", "logged": True}


def carry(offer: dict[str, Any], *, rank: int | None = 1, estimate: float | None = 45) -> dict[str, Any]:
    (task,) = offer["tasks"]
    going = {"ref": None, "title": task["title"], "rank": rank, "estimate": estimate, "from": "carried"}
    return entered(
        offer,
        tasks=[{"ref": task["ref"], "title": task["title"], "what": "carry", "took": None}],
        tomorrow={"tasks": [going | {"source_ref": task["ref"]}]},
    )


def test_a_carried_task_gets_an_id_and_keeps_its_first_day(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"tasks": [QUOTE]}})
    assert saved(folder, carry(offered(folder))).saved
    (here,), (there,) = page(folder, DAY)["tasks"], page(folder, NEXT)["tasks"]
    own = here["id"]
    assert here == QUOTE | {"status": "carried", "since": DAY, "id": own}
    assert there == {"title": "Quote", "status": "open", "rank": 1, "estimate": 45, "since": DAY, "id": own}
    offer = offered(folder, NEXT)
    assert [(task["id"], task["said"]) for task in offer["tasks"]] == [(own, "since Thursday, carried once")]
    assert saved(folder, carry(offer, rank=None), day=NEXT).saved
    again = page(folder, dt.date(2025, 3, 15))["tasks"]
    assert again == [{"title": "Quote", "status": "open", "estimate": 45, "since": DAY, "id": own}]
    lives = task_measures.lives(opened(folder, dt.date(2025, 3, 15)).tables.tasks, today=dt.date(2025, 3, 15))
    assert lives.select("carried", "days", "status").rows() == [(2, 2, "open")]


def test_saving_twice_carries_once_and_a_change_of_mind_takes_it_back(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"tasks": [PRESS]}})
    first = carry(offered(folder))
    assert saved(folder, first).saved and saved(folder, first).saved
    offer = offered(folder)
    assert offer["tomorrow"]["tasks"][0]["source_ref"] == "t7k2"
    assert saved(folder, entered(offer)).said.startswith("Nothing to save")
    assert len(page(folder, NEXT)["tasks"]) == 1
    done = [{"ref": "t7k2", "title": "Oil the press", "what": "done", "took": 25}]
    assert saved(folder, entered(offer, tasks=done)).saved
    assert page(folder, DAY)["tasks"] == [PRESS | {"status": "done", "took": 25}]
    assert "tasks" not in page(folder, NEXT), "common practice, no source: what is done today is not carried"
    assert saved(folder, carry(offered(folder))).saved
    offer = offered(folder)
    assert saved(folder, entered(offer, tomorrow={"tasks": []})).saved, "taken off tomorrow"
    assert page(folder, DAY)["tasks"][0]["status"] == "open"
    assert "tasks" not in page(folder, NEXT)


def test_a_task_done_today_cannot_also_stand_on_tomorrow(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"tasks": [PRESS]}})
    raw = carry(offered(folder))
    raw["tasks"][0]["what"] = "done"
    assert fields(saved(folder, raw)) == {
        "tomorrow.tasks.0": '"Oil the press" is done today; take it off tomorrow, or carry it there.'
    }
    assert text(folder, NEXT) == ""


@pytest.mark.parametrize("what", ["move", "undated", "drop"])
def test_a_task_moves_to_another_page(tmp_path: Path, what: str) -> None:
    folder = written(tmp_path, {DAY: {"tasks": [PRESS | {"project": "spring"}]}}, "# later\n")
    raw = entered(offered(folder))
    raw["tasks"] = [{"ref": "t7k2", "title": "Oil the press", "what": what, "to": "2025-04-02", "took": None}]
    assert saved(folder, raw).saved
    status = "dropped" if what == "drop" else "carried"
    assert page(folder, DAY)["tasks"] == [PRESS | {"project": "spring", "status": status}]
    undated = tomllib.loads((folder / "undated.toml").read_text(encoding="utf-8"))
    assert undated == ({"tasks": [PRESS]} if what == "undated" else {})
    assert (folder / "undated.toml").read_text(encoding="utf-8").startswith("# later\n")
    moved = page(folder, dt.date(2025, 4, 2)).get("tasks", [])
    assert moved == ([PRESS | {"status": "open"}] if what == "move" else [])
    assert [task["ref"] for task in offered(folder, NEXT)["tasks"]] == [], "it waits elsewhere, or is over"


def test_a_task_without_a_day_is_pulled(tmp_path: Path) -> None:
    folder = written(
        tmp_path, {}, '# all\n[[tasks]]\ntitle = "Jig" # oak\nsince = 2025-01-02\nid = "u2"\n[[tasks]]\ntitle = "Tin"\n'
    )
    offer = offered(folder)
    assert [(one["ref"], one["said"]) for one in offer["tomorrow"]["undated"]] == [
        ("u2", "since 2 January"),
        ("Tin", ""),
    ]
    pulled = {"ref": None, "title": "Jig", "rank": 1, "estimate": 60, "from": "undated", "source_ref": "u2"}
    assert saved(folder, entered(offer, tomorrow={"tasks": [pulled]})).saved
    wanted = {"title": "Jig", "status": "open", "rank": 1, "estimate": 60, "since": dt.date(2025, 1, 2), "id": "u2"}
    assert page(folder, NEXT)["tasks"] == [wanted]
    assert '"Tin"' in (folder / "undated.toml").read_text() and "Jig" not in (folder / "undated.toml").read_text()
    assert saved(folder, entered(offered(folder), tomorrow={"tasks": []})).saved, "put back"
    assert "tasks" not in page(folder, NEXT)
    assert {"title": "Jig", "estimate": 60, "since": dt.date(2025, 1, 2), "id": "u2"} in tomllib.loads(
        (folder / "undated.toml").read_text()
    )["tasks"]


@pytest.mark.parametrize("what", ["done", "carry", "drop", "undated"])
def test_an_open_task_of_an_earlier_day_is_offered_and_moved(tmp_path: Path, what: str) -> None:
    monday = dt.date(2025, 3, 10)
    folder = written(
        tmp_path, {monday: {"tasks": [QUOTE, PRESS | {"since": monday}]}, NEXT: {"tasks": [PRESS | {"since": monday}]}}
    )
    offer = offered(folder)
    assert [(task["ref"], task["said"]) for task in offer["tasks"]] == [("2025-03-10/Quote", "since Monday")]
    raw = entered(offer, tasks=[{"ref": "2025-03-10/Quote", "title": "Quote", "what": what, "took": 50}])
    assert saved(folder, raw).saved
    left = page(folder, monday)["tasks"][0]
    assert left["status"] == ("dropped" if what == "drop" else "carried")
    lives = task_measures.lives(opened(folder).tables.tasks, today=DAY).filter(title="Quote")
    assert lives.get_column("status").to_list() == [{"done": "done", "drop": "dropped"}.get(what, "open")]
    if what == "done":
        assert page(folder, DAY)["tasks"] == [
            {"title": "Quote", "status": "done", "estimate": 45, "took": 50, "since": monday, "id": left["id"]}
        ]
    assert not [task for task in offered(folder)["tasks"] if task["page"] == "2025-03-10"]


def test_two_tasks_with_the_same_title_stay_separate(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"tasks": [{"title": "Fold"}, {"title": "Fold"}]}})
    offer = offered(folder)
    raw = entered(offer, tasks=[{"ref": task["ref"], "title": "Fold", "what": "carry"} for task in offer["tasks"]])
    assert saved(folder, raw).saved and saved(folder, raw).saved
    ids = [task["id"] for task in page(folder, NEXT)["tasks"]]
    assert len(set(ids)) == 2 and ids == [task["id"] for task in page(folder, DAY)["tasks"]]


def test_a_stale_tab_cannot_take_back_what_another_saved(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"mood": 3}})
    one, other = offered(folder), offered(folder)
    assert saved(folder, entered(one, mood=4, memory="Mine.")).saved
    assert saved(folder, entered(other, notes=["Another."])).said.endswith("What was changed there meanwhile is kept.")
    assert page(folder, DAY) == {"mood": 4, "memory": "Mine.", "notes": ["Another."]}
    before = text(folder, DAY)
    answer = saved(folder, entered(other, mood=2, tomorrow={"weather": {"sky": "fog"}}))
    assert (answer.saved, answer.conflict) == (
        False, [save_pages.Disagreement("mood", 2, 4, "2025/2025-03-13.toml")],
    )  # fmt: skip
    assert (text(folder, DAY), text(folder, NEXT).count("fog")) == (before, 0), "a conflict in one file writes none"
    decided = [{"field": "mood", "file": "2025/2025-03-13.toml", "theirs": 4, "which": "mine"}]
    assert saved(folder, entered(other, mood=2) | {"resolve": decided}).saved
    assert page(folder, DAY)["mood"] == 2
    assert saved(folder, entered(other, mood=1) | {"resolve": decided}).conflict, "it was decided of another clash"


def test_a_conflict_of_a_task_names_its_row(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {"tasks": [PRESS, QUOTE]}})
    offer = offered(folder)
    (folder / "2025" / f"{DAY}.toml").write_text(text(folder, DAY).replace("Quote", "Quote").replace("30", "35"))
    raw = entered(offer)
    raw["tasks"][0]["estimate"] = 40
    answer = saved(folder, raw)
    assert [(one.field, one.yours, one.theirs) for one in answer.conflict] == [("tasks.0.estimate", 40, 35)]


def test_a_broken_page_is_reported_and_not_written(tmp_path: Path) -> None:
    folder = written(tmp_path, {DAY: {}})
    path = folder / "2025" / f"{DAY}.toml"
    path.write_text("mood = \n", encoding="utf-8")
    offer = offered(folder)
    assert "2025/2025-03-13.toml:1" in offer["problems"][0]
    answer = saved(folder, entered(offer, mood=4))
    assert not answer.saved and "2025/2025-03-13.toml:1" in answer.problems[0].message
    assert path.read_text(encoding="utf-8") == "mood = \n"


@pytest.mark.parametrize("base", [None, 7, "", "AAAA", "é"])
def test_input_that_no_page_sends_is_rejected(tmp_path: Path, base: object) -> None:
    folder = written(tmp_path)
    answer = saved(folder, {"base": base, "day": "2025-03-13", "mood": 4})
    assert not answer.saved and "open the page anew" in answer.problems[0].message
    other = offered(folder, NEXT)
    assert not saved(folder, {"base": other["base"], "day": "2025-03-13", "mood": 4}).saved
    assert not saved(folder, {"base": offered(folder)["base"], "day": "soon"}).saved


class Stopped(Exception):
    """The program was interrupted here."""


def everywhere(folder: Path) -> set[str]:
    """The titles of all tasks that are open on a page or undated."""
    titles = set()
    for path in [*folder.glob("2025/*.toml"), folder / "undated.toml"]:
        for task in tomllib.loads(path.read_text(encoding="utf-8")).get("tasks", []):
            if task.get("status", "open") == "open":
                titles.add(task["title"])
    return titles


@pytest.mark.usefixtures("without_record")
@pytest.mark.parametrize("error", [Stopped, WriteError])
def test_an_interruption_between_two_pages_loses_no_task(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: type[Exception]
) -> None:
    """A save of five pages and its reversal, interrupted before each write in turn, then repeated: the same result."""
    titles = ["Carry", "Move", "Shelve"]
    monday = dt.date(2025, 3, 10)
    real = writing.save
    ends = []
    for stop_at in itertools.count():
        folder = written(
            tmp_path / str(stop_at),
            {DAY: {"tasks": [{"title": title} for title in titles]}, monday: {"tasks": [{"title": "Left"}]}},
            '[[tasks]]\ntitle = "Pull"\nid = "p1"\n',
        )
        offer = offered(folder)
        refs = {task["title"]: task["ref"] for task in offer["tasks"]}
        what = {"Carry": "carry", "Move": "move", "Shelve": "undated", "Left": "carry"}
        raw = entered(
            offer,
            tasks=[{"ref": refs[t], "title": t, "what": what[t], "to": "2025-03-20"} for t in refs],
            tomorrow={"tasks": [{"ref": None, "title": "Pull", "rank": 1, "from": "undated", "source_ref": "p1"}]},
        )
        writes = itertools.count()

        def failing(
            *arguments: Any, rehearse: bool = False, _writes: Any = writes, _at: int = stop_at, **more: Any
        ) -> Any:
            if not rehearse and next(_writes) == _at:
                raise error("the disk is full")
            return real(*arguments, rehearse=rehearse, **more)

        monkeypatch.setattr(writing, "save", failing)
        try:
            finished = saved(folder, raw).saved
        except Stopped:
            finished = False
        monkeypatch.setattr(writing, "save", real)
        assert everywhere(folder) >= {*titles, "Left", "Pull"}, stop_at
        assert saved(folder, raw).saved
        assert everywhere(folder) == {*titles, "Left", "Pull"}
        ends.append({path.name: path.read_text() for path in sorted(folder.rglob("*.toml"))})
        if finished:
            break
    assert stop_at == 6, "five pages, one of them twice, were written"
    assert all(end == ends[-1] for end in ends)


def test_the_clock_setting_is_used(tmp_path: Path) -> None:
    folder = written(tmp_path)
    path = folder / "journal.toml"
    path.write_text("clock = 12\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    assert saved(folder, entered(offered(folder), mood=4), now=NOW).said.endswith("at 10:04 pm.")
