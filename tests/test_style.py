"""Style checks: linter, formatter, types, and the layout of the tree."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from journal.settings import WEEKDAYS

PROJECT = Path(__file__).parents[1]
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "journal", "notebooks", "tests", "example_year",
}  # fmt: skip
BUILT = {"build", "dist", "__pycache__"}  # leftovers of installing and building in a copy without git
LONGEST_MODULE = 300  # lines
LOWEST = (3, 11)
QUIET = {"ruff": "--quiet", "mypy": "--no-error-summary"}

MODULES = sorted([*PROJECT.glob("journal/**/*.py"), *PROJECT.glob("notebooks/**/*.py")])


@pytest.mark.parametrize(
    "tools", [(["ruff", "check"], ["ruff", "format", "--check"]), (["mypy"],)], ids=["ruff", "mypy"]
)
def test_linter_formatter_and_types(tools: tuple[list[str], ...]) -> None:
    """Both of ruff, so that one run shows all errors."""
    if tools == (["mypy"],) and sys.version_info[:2] != LOWEST:
        pytest.skip("types are checked with the lowest Python: for newer ones numpy and others describe other types")
    runs = [
        subprocess.run(
            [sys.executable, "-m", *tool, QUIET[tool[0]]], cwd=PROJECT, capture_output=True, text=True, check=False
        )
        for tool in tools
    ]
    complaints = [run.stdout + run.stderr for run in runs if run.returncode != 0]
    assert not complaints, "\n" + "\n".join(complaints)


def test_the_top_level_has_only_the_expected_names() -> None:
    assert {name for name in _top_level() if not name.startswith(".")} == TOP_LEVEL


def _top_level() -> set[str]:
    """Top-level names under git, or without git all names that were not built."""
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


def week_start_defaults(module: ast.Module) -> list[str]:
    """Where a module takes a weekday for granted: a parameter or field with a default, and a weekday as a value.

    >>> week_start_defaults(ast.parse("def f(*, week_starts='sunday'): ..."))
    ['line 1: week_starts', 'line 1: sunday']
    >>> week_start_defaults(ast.parse("class Sheet:\\n    week_starts: Weekday = FIRST"))
    ['line 2: week_starts']
    >>> week_start_defaults(ast.parse("def f(by='all', *, week_starts: Weekday): ..."))
    []
    """
    found = []
    for node in ast.walk(module):
        if isinstance(node, ast.arguments):
            given = [*node.posonlyargs, *node.args][-len(node.defaults) :] if node.defaults else []
            given += [arg for arg, default in zip(node.kwonlyargs, node.kw_defaults, strict=True) if default]
            found += [f"line {arg.lineno}: {arg.arg}" for arg in given if "week_start" in arg.arg]
        elif isinstance(node, ast.AnnAssign) and node.value and "week_start" in ast.unparse(node.target).lower():
            found.append(f"line {node.lineno}: {ast.unparse(node.target)}")
        elif isinstance(node, ast.Constant) and node.value in WEEKDAYS:
            found.append(f"line {node.lineno}: {node.value}")
    return found


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_the_settings_alone_have_a_default_for_the_start_of_a_week(path: Path) -> None:
    """A default lets a journal whose weeks start otherwise be counted wrongly, and nothing fails."""
    found = week_start_defaults(ast.parse(path.read_text(encoding="utf-8")))
    if relative(path) == "journal/settings.py":
        assert sum("week_start" in place.lower() for place in found) == 2  # the default, and the field that has it
    else:
        assert found == []
