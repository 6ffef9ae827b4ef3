"""How long states are kept: compared with a slow, obvious rule; and the pages that nobody changes again."""

from __future__ import annotations

import datetime as dt
import tempfile
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from journal.folder.history import replacing, states
from journal.folder.history_file import SIZE_LIMIT
from journal.folder.history_records import PageState, thinned
from journal.folder.page_versions import Base
from tests.choosing import Chooser

NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)


def slow(all_states: list[PageState], whole_days: float) -> list[PageState]:
    """The states of the last days, and before them those that no other one of the same day follows at once."""
    kept = []
    for i, state in enumerate(all_states):
        following = all_states[i + 1 : i + 2]
        is_last_of_day = not following or following[0].moment.date() != state.moment.date()
        if is_last_of_day or (NOW - state.moment).total_seconds() <= whole_days * 86_400:
            kept.append(state)
    return kept


@given(st.data())
def test_recent_states_stay_and_of_old_ones_the_last_of_each_day(data: st.DataObject) -> None:
    chooser = Chooser(data.draw)
    hours_ago = sorted((chooser.one(range(24 * 90)) for _ in range(chooser.one(range(1, 30)))), reverse=True)
    made = [PageState(NOW - dt.timedelta(hours=ago), "day", b"%d" % i) for i, ago in enumerate(hours_ago)]
    assert thinned(made, NOW, SIZE_LIMIT) == slow(made, 60)
    assert thinned(thinned(made, NOW, SIZE_LIMIT), NOW, SIZE_LIMIT) == slow(made, 60)
    few = thinned(made, NOW, 1_000)  # about six states
    assert len(few) <= 6
    assert few[-1] == made[-1]
    assert [state for state in made if state in few] == few


def save(folder: Path, key: str, number: int, now: dt.datetime) -> None:
    page = folder / f"{key}.toml"
    before = Base(key, page.name, page.read_bytes() if page.exists() else None)
    after = b"# %d\n" % number + b"x" * 1500
    with replacing(folder, before, after, now=now, by="day"):
        page.write_bytes(after)


def test_a_page_that_is_not_changed_again_is_thinned_out_when_others_are_begun(tmp_path: Path) -> None:
    for number in range(50):
        for key in ("2025-03-14", "2025-W11", "2025-03"):
            save(tmp_path, key, number, NOW + dt.timedelta(minutes=number))
    save(tmp_path, "2025-03-14", 50, NOW + dt.timedelta(days=1))
    save(tmp_path, "2025-05-10", 0, NOW + dt.timedelta(days=57))
    assert len(states(tmp_path, "2025-03-14")) == 51
    save(tmp_path, "2025-05-20", 0, NOW + dt.timedelta(days=67))
    assert [state.data[:5] for state in states(tmp_path, "2025-03-14") if state.data] == [b"# 49\n", b"# 50\n"]
    assert [len(states(tmp_path, key)) for key in ("2025-W11", "2025-03")] == [1, 1]


def test_a_page_with_a_long_history_stays_within_its_bound() -> None:
    with tempfile.TemporaryDirectory(dir="/dev/shm" if Path("/dev/shm").is_dir() else None) as name:
        folder, page = Path(name), Path(name) / "undated.toml"
        for number in range(30):  # within a day, of a page near the limit of what is read
            before = Base("undated", page.name, page.read_bytes() if page.exists() else None)
            after = b"# %d\n" % number + b"x" * 240_000
            with replacing(folder, before, after, now=NOW, by="day"):
                page.write_bytes(after)
        found = states(folder, "undated")
        assert (folder / ".history" / "undated.txt").stat().st_size <= SIZE_LIMIT
    numbers = [int(state.data[2:4]) for state in found if state.data]
    assert numbers == list(range(numbers[0], 30))
    assert len(numbers) >= SIZE_LIMIT // 2 // 241_000
