"""The lowest declared versions, installed and tested: `python -m tests.floors`.

Each part of pyproject.toml is installed at its floor in a virtual environment of its own, and the tests that reach the
parts run there. pip installs exactly the floors (a constraints file pins each), so a floor that no other part allows
fails too. A resolver that searches for the lowest versions would take the next one in silence.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
import time
import tomllib
from pathlib import Path

PROJECT = Path(__file__).parents[1]
_FLOOR = re.compile(r"([A-Za-z0-9._-]+)>=([0-9.]+)")
_SECONDS = 600

TESTS = {
    "marimo": "tests/pages/test_notebook_cells.py",
    "polars": "tests/measures/test_states.py",
    "altair": "tests/charts/test_figure.py",
    "anywidget": "tests/pages/test_controls.py",
    "vl-convert-python": "tests/charts/test_figure.py",
    "rtoml": "tests/folder/test_toml_recovery.py",
    "msgspec": "tests/folder/test_problems.py",
    "click": "tests/cli/test_usage_errors.py",
    "markupsafe": "tests/sections/test_escape.py",
    "markdown": "tests/pages/test_manual.py",
    "numpy": "tests/measures/test_links.py",
    "uvicorn": "tests/pages/test_connections.py",
    "tzdata": "tests/measures/test_clock_changes.py",
    "tzlocal": "tests/cli/test_start.py",
    "ephem": "tests/sun",
    "icalendar": "tests/calendars",
    "recurring-ical-events": "tests/calendars",
    "python-dateutil": "tests/importing/test_cells.py",
    "zxing-cpp": "tests/paper/test_layout.py",
    "pillow": "tests/pictures/test_cleaned_picture.py",
    "jinja2": "tests/export/test_html.py::test_short_years_are_valid",
    "cryptography": "tests/backup/test_age_file.py",
    "typst": "tests/export/test_book_words.py",
}
"""A test that reaches each part that an installation needs: together they take some ten seconds."""

_TEST_PARTS = (
    "axe-playwright-python",
    "pytest",
    "pytest-xdist",
    "hypothesis",
    "tomlkit",
    "html5lib",
    "markdown-it-py",
    "playwright",
    "pypdf",
    "pyrage",
)
"""Parts that these tests import themselves."""


def floors(pyproject: str) -> dict[str, str]:
    """Return the lowest version of each part that a pyproject.toml declares, those for tests included.

    >>> floors('[project]\\ndependencies = ["click>=8.4,<9"]\\n[project.optional-dependencies]\\ntest = ["mypy"]')
    {'click': '8.4'}
    """
    project = tomllib.loads(pyproject)["project"]
    declared = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    return {match[1]: match[2] for part in declared if (match := _FLOOR.match(part))}


def run(folder: Path) -> int:
    """Install the floors in a folder, run the tests there, and return their exit code."""
    pinned = floors((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))
    constraints = folder / "floors.txt"
    constraints.write_text("".join(f"{name}=={version}\n" for name, version in pinned.items()), encoding="utf-8")
    subprocess.run([sys.executable, "-m", "venv", folder / "venv"], check=True)
    python = str(folder / "venv" / ("Scripts" if sys.platform == "win32" else "bin") / "python")
    install = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--constraint"]
    subprocess.run([*install, str(constraints), "--editable", str(PROJECT), *_TEST_PARTS], check=True)
    tests = [python, "-m", "pytest", "--quiet", *dict.fromkeys(TESTS.values())]
    try:
        return subprocess.run(tests, cwd=PROJECT, check=False, timeout=_SECONDS).returncode
    except subprocess.TimeoutExpired:  # a server that never answers is how an old uvicorn fails
        return 1


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--list", action="store_true", help="only print the constraints")
    pinned = floors((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))
    if parser.parse_args().list:
        print(*(f"{name}=={version}" for name, version in pinned.items()), sep="\n")
        return 0
    started = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        code = run(Path(folder))
    result = "the tests hold" if code == 0 else "TESTS FAIL"
    print(f"floors: {len(TESTS)} parts at their lowest versions, {result}, {time.monotonic() - started:.0f} s")
    return code


if __name__ == "__main__":
    sys.exit(main())
