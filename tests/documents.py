"""The documents of the project, read as Markdown: fenced blocks, sections, tables, links."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

PROJECT = Path(__file__).parents[1]
README, DEVELOPERS = PROJECT / "README.md", PROJECT / "DEVELOPERS.md"
MANUAL = sorted((PROJECT / "journal" / "manual").glob("*.md"))
DECISIONS = sorted((PROJECT / "journal").rglob("DECISIONS.md"))
NOTES = [PROJECT / "tests" / "TESTING.md", *sorted((PROJECT / "tests" / "benchmarks").glob("*.md"))]
FOR_READERS = [README, *MANUAL]
EVERY = [*FOR_READERS, DEVELOPERS, *DECISIONS, *NOTES]

_FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_HEADING = re.compile(r"^(#+) (.+)$", re.MULTILINE)
_LINK = re.compile(r"(?<!`)\[([^\]]*)\]\(([^)]+)\)")


class Block(NamedTuple):
    """A fenced block: what the fence says it is, and what it holds."""

    language: str
    body: str


def name(path: Path) -> str:
    """A document by its path in the project."""
    return path.relative_to(PROJECT).as_posix()


def text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def blocks(language: str, source: str) -> list[Block]:
    return [Block(*fence) for fence in _FENCE.findall(source) if fence[0] == language]


def shown_commands(source: str) -> Iterator[tuple[str, str]]:
    """Each command of a console block, with what stands below it."""
    for block in blocks("console", source):
        for part in re.split(r"^\$ ", block.body, flags=re.MULTILINE)[1:]:
            line, _, output = part.partition("\n")
            yield line, output


def headings(source: str) -> list[tuple[int, str]]:
    """The headings of a document, with their levels. Comments in listings are none."""
    return [(len(marks), title) for marks, title in _HEADING.findall(_FENCE.sub("", source))]


def section(title: str, source: str) -> str:
    """What stands below a heading, down to the next heading of its level or above.

    >>> section("Two", "# One\\n## Two\\na\\n### Three\\nb\\n## Four\\nc")
    'a\\n### Three\\nb\\n'
    """
    lines = source.splitlines(keepends=True)
    starts = [at for at, line in enumerate(lines) if re.fullmatch(rf"#+ {re.escape(title)}\n", line)]
    assert len(starts) == 1, f"{len(starts)} headings are called {title!r}"
    level = lines[starts[0]].index(" ")
    fenced, kept = False, []
    for line in lines[starts[0] + 1 :]:
        fenced ^= line.startswith("```")
        if not fenced and re.match(rf"#{{1,{level}}} ", line):
            break
        kept.append(line)
    return "".join(kept)


def table(header: str, source: str) -> list[tuple[str, ...]]:
    """The rows of the first table whose first column has a header; none where there is no such table.

    >>> table("key", "| key | value |\\n|---|---|\\n| `a` | 1 |\\n\\n| key |\\n|---|\\n| `b` |\\n")
    [('`a`', '1')]
    """
    _, found, rest = f"\n{source}".partition(f"\n| {header} |")
    rows = rest.splitlines()[2:] if found else []
    inside = itertools.takewhile(lambda row: row.startswith("|"), rows)
    return [tuple(cell.strip() for cell in row.strip("|").split(" | ")) for row in inside]


def slug(title: str) -> str:
    """The address of a heading on a code host: small letters, digits, hyphens.

    >>> slug("`[[habits]]`"), slug("Due days, and weeks")
    ('habits', 'due-days-and-weeks')
    """
    return re.sub(r"[^\w\- ]", "", title.lower()).strip().replace(" ", "-")


def links(source: str) -> list[tuple[str, str]]:
    """The words and the target of each link and picture."""
    return _LINK.findall(_FENCE.sub("", source))
