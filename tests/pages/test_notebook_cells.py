"""The cells of a notebook, run from their file: in the order of their names, and as marimo runs them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from journal.pages.notebook_cells import NotebookCells

# Cells out of their order, one of each kind: bare names, a tuple of one, nothing shown, a function, a class, a closure.
NOTEBOOK = """
import marimo

app = marimo.App()

with app.setup:
    import math

    BASE = 10


@app.cell
def _(doubled):
    add(doubled, 1)
    return


@app.cell(hide_code=True)
def _(start):
    doubled = start * 2
    _unseen = doubled
    return (doubled,)


@app.function
def add(left, right):
    return left + right + BASE


@app.class_definition
class Word:
    text = "word"


@app.cell
def _():
    start, step = 4, 1
    Word.text, math.floor(1.5)
    return start, step


@app.cell
def _(step):
    def later():
        return step

    later()


if __name__ == "__main__":
    app.run()
"""


def test_cells_run_after_what_they_read_and_show_in_the_order_of_the_file() -> None:
    assert NotebookCells(NOTEBOOK, "sum.py").run() == [19, None, ("word", 1), 1]


def test_each_run_has_names_of_its_own() -> None:
    text = "with app.setup:\n    seen = []\n\n@app.cell\ndef _():\n    seen.append(1)\n    list(seen)\n    return\n"
    cells = NotebookCells(text, "seen.py")
    assert [cells.run(), cells.run()] == [[[1]], [[1]]]


@pytest.mark.parametrize(
    ("text", "error"),
    [
        ("@app.cell\ndef _(b):\n    b\n    return\n", "x.py: no cell binds b before it is read"),
        (
            "@app.cell\ndef _(b):\n    a = b\n    return (a,)\n\n@app.cell\ndef _(a):\n    b = a\n    return (b,)\n",
            "a, b",
        ),
        ("@app.cell\nasync def _():\n    return\n", "'app' is not defined"),
    ],
)
def test_what_cannot_be_run_is_told(text: str, error: str) -> None:
    with pytest.raises(NameError, match=error):
        NotebookCells(text, "x.py").run()


def test_nothing_but_the_cells_is_imported(tmp_path: Path) -> None:
    """`app.run()` imported matplotlib, which wrote its cache to the home folder."""
    path = tmp_path / "sum.py"
    path.write_text(NOTEBOOK, encoding="utf-8")
    program = (
        "import pathlib, sys\n"
        "from journal.pages.notebook_cells import NotebookCells\n"
        "NotebookCells.of_file(pathlib.Path(sys.argv[1])).run()\n"
        "print([name for name in ('marimo', 'matplotlib') if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", program, str(path)], capture_output=True, text=True, check=True)
    assert ran.stdout == "[]\n"
