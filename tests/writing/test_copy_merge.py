"""Copies of pages, as synchronising leaves them: nothing of them counts, and they are merged without a loss."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
import rtoml
from hypothesis import given, settings
from hypothesis import strategies as st

import journal
from journal.folder import atomic_write, copy_merge, discover, history, writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.three_way_merge import merged
from journal.saving import merge_copy
from tests.cli.conftest import SETTINGS, Typed, typed

__all__ = ["typed"]

DAY = "2025-03-14"
PAGE, COPY = f"2025/{DAY}.toml", f"2025/{DAY} (1).toml"
NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return begun(tmp_path)


def begun(folder: Path) -> Path:
    (folder / "2025").mkdir()
    (folder / "journal.toml").write_text(SETTINGS, encoding="utf-8")
    return folder


def put(folder: Path, path: str, text: str) -> None:
    (folder / path).write_text(text, encoding="utf-8")


def save(folder: Path, changes: dict[tuple[str, ...], Any]) -> None:
    writing.save(folder, DAY, writing.look(folder, DAY), changes, now=NOW, by="evening")


def values(folder: Path) -> dict[str, Any]:
    read: dict[str, Any] = rtoml.loads((folder / PAGE).read_text(encoding="utf-8"))
    return read


def kept(folder: Path) -> list[bytes | None]:
    return [state.data for state in history.states(folder, DAY)]


def test_nothing_of_a_copy_is_counted(folder: Path) -> None:
    put(folder, PAGE, "mood = 4\n[habits]\nwalk = true\n")
    before = journal.open(folder, today=NOW.date(), cache=False).tables
    for name in (f"{DAY} (1).toml", f"{DAY}-laptop.toml", f"{DAY}.toml.orig", f"copy of {DAY}.toml"):
        put(folder, f"2025/{name}", 'mood = 1\nnotes = ["x"]\n[habits]\nwalk = false\nread = 30\n')
    book = journal.open(folder, today=NOW.date(), cache=False)
    assert book.tables.days.equals(before.days)
    assert book.tables.marks.equals(before.marks)
    assert len(book.problems) == 4


def test_a_copy_is_merged_from_the_state_that_both_come_from(folder: Path, typed: Typed) -> None:
    """On the other machine a note and a mark were added to the first state; here the mood was changed since."""
    put(folder, PAGE, '# Friday\nmood = 3\nnotes = ["Ask."]\n[habits]\nread = 5\n')
    save(folder, {("memory",): "Sewn."})
    put(folder, COPY, 'mood = 3\nnotes = ["Ask.", "Tell."]\n[habits]\nread = 24\nwalk = true\n')
    save(folder, {("mood",): 4})
    result = typed("merge", folder)
    assert result.exit_code == 0
    assert result.stdout.splitlines() == [
        f"{COPY} into {PAGE}; both come from the state of {_moment(folder)}.",
        "  note added: Tell.",
        "  Read 5 to 24",
        "  Walk: done",
        "Nothing is written: there is no terminal to ask on. Add --yes to merge.",
    ]
    copied = (folder / COPY).read_bytes()
    assert typed("merge", folder, "--yes").exit_code == 0
    assert (folder / PAGE).read_text().startswith("# Friday\n")
    assert values(folder) == {
        "mood": 4, "memory": "Sewn.", "notes": ["Ask.", "Tell."], "habits": {"read": 24, "walk": True},
    }  # fmt: skip
    assert not (folder / COPY).exists()
    assert copied in kept(folder)
    assert typed("check", folder).exit_code == 0
    assert typed("merge", folder).stdout == "There is no copy of a page.\n"


def _moment(folder: Path) -> str:
    return f"{history.states(folder, DAY)[0].moment:%Y-%m-%d %H:%M}"


def test_what_both_say_otherwise_is_shown_and_chosen(folder: Path, typed: Typed) -> None:
    put(folder, PAGE, 'mood = 4\nmemory = "Sewn."\n[[tasks]]\ntitle = "Fold"\nstatus = "done"\n')
    put(folder, COPY, 'mood = 2\nenergy = 3\n[[tasks]]\ntitle = "Fold"\nstatus = "open"\n[[tasks]]\ntitle = "Cut"\n')
    before = {path: path.read_bytes() for path in folder.rglob("*.toml")}
    result = typed("merge", folder, "--yes")
    assert result.exit_code == 1
    assert result.stdout.splitlines() == [
        f"{COPY} into {PAGE}; no earlier state of both is kept, so what only one of them has stays.",
        "  mood: 4 in the page, 2 in the copy",
        '  tasks.Fold.status: "done" in the page, "open" in the copy',
        '  Choose for all of them with "--keep page" or "--keep copy", or change one of the files.',
        "1 copy cannot be merged yet, see above.",
    ]
    assert {path: path.read_bytes() for path in before} == before
    assert typed("merge", folder, "--yes", "--keep", "page").exit_code == 0
    assert values(folder) == {
        "mood": 4, "memory": "Sewn.", "energy": 3,
        "tasks": [{"title": "Fold", "status": "done"}, {"title": "Cut"}],
    }  # fmt: skip


def test_two_copies_are_merged_one_after_the_other(folder: Path, typed: Typed) -> None:
    put(folder, PAGE, "mood = 4\n")
    put(folder, COPY, 'mood = 4\nnotes = ["One."]\n')
    put(folder, f"2025/{DAY} (2).toml", 'mood = 4\nnotes = ["Two."]\n')
    assert typed("merge", folder, "--yes").exit_code == 0
    assert values(folder) == {"mood": 4, "notes": ["One.", "Two."]}


def test_a_copy_that_cannot_be_merged_stays(folder: Path, typed: Typed) -> None:
    put(folder, PAGE, "mood = 4\n")
    put(folder, COPY, "mood = \n")
    result = typed("merge", folder, "--yes")
    assert (result.exit_code, (folder / COPY).exists()) == (1, True)
    assert result.stdout.startswith(f"{COPY}: {COPY}:1:8: expected a value, got ")
    put(folder, COPY, "mood = 9\n")  # no mood of this journal
    assert typed("merge", folder, "--yes", "--keep", "copy").exit_code == 1
    assert (values(folder), (folder / COPY).exists()) == ({"mood": 4}, True)
    result = typed("merge", folder, "--only", "2025/x.toml")
    assert (result.exit_code, '"2025/x.toml" is no copy of a page in this journal' in result.stderr) == (2, True)


def test_a_copy_that_cannot_be_kept_is_not_removed(folder: Path, typed: Typed) -> None:
    put(folder, PAGE, "mood = 4\n")
    put(folder, COPY, "mood = 4\nenergy = 2\n")
    (folder / ".history").write_text("in the way", encoding="utf-8")
    result = typed("merge", folder, "--yes")
    assert result.exit_code != 0
    assert f'"{COPY}" stays: it cannot be kept in .history; make that writable' in result.stderr
    assert (values(folder), (folder / COPY).exists()) == ({"mood": 4}, True)


def test_copies_of_the_two_other_files_are_merged(folder: Path, typed: Typed) -> None:
    put(folder, "undated.toml", '[[tasks]]\ntitle = "Oil"\nid = "a1b2"\n')
    put(folder, "undated 2.toml", '[[tasks]]\ntitle = "Oil"\nid = "a1b2"\n[[tasks]]\ntitle = "Sort"\nid = "c3d4"\n')
    put(
        folder,
        "journal (1).toml",
        f"{SETTINGS}\n[[challenges]]\nkey = 'x'\nname = 'X'\nfrom = 2025-03-01\nuntil = 2025-03-02",
    )
    assert typed("merge", folder, "--yes").exit_code == 0
    assert [task.title for task in journal.open(folder, today=NOW.date()).undated.tasks] == ["Oil", "Sort"]
    assert [one.key for one in journal.open(folder, today=NOW.date()).settings.challenges] == ["x"]
    assert discover.find(folder).copies == ()


def test_a_copy_that_was_changed_since_it_was_shown_stays(folder: Path) -> None:
    put(folder, PAGE, "mood = 4\n")
    put(folder, COPY, "mood = 4\nenergy = 2\n")
    files, (copy,) = OpenedFiles(folder), discover.find(folder).copies
    planned = copy_merge.plan(files, copy, now=NOW)
    put(folder, COPY, "mood = 4\nenergy = 3\n")
    assert not copy_merge.merge(files, planned, now=NOW)
    assert (values(folder), (folder / COPY).exists()) == ({"mood": 4}, True)


def planned_with(folder: Path) -> tuple[OpenedFiles, copy_merge.CopyMerge]:
    put(folder, PAGE, "mood = 4\n")
    put(folder, COPY, "mood = 4\nenergy = 2\n")
    files, (copy,) = OpenedFiles(folder), discover.find(folder).copies
    return files, copy_merge.plan(files, copy, now=NOW)


def test_what_is_written_into_a_copy_while_it_is_removed_stays(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A sync may bring the next state of it right before it goes: after it was compared, and before it is removed."""
    files, planned = planned_with(folder)
    read, reads = copy_merge._read, []

    def reading(*given: Any) -> Any:
        found = read(*given)
        reads.append(found)
        if len(reads) == 2:  # before it is kept, and before it is removed
            put(folder, COPY, "mood = 4\nenergy = 3\n")
        return found

    monkeypatch.setattr(copy_merge, "_read", reading)
    merged = copy_merge.merge(files, planned, now=NOW)
    assert merged is not None and "was changed just now" in merged.stays
    assert values(folder) == {"mood": 4, "energy": 2}
    assert (folder / COPY).read_text(encoding="utf-8") == "mood = 4\nenergy = 3\n"


def test_a_copy_that_cannot_be_removed_is_told_with_the_page_that_is_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refusing(*_given: Any) -> None:
        raise PermissionError(13, "Permission denied")

    put(folder, PAGE, "mood = 4\n")
    put(folder, COPY, "mood = 4\nenergy = 2\n")
    seen = merge_copy.view(OpenedFiles(folder), {"path": COPY}, now=NOW).seen
    with monkeypatch.context() as patch:
        patch.setattr(atomic_write, "remove", refusing)
        patch.setattr(Path, "unlink", refusing)
        told = merge_copy.merge(OpenedFiles(folder), {"path": COPY, "seen": seen}, now=NOW)
    assert (told.saved, told.undo) == (True, "")
    assert "Merged into 2025/2025-03-14.toml" in told.said and "cannot be removed (Permission denied)" in told.said
    assert (values(folder), (folder / COPY).exists()) == ({"mood": 4, "energy": 2}, True)
    seen = merge_copy.view(OpenedFiles(folder), {"path": COPY}, now=NOW).seen
    assert merge_copy.merge(OpenedFiles(folder), {"path": COPY, "seen": seen}, now=NOW).saved
    assert (values(folder), (folder / COPY).exists()) == ({"mood": 4, "energy": 2}, False)


CHANGES = st.lists(
    st.sampled_from(
        [("mood", 1), ("mood", 2), ("energy", 3), ("memory", "A."), ("memory", "B."), ("note", "x"), ("note", "y"),
         ("note", "z"), ("walk", True), ("walk", False), ("read", 24), ("task", "Fold"), ("task", "Cut")]
    ),
    max_size=4,
)  # fmt: skip


def changed(page: dict[str, Any], changes: list[tuple[str, Any]]) -> dict[str, Any]:
    """Apply changes as an evening makes them: values are set, lines, marks and tasks added."""
    page = {name: dict(value) if isinstance(value, dict) else value for name, value in page.items()}
    for name, value in changes:
        if name == "note":
            page["notes"] = [*page.get("notes", []), *([] if value in page.get("notes", []) else [value])]
        elif name == "task":
            tasks = page.get("tasks", [])
            page["tasks"] = [*tasks, *([] if {"title": value} in tasks else [{"title": value}])]
        elif name in ("walk", "read"):
            page["habits"] = page.get("habits", {}) | {name: value}
        else:
            page[name] = value
    return page


@given(CHANGES, CHANGES, CHANGES)
@settings(max_examples=60)
def test_no_line_task_or_mark_of_either_is_lost(first: Any, here: Any, there: Any) -> None:
    """The page and the copy come from one state. Whatever is kept of it, both sides' additions are in the result."""
    base = changed({"mood": 3, "notes": ["Ask."]}, first)
    page, copied = changed(base, here), changed(base, there)
    for state in (base, None):
        found = copy_merge._distance(base, copied) if state else None
        result, clashes = merged(base if found is not None else {}, page, copied)
        for side in (page, copied):
            assert set(side["notes"]) <= set(result["notes"])
            assert side.get("habits", {}).keys() <= result.get("habits", {}).keys()
            titles = [task["title"] for task in result.get("tasks", [])]
            assert all(task["title"] in titles for task in side.get("tasks", []))
        undecided = {clash.path[-1] for clash in clashes}
        for name in ("mood", "energy", "memory"):
            told = {side[name] for side in (page, copied) if name in side} - {base.get(name)}
            assert result.get(name) in told | {base.get(name)}
            assert len(told) < 2 or name in undecided
