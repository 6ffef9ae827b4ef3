"""One evening saved, against what plain Python takes for the same bytes; and an edit read again.

    python -m tests.benchmarks.bench_saving [--rounds 9] [--years 1 50]

Saving is the call of the form's endpoint up to its answer, which says that all is saved, in a process that shows pages.
Its peer writes the same files, those of the journal and those of its history, each to a new name, syncs it, renames it,
and syncs the folder. An edit is measured from its writing to the journal as read again, without the wait for the notice
of the system.
"""

from __future__ import annotations

import argparse
import datetime as dt
import os
import statistics
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import NamedTuple

from journal.pages import form_endpoints, page_params
from tests.benchmarks import grown_year
from tests.evening.evenings import entered

NOW = dt.datetime.combine(grown_year.TODAY, dt.time(21), tzinfo=dt.UTC)
DAY = grown_year.TODAY.isoformat()


def _state(folder: Path) -> dict[Path, tuple[int, int]]:
    """Size and time of the files of the journal's year and of what is kept beside the pages, without the lock."""
    files = [*(folder / DAY[:4]).glob("*"), *(path for path in folder.glob(".*/**/*") if "cache" not in str(path))]
    return {path: (path.stat().st_size, path.stat().st_mtime_ns) for path in files if path.is_file()}


def plain(sizes: Sequence[int], folder: Path) -> float:
    """Seconds of writing and syncing so many bytes to each of some files."""
    began = time.perf_counter()
    for number, size in enumerate(sizes):
        target = folder / f"{number}.new"
        with target.open("wb") as file:
            file.write(b"x" * size)
            file.flush()
            os.fsync(file.fileno())
        target.rename(folder / f"{number}.toml")
        descriptor = os.open(folder, os.O_RDONLY)
        os.fsync(descriptor)
        os.close(descriptor)
    return time.perf_counter() - began


class SaveTimes(NamedTuple):
    """Seconds of the rounds: of a save, of its peer, and of an edit until the journal is read again."""

    saves: list[float]
    peers: list[float]
    edits: list[float]


def ratios(years: int, rounds: int) -> dict[str, float]:
    """The medians of a journal of so many years: seconds of a save (`saved`), of the peer (`plain`), their ratio
    (`ratio`), and seconds from an edit to the journal as read again (`edited`)."""
    with tempfile.TemporaryDirectory() as place, ThreadPoolExecutor(1) as page:  # pages have threads of their own
        folder = grown_year.written(Path(place, "journal"), years)
        os.environ[page_params.TODAY] = DAY
        times = page.submit(measured, folder, Path(place), rounds).result()
    saved, peer, edited = (statistics.median(seconds[1:]) for seconds in times)  # the first one imports
    return {"saved": saved, "plain": peer, "ratio": saved / peer, "edited": edited}


def measured(folder: Path, place: Path, rounds: int) -> SaveTimes:
    """Save an evening once more than `rounds`, each time followed by its peer and by an edit."""
    times = SaveTimes([], [], [])
    answers = form_endpoints.answers(lambda: page_params.opened(folder, NOW), lambda: NOW)
    offer = answers["day"]({"day": DAY})["offer"]
    for number in range(rounds + 1):
        before = _state(folder)
        form = entered(offer, memory=f"Thread, try {number}.") | {"day": DAY}
        began = time.perf_counter()
        answer = answers["save"](form)
        times.saves.append(time.perf_counter() - began)
        if not answer["answer"]["saved"]:
            raise RuntimeError(str(answer["answer"]))
        written = [size for path, (size, when) in _state(folder).items() if before.get(path) != (size, when)]
        times.peers.append(plain(written, place))
        answers["saved"]({"day": DAY})
        page = folder / DAY[:4] / f"{DAY}.toml"
        began = time.perf_counter()
        page.write_text(page.read_text(encoding="utf-8").replace("try", "edit"), encoding="utf-8")
        if not page_params.opened(folder, NOW).tables.lines["text"].str.contains(f"edit {number}").any():
            raise RuntimeError("the edit was not read")
        times.edits.append(time.perf_counter() - began)
        offer = answers["day"]({"day": DAY})["offer"]
    return times


def main(asked: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--rounds", type=int, default=9)
    parser.add_argument("--years", type=int, nargs="+", default=[1, 50])
    arguments = parser.parse_args(asked)
    for years in arguments.years:
        told = ratios(years, arguments.rounds)
        print(f"{years} years: " + ", ".join(f"{name} {value:.3g}" for name, value in told.items()), flush=True)


if __name__ == "__main__":
    main()
