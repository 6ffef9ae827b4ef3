"""Imports go one way: `journal.STAGES` is the order of stages, and no module imports from a later one."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import journal

PACKAGE = Path(journal.__file__).parent
MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path.parent != PACKAGE or not path.stem.startswith("__"))

# `journal.open` and `journal.Journal` belong to the stage "opened", between the measures and their users. A measure
# takes frames, never a journal. The opened journal calls the measures for the frames that follow from its tables.
STAGE_OF_OPEN = "opened"


def stage(path: Path) -> str:
    """The stage of a module: its own name, or that of its package."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_stages(source: str) -> Iterator[tuple[int, str]]:
    """Line and stage of every import of the package in a module, at top level or not.

    >>> list(imported_stages("from journal import tables\\ndef f():\\n    import journal.cli"))
    [(1, 'tables'), (3, 'cli')]
    >>> list(imported_stages("from journal.charts.marks import extra\\nfrom journal import open"))
    [(1, 'charts'), (2, 'opened')]
    """
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute here"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        else:
            continue
        for name in names:
            package, _, rest = name.partition(".")
            if package == "journal" and rest != "__version__":
                first = rest.partition(".")[0]
                yield node.lineno, first if first in journal.STAGES else STAGE_OF_OPEN


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(PACKAGE).as_posix())
def test_a_module_imports_from_its_own_and_earlier_stages_only(path: Path) -> None:
    here = journal.STAGES.index(stage(path))
    later = [
        f"line {line}: {name}"
        for line, name in imported_stages(path.read_text(encoding="utf-8"))
        if journal.STAGES.index(name) > here
    ]
    assert not later, f"{stage(path)} comes before what it imports: {'; '.join(later)}"


def test_every_stage_is_on_the_map_in_order() -> None:
    text = journal.__doc__ or ""
    mapped = [line.split()[0] for line in text.split("\n\n")[2].splitlines()]
    assert tuple(mapped) == journal.STAGES


def test_every_module_has_a_stage() -> None:
    stages = {stage(path) for path in MODULES}
    assert stages <= set(journal.STAGES)
    assert {
        "errors",
        "entry",
        "settings",
        "periods",
        "schedule",
        "folder",
        "tables",
        "measures",
        "opened",
        "cli",
    } <= stages
