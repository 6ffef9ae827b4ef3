"""The way through the code goes one way: `journal.STAGES` is its order, and no module imports from a later stage."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import journal

PACKAGE = Path(journal.__file__).parent
MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path.parent != PACKAGE or not path.stem.startswith("__"))

# `journal.open` and `journal.Journal` are of the stage "opened". The cut is between the measures and whoever uses them:
# a measure takes frames and never a journal; what follows from a journal's tables is worked out by the measures there.
STAGE_OF_OPEN = "opened"


def stage(path: Path) -> str:
    """The stage of a module: its own name, or that of its package."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_stages(source: str) -> Iterator[tuple[int, str]]:
    """Line and stage of everything that a module takes from the package, at its top or later.

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


def test_a_stage_is_one_module_or_one_package_and_the_core_is_there() -> None:
    found = {stage(path) for path in MODULES}
    assert found <= set(journal.STAGES)
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
    } <= found
