"""Restoring as of a day: each page as a slow look at all of its versions says, and nothing lost from the history."""

from __future__ import annotations

import datetime as dt
import random
from pathlib import Path

import pytest

from journal.backup import new_backup, restored_journal
from journal.backup.past_day import PastDay
from journal.errors import BackupError
from journal.folder import history
from journal.folder.history_records import WRITTEN, PageState, record
from tests.backup.journals import NOW, SMALL, read, write
from tests.journals import HOME

KEYS = ("2025-03-13", "2025-03-14", "2025-03-20", "2025-W11", "2025-03", "2025", "undated", "settings")
BEGIN = dt.datetime(2025, 3, 10, 12, tzinfo=dt.UTC)

Versions = dict[str, list[PageState]]


def path_of(key: str) -> str:
    return {"undated": "undated.toml", "settings": "journal.toml"}.get(key, f"2025/{key}.toml")


def drawn(seed: int) -> Versions:
    """Versions of some pages over ten days, the first from elsewhere. Every other journal has no undated tasks."""
    draw = random.Random(seed)
    versions: Versions = {}
    for key in KEYS:
        moments = sorted(BEGIN + dt.timedelta(minutes=draw.randrange(14_400)) for _ in range(draw.randrange(5)))
        texts = [f'title = "{n}"\n{HOME}' if key == "settings" else f'memory = "{n}"\n' for n in range(len(moments))]
        datas = [None if key != "settings" and draw.random() < 0.2 else text.encode() for text in texts]
        versions[key] = [PageState(moment, "evening", data) for moment, data in zip(moments, datas, strict=True)]
    versions["settings"] = versions["settings"] or [PageState(BEGIN, "elsewhere", SMALL["journal.toml"])]
    return versions


def journal(folder: Path, versions: Versions) -> Path:
    for key, states in versions.items():
        if states:
            year = "2025/" if key[0] == "2" else ""
            write(folder, {f".history/{year}{key}.txt": b"".join(record(state) + WRITTEN for state in states)})
            if states[-1].data is not None:
                write(folder, {path_of(key): states[-1].data})
    return folder


def day_of(moment: dt.datetime) -> dt.date:
    """The journal's day in Ljubljana: until four in the morning it is still the day before. March is before and after
    the change to summer time, which comes on the 30th."""
    return (moment + dt.timedelta(hours=1) - dt.timedelta(hours=4)).date()


def expected(versions: Versions, day: dt.date) -> dict[str, bytes]:
    files = {}
    for key, states in versions.items():
        data = None
        for state in states:
            if day_of(state.moment) <= day:
                data = state.data
        if key == "settings" and data is None:
            data = states[0].data
        if data is not None:
            files[path_of(key)] = data
    return files


def restored(tmp_path: Path, folder: Path, day: dt.date, name: str = "again") -> tuple[Path, PastDay]:
    target = tmp_path / f"{name}.tar"
    new_backup.write(folder, target, replace=True)
    past = restored_journal.restore(target, tmp_path / name, now=NOW, as_of=day).past
    assert past is not None
    return tmp_path / name, past


def test_each_page_is_as_it_was_and_no_state_is_lost(tmp_path: Path) -> None:
    for seed in range(10):
        versions = drawn(seed)
        folder = journal(tmp_path / f"journal{seed}", versions)
        moments = [state.moment for states in versions.values() for state in states]
        first, last = day_of(min(moments)), day_of(max(moments))
        for day in {first, first + (last - first) / 2, last, last + dt.timedelta(days=90)}:
            again, _ = restored(tmp_path, folder, day, f"again{seed}-{day}")
            pages = {path: data for path, data in read(again).items() if not path.startswith(".history")}
            assert pages == expected(versions, day), (seed, day)
            for key, states in versions.items():
                data = pages.get(path_of(key))
                kept = history.states(again, key, data)
                before = history.states(folder, key, states[-1].data if states else None)
                assert kept[: len(before)] == before
                assert not kept or kept[-1].data == data  # what was put back is known as such
                assert {state.by for state in kept[len(before) :]} <= {"elsewhere", "restore"}


def test_what_has_no_state_and_what_was_changed_elsewhere_is_told(tmp_path: Path) -> None:
    at = [BEGIN + dt.timedelta(days=days) for days in (0, 5)]
    versions: Versions = {
        "2025-03-13": [PageState(at[0], "evening", b"mood = 1\n"), PageState(at[1], "evening", b"mood = 2\n")],
        "2025-03-14": [PageState(at[0], "evening", b"mood = 3\n")],
        "2025-03-20": [PageState(at[1], "evening", b"mood = 4\n")],
    }
    folder = write(journal(tmp_path / "small", versions), {"journal.toml": SMALL["journal.toml"]})
    write(folder, {"2025/2025-03-14.toml": b"mood = 5\n", "2025/2025-03-01.toml": b"mood = 1\n", "bench.jpg": b"x"})
    write(folder, {"2025/2025-04-01.toml": b"notes = ['planned by hand']\n"})
    again, past = restored(tmp_path, folder, dt.date(2025, 3, 11))
    assert past == PastDay(
        put_back=("2025-03-13",),
        left_out=("2025-03-20", "2025-04-01"),
        unknown=("settings", "2025-03-01"),
        elsewhere=("2025-03-14",),
    )
    assert {path: data for path, data in read(again).items() if not path.startswith(".history")} == {
        "journal.toml": SMALL["journal.toml"],
        "2025/2025-03-01.toml": b"mood = 1\n",
        "2025/2025-03-13.toml": b"mood = 1\n",
        "2025/2025-03-14.toml": b"mood = 3\n",
        "bench.jpg": b"x",
    }
    assert [state.data for state in history.states(again, "2025-03-14")] == [
        b"mood = 3\n",
        b"mood = 5\n",
        b"mood = 3\n",
    ]
    assert [state.data for state in history.states(again, "2025-04-01")][:1] == [b"notes = ['planned by hand']\n"]


def test_a_day_before_the_first_is_told_with_those_that_are_kept(tmp_path: Path) -> None:
    versions: Versions = {"2025-03-13": [PageState(BEGIN, "evening", b""), PageState(NOW, "evening", b"\n")]}
    folder = write(journal(tmp_path / "small", versions), {"journal.toml": SMALL["journal.toml"]})
    with pytest.raises(BackupError, match=r"^states of pages are kept from 2025-03-10 to 2026-03-14 only; "):
        restored(tmp_path, folder, dt.date(2025, 3, 9))
    assert {path.name for path in tmp_path.iterdir()} == {"small", "again.tar"}


def test_a_backup_without_states_is_told(tmp_path: Path) -> None:
    folder = write(tmp_path / "small", {"journal.toml": SMALL["journal.toml"]})
    with pytest.raises(BackupError, match=r"^the backup has no earlier states of its pages; leave --as-of out$"):
        restored(tmp_path, folder, dt.date(2025, 3, 9))
