"""The lines of a file that a change adds and removes, with the lines around them."""

from __future__ import annotations

import difflib
from typing import Literal

import msgspec

AROUND = 2  # lines shown before and after each change


class ChangedLine(msgspec.Struct, frozen=True):
    """One line of a change. `number` is its number in the file: in the new text for an added or unchanged line, in the
    old text for a removed one. "gap" stands for lines left out."""

    kind: Literal["added", "removed", "same", "gap"]
    number: int
    text: str


def between(before: str, after: str) -> list[ChangedLine]:
    r"""Return the lines that differ, in order, with the lines around them. Empty for equal texts.

    >>> for line in between("a\nb\nc\n", "a\nB\nc\n"): print(line.kind, line.number, line.text)
    same 1 a
    removed 2 b
    added 2 B
    same 3 c
    """
    old, new = before.splitlines(), after.splitlines()
    lines: list[ChangedLine] = []
    for group in difflib.SequenceMatcher(None, old, new, autojunk=False).get_grouped_opcodes(AROUND):
        if lines or group[0][3] > 0:
            lines.append(ChangedLine("gap", 0, ""))
        for kind, old_first, old_end, new_first, new_end in group:
            if kind == "equal":
                lines += [ChangedLine("same", i + 1, new[i]) for i in range(new_first, new_end)]
                continue
            lines += [ChangedLine("removed", i + 1, old[i]) for i in range(old_first, old_end)]
            lines += [ChangedLine("added", i + 1, new[i]) for i in range(new_first, new_end)]
    return lines
