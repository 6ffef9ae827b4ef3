"""One evening saved, against what plain Python takes for the same bytes; and an edit read again.

    python -m tests.benchmarks.bench_saving [--rounds 9] [--years 1 50]

Saving is the call of the form's endpoint up to its answer, in a process that shows pages. Its peer writes the same
files, those of the journal and those of its history, each to a new name, syncs it, renames it, and syncs the folder.
An edit is measured from its writing to the journal as read again, without the wait for the notice of the system.
"""

from __future__ import annotations

import argparse
import datetime as dt
import os
import statistics
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from journal.pages import file_watch, form_endpoints, page_params
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


def ratios(years: int, rounds: int) -> dict[str, float]:
    """The medians of a journal of so many years: seconds of a save (`saved`), of the peer (`plain`), their ratio
    (`ratio`), and seconds from an edit to the journal as read again (`edited`)."""
    saves, peers, edits = [], [], []
    with tempfile.TemporaryDirectory() as place:
        folder = grown_year.written(Path(place, "journal"), years)
        os.environ[page_params.TODAY] = DAY
        answers = form_endpoints.answers(lambda: page_params.opened(folder, NOW), lambda: NOW)
        file_watch.seen(folder)  # from now on the system's signals tell of changes
        offer = answers["day"]({"day": DAY})["offer"]
        for number in range(rounds + 1):
            before = _state(folder)
            form = entered(offer, memory=f"Thread, try {number}.") | {"day": DAY}
            began = time.perf_counter()
            answer = answers["save"](form)
            took = time.perf_counter() - began
            if not answer["answer"]["saved"]:
                raise RuntimeError(str(answer["answer"]))
            written = [size for path, (size, when) in _state(folder).items() if before.get(path) != (size, when)]
            peer = plain(written, Path(place))
            page = folder / DAY[:4] / f"{DAY}.toml"
            began = time.perf_counter()
            page.write_text(page.read_text(encoding="utf-8").replace("try", "edit"), encoding="utf-8")
            if not page_params.opened(folder, NOW).tables.lines["text"].str.contains(f"edit {number}").any():
                raise RuntimeError("the edit was not read")
            edit = time.perf_counter() - began
            offer = answers["day"]({"day": DAY})["offer"]
            if number:  # the first one imports
                saves.append(took)
                peers.append(peer)
                edits.append(edit)
    middle = statistics.median
    return {
        "saved": middle(saves),
        "plain": middle(peers),
        "ratio": middle(saves) / middle(peers),
        "edited": middle(edits),
    }


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
