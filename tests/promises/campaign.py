"""The command line of a campaign: how many cases, from which seed; and the one line that it prints at its end."""

from __future__ import annotations

import argparse
import functools
import sys
import time
from collections.abc import Callable, Sized

RunCases = Callable[[int, int, Callable[[str], None]], Sized]
"""Function from the number of cases, the seed, and where a failure is told at once, to all failures."""


def main(name: str, cases: str, run: RunCases, *, count: int, about: str | None) -> int:
    """Run a campaign as a command. `cases` names what is counted, `count` is their number by default."""
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--count", type=int, default=count)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    began = time.monotonic()
    failures = run(asked.count, asked.seed, functools.partial(print, file=sys.stderr, flush=True))
    seconds = time.monotonic() - began
    print(f"{name}: {asked.count:,} {cases}, {len(failures)} failures, {seconds:.0f} s, seed {asked.seed}")
    return bool(failures)
