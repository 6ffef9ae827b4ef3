"""Slips of a known place in the pages of the example year: is the line told? `python -m tests.promises.broken_lines`.

Each case makes one slip that people make in an editor, such as a list without its closing bracket, and reads the page.
The line is right if the first problem of the page is on the line of the slip, and a list's is where it begins.
"""

from __future__ import annotations

import argparse
import random
import re
import sys
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from journal.errors import Problem
from journal.folder import reading
from journal.folder.page_versions import Base, file_of
from journal.folder.reading import Basis

EXAMPLE = Path(__file__).parents[2] / "example_year"

Slip = tuple[str, int]
"""The text with the slip, and the line of it, from 1."""


def _at(text: str, start: int, end: int, put: str, line_of: int) -> Slip:
    """Return the text with another piece in place of one. The line is that of the position `line_of`."""
    return text[:start] + put + text[end:], text.count("\n", 0, line_of) + 1


def _chosen(pattern: str, text: str, rng: random.Random) -> re.Match[str] | None:
    matches = list(re.finditer(pattern, text, re.MULTILINE | re.DOTALL))
    return rng.choice(matches) if matches else None


MakeSlip = Callable[[str, random.Random], Slip | None]


def _without(pattern: str, group: int | str = 1, put: str = "", line_of: int | str | None = None) -> MakeSlip:
    """Return a slip that takes out, or replaces, one group of a pattern. The line is that of `line_of`, or of it."""

    def slip(text: str, rng: random.Random) -> Slip | None:
        match = _chosen(pattern, text, rng)
        if match is None:
            return None
        start, end = match.span(group)
        return _at(text, start, end, put, start if line_of is None else match.start(line_of))

    return slip


def _doubled(text: str, rng: random.Random) -> Slip | None:
    match = _chosen(r"^([a-z_]+ = [^\[\n\"']+)\n", text, rng)
    return None if match is None else _at(text, match.end(), match.end(), f"{match[1]}\n", match.end())


def _after_other_notation(slip: MakeSlip) -> MakeSlip:
    """Return a slip below a line that only TOML 1.1 allows, so that no older notion of the text loses its place."""

    def below(text: str, rng: random.Random) -> Slip | None:
        made = slip(text, rng)
        tables = ("caption = { at = 08:30,\n}\n", 'caption = "\\x41\\e[0m"\n', "caption = {\n  a = 1,\n  b = 2\n}\n")
        table = rng.choice(tables)
        return None if made is None else (table + made[0], made[1] + table.count("\n"))

    return below


def _misspelt(text: str, rng: random.Random) -> Slip | None:
    """Leave one letter out of a key."""
    match = _chosen(r"^(gratitude|memory|notes|estimate|status|title|every|timezone) = ", text, rng)
    if match is None:
        return None
    at = match.start() + 1 + rng.randrange(len(match[1]) - 2)
    return _at(text, at, at + 1, "", at)


_TEXT = r"^[a-z_]+ = (\")[^\"\n]+(\")$"
_NUMBER = r"^(?:mood|energy|high|low|estimate|took|rank) = (\d+)$"
SLIPS: dict[str, MakeSlip] = {
    "a list without its ]": _without(r"^[a-z_]+ = (?P<open>\[)(?!\[)[^\[\]]*(\])", 2, line_of="open"),
    "a list without its [": _without(r"^[a-z_]+ = (\[)(?!\[)[^\[\]\n]*\]$"),
    "a list without a comma": _without(r"\"(,) \"|\"(,)\n +\"", 0, put='" "', line_of=0),
    "a text without its closing quote": _without(_TEXT, 2),
    "a text without its opening quote": _without(_TEXT),
    "a text without quotes": _without(
        r"^(?:title|memory|sky|name) = (\"[A-Za-z][^\"\n#=\[\]]*\")$", put="Quote for it"
    ),
    "curly quotes": _without(r"^(?:title|memory|sky|name) = (\"[A-Za-z][^\"\n]*\")$", put="\u201cQuote\u201d"),
    "a time without quotes": _without(r"^(?:start|end|turns) = (\"(?P<time>[0-9:]+)\")$", put="09:00"),
    "a header without its last bracket": _without(r"^\[+[a-z.]+(\])\]?$"),
    "a header without its first bracket": _without(r"^(\[)\[?[a-z.]+\]+$"),
    "a key without =": _without(r"^[a-z_]+ (=) ", put=" "),
    "a colon in place of =": _without(r"^[a-z_]+( =) ", put=":"),
    "a number with a comma": _without(_NUMBER, put="3,5"),
    "a number in quotes": _without(_NUMBER, put='"3"'),
    "a number in words": _without(_NUMBER, put="three"),
    "a key twice": _doubled,
    "a misspelt key": _misspelt,
    "a wrong word": _without(r"^status = (\"[a-z]+\")$", put='"doing"'),
    "a backslash": _without(r"^(?:title|memory|name) = \"[A-Za-z]()[^\"\n]*\"$", put="\\d"),
    "a year last": _without(r"^(?:since|from|until) = (\d{4}-\d\d-\d\d)$", put="3.5.2025"),
}
for _name in ("a number in quotes", "a wrong word", "a time without quotes", "a list without its ]"):
    SLIPS[f"{_name}, below a notation of TOML 1.1"] = _after_other_notation(SLIPS[_name])


def pages() -> list[tuple[str, str, str]]:
    """Return key, path and text of the pages of the example year, and of its journal.toml, which counts often."""
    found = []
    for path in sorted(EXAMPLE.rglob("*.toml")):
        name, below = path.stem, path.relative_to(EXAMPLE).as_posix()
        key = {"journal": "settings", "undated": "undated"}.get(name, name)
        found += [(key, below, path.read_text(encoding="utf-8"))] * (40 if key == "settings" else 1)
    return found


def problems_of(basis: Basis, key: str, path: str, text: str) -> tuple[Problem, ...]:
    """Return the problems of a page with this text."""
    base = Base(key, path, text.encode())
    if key == "settings":
        return reading.basis_of(base, EXAMPLE).problems
    return (
        reading.check(file_of(key, path), text, basis.known)
        if key == "undated"
        else (reading.read_base(base, basis.known)[1])
    )


def run(count: int, seed: int) -> tuple[Counter[str], Counter[str], list[str]]:
    """Make so many slips. Return the cases and the wrong lines by the kind of slip, and some of the wrong ones."""
    rng, basis, texts = random.Random(seed), reading.read_settings(EXAMPLE), pages()
    cases, wrong = Counter[str](), Counter[str]()
    examples: list[str] = []
    while cases.total() < count:
        kind = rng.choice(list(SLIPS))
        key, path, text = rng.choice(texts)
        made = SLIPS[kind](text, rng)
        if made is None:
            continue
        cases[kind] += 1
        problems = [p for p in problems_of(basis, key, path, made[0]) if p.where != "caption"]
        if not problems or problems[0].line != made[1]:
            wrong[kind] += 1
            told = str(problems[0]) if problems else "nothing"
            examples.append(f"{kind}: line {made[1]} {made[0].splitlines()[made[1] - 1]!r}: {told}")
    return cases, wrong, examples


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--show", type=int, default=0, metavar="N", help="print N of the wrong ones")
    asked = parser.parse_args()
    started = time.monotonic()
    cases, wrong, examples = run(asked.count, asked.seed)
    for text in examples[: asked.show]:
        print(text)
    for kind, number in wrong.most_common():
        print(f"  {kind}: {number} of {cases[kind]}")
    seconds, number, total = time.monotonic() - started, cases.total(), wrong.total()
    right = f"{1 - total / number:.2%} right"
    print(f"broken lines: {number:,} slips, {total} wrong lines ({right}), {seconds:.0f} s, seed {asked.seed}")
    return bool(total > number * 0.01)


if __name__ == "__main__":
    sys.exit(main())
