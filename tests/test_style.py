"""The one check of how the project is written: linter, formatter, types, and the shape of the tree."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[1]
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "journal", "notebooks", "tests", "example_year",
}  # fmt: skip
BUILT = {"build", "dist", "__pycache__"}  # what installing and building leave in a copy that is not under git
LONGEST_MODULE = 300  # lines

MODULES = sorted([*PROJECT.glob("journal/**/*.py"), *PROJECT.glob("notebooks/**/*.py")])


def test_linter_formatter_and_types() -> None:
    """All three are run, so that one run tells everything there is to mend."""
    tools = [["ruff", "check", "--quiet"], ["ruff", "format", "--check", "--quiet"], ["mypy", "--no-error-summary"]]
    runs = [
        subprocess.run([sys.executable, "-m", *tool], cwd=PROJECT, capture_output=True, text=True, check=False)
        for tool in tools
    ]
    complaints = [run.stdout + run.stderr for run in runs if run.returncode != 0]
    assert not complaints, "\n" + "\n".join(complaints)


def test_the_top_level_is_as_small_as_it_was_meant() -> None:
    assert {name for name in _top_level() if not name.startswith(".")} == TOP_LEVEL


def _top_level() -> set[str]:
    """What git keeps at the top; without git, what lies there and was not built."""
    git = shutil.which("git")
    if git and (PROJECT / ".git").exists():
        run = subprocess.run([git, "ls-files", "-z"], cwd=PROJECT, capture_output=True, text=True, check=True)
        return {name.partition("/")[0] for name in run.stdout.split("\0") if name}
    return {path.name for path in PROJECT.iterdir() if path.suffix != ".egg-info"} - BUILT


def test_modules_are_found() -> None:
    names = {path.relative_to(PROJECT).as_posix() for path in MODULES}
    assert {"journal/schedule.py", "journal/measures/streaks.py", "notebooks/week.py"} <= names


def relative(path: Path) -> str:
    return path.relative_to(PROJECT).as_posix()


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_a_module_is_short(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_MODULE


@pytest.mark.parametrize("path", [path for path in MODULES if path.is_relative_to(PROJECT / "journal")], ids=relative)
def test_a_module_and_what_it_offers_are_explained(path: Path) -> None:
    module = ast.parse(path.read_text(encoding="utf-8"))
    silent = [] if ast.get_docstring(module) else ["the module"]
    silent += [
        node.name
        for node in module.body
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        and not node.name.startswith("_")
        and not ast.get_docstring(node)
    ]
    assert not silent, f"without a docstring: {', '.join(silent)}"
