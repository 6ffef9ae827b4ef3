"""Copies of history files, as synchronising leaves them: every state of every copy counts, and none is lost."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from journal.folder import history, writing
from journal.folder.history_copies import HistoryCopy, union
from journal.folder.history_records import PageState, record

DAY = "2025-03-14"
NOW = dt.datetime(2025, 3, 14, 20, 5, tzinfo=dt.UTC)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "here"
    (folder / "2025").mkdir(parents=True)
    (folder / "journal.toml").write_text('title = "Spine"', encoding="utf-8")
    return folder


def save(folder: Path, minutes: int, key: str = DAY, **values: object) -> None:
    changes: dict[tuple[str, ...], object] = {(name,): value for name, value in values.items()}
    moment = NOW + dt.timedelta(minutes=minutes)
    writing.save(folder, key, writing.look(folder, key), changes, now=moment, by="day")


def kept(folder: Path, key: str = DAY) -> list[bytes | None]:
    return [state.data for state in history.states(folder, key)]


def lines(key: str, *names: str) -> dict[str, object]:
    return {"tasks": [{"title": name} for name in names]} if key == "undated" else {"notes": list(names)}


def synchronised(folder: Path, name: str, key: str = DAY) -> Path:
    """Two devices save the page from one state. The file of the other comes as a copy beside the own one."""
    place = ".history" if key == "undated" else f".history/{key[:4]}"
    save(folder, 0, key, **lines(key, "One"))
    other = folder.parent / "there"
    shutil.copytree(folder, other)
    save(folder, 10, key, **lines(key, "One", "Here"))
    save(other, 5, key, **lines(key, "One", "There"))
    return shutil.copyfile(other / place / f"{key}.txt", folder / place / name)


@pytest.mark.parametrize(
    ("key", "name"),
    [
        (DAY, f"{DAY} (conflict).txt"),
        (DAY, f"{DAY}.sync-20250314-200507-ABCDEF.txt"),
        (DAY, f"{DAY}-laptop.txt"),
        (DAY, f"{DAY}.txt (2024)"),
        (DAY, f"copy of {DAY}.txt"),
        ("2025", "2025 (1).txt"),
        ("2025-W11", "2025-W11 (1).txt"),
        ("undated", "undated 2.txt"),
    ],
)
def test_states_of_a_copy_count_and_are_put_into_the_file_by_the_next_save(folder: Path, key: str, name: str) -> None:
    copy = synchronised(folder, name, key)
    first, there, here = kept(folder, key)
    assert [b"Here" in (data or b"") for data in (first, there, here)] == [False, False, True]
    assert b"There" in (there or b"")
    assert key in history.pages(folder)
    assert copy.exists(), "reading removes nothing"
    save(folder, 20, key, **lines(key, "Later"))
    assert not copy.exists()
    assert kept(folder, key)[:3] == [first, there, here]
    assert len(kept(folder, key)) == 4
    assert [path.name for path in copy.parent.glob("*.txt") if path.name != "README.txt"] == [f"{key}.txt"]


def test_a_copy_alone_is_the_history(folder: Path) -> None:
    copy = synchronised(folder, f"{DAY} (1).txt")
    states = kept(folder)
    (copy.parent / f"{DAY}.txt").unlink()
    assert kept(folder) == states[:2]
    save(folder, 20, notes=["Later."])
    assert kept(folder)[:2] == states[:2]
    assert not copy.exists()


def test_a_copy_that_ends_in_a_torn_record_counts_and_stays(folder: Path) -> None:
    copy = synchronised(folder, f"{DAY} (1).txt")
    torn = record(PageState(NOW + dt.timedelta(minutes=7), "day", b"mood = 4\n"))[:-3]
    copy.write_bytes(copy.read_bytes() + torn)
    states = kept(folder)
    save(folder, 20, notes=["Later."])
    assert copy.exists()
    assert (kept(folder)[:3], len(states)) == (states, 3)
    copy.write_bytes(copy.read_bytes() + b"= 4\n"[-3:])  # the rest has come; whether it was written is not known here
    save(folder, 30, notes=["Last."])
    assert not copy.exists()
    assert b"mood = 4\n" in kept(folder)


def test_what_is_no_copy_is_left_alone(folder: Path) -> None:
    save(folder, 0, notes=["One."])
    place = folder / ".history" / "2025"
    for name in (f".{DAY}.txt.0123456789abcdef.writing", f"{DAY}.txt.part", "letter.txt", f"1{DAY}.txt"):
        (place / name).write_bytes(b"x")
    (place / f"{DAY} (2).txt").symlink_to(folder / "journal.toml")
    save(folder, 10, notes=["Two."])
    assert len(list(place.iterdir())) == 6
    assert len(kept(folder)) == 2


STATES = st.lists(
    st.builds(
        lambda minute, data: PageState(NOW + dt.timedelta(minutes=minute), "day", data),
        st.integers(0, 6),
        st.sampled_from([b"a", b"b", None]),
    ),
    unique_by=lambda state: (state.moment, state.data),
    max_size=5,
)


@given(STATES, STATES, STATES)
def test_a_union_has_every_state_once_whatever_comes_first(
    own: list[PageState], one: list[PageState], other: list[PageState]
) -> None:
    copies = [HistoryCopy("1", tuple(one), True), HistoryCopy("2", tuple(other), True)]
    found = union(own, copies)
    assert {(state.moment, state.data) for state in found} == {(s.moment, s.data) for s in (*own, *one, *other)}
    assert len(found) == len(set(map(repr, found)))
    assert union(found, copies) == found
    assert set(map(repr, union(one, [copies[1], HistoryCopy("3", tuple(own), True)]))) == set(map(repr, found))
