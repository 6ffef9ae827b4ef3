"""The command line of a campaign: how many cases, from which seed; and the one line that it prints at its end."""

from __future__ import annotations

import argparse
import functools
import sys
import time
from collections.abc import Callable, Sized

RunCases = Callable[[int, int, Callable[[str], None]], Sized]
"""Function from the number of cases, the seed, and where a failure is told at once, to all failures."""


def main(
    name: str,
    cases: str,
    run: RunCases,
    *,
    count: int,
    about: str | None,
    narrowed: Callable[[str], RunCases] | None = None,
) -> int:
    """Run a campaign as a command. `cases` names what is counted, `count` is their number by default.

    `narrowed` gives the campaign of one way of writing, for the option --only.
    """
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--count", type=int, default=count)
    parser.add_argument("--seed", type=int, default=1)
    if narrowed:
        parser.add_argument("--only", metavar="WAY", help="one way of writing, of those of ways.py")
    asked = parser.parse_args()
    if narrowed and asked.only:
        run, cases = narrowed(asked.only), f"{cases} ({asked.only})"
    began = time.monotonic()
    failures = run(asked.count, asked.seed, functools.partial(print, file=sys.stderr, flush=True))
    seconds = time.monotonic() - began
    print(f"{name}: {asked.count:,} {cases}, {len(failures)} failures, {seconds:.0f} s, seed {asked.seed}")
    return bool(failures)
