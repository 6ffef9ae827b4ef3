"""DEVELOPERS.md is true: its map is that of the folders, its parts have reasons, its names exist, and its lists of
files suffice. Each list is followed in a copy of the project, in which nothing but its files is touched.
"""

from __future__ import annotations

import ast
import json
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import journal
from tests import documents
from tests.documents import DECISIONS, DEVELOPERS, MANUAL, NOTES, PROJECT, README, section

pytestmark = pytest.mark.xdist_group("developers")

TEXT = documents.text(DEVELOPERS)
LISTS = ("a field to a day", "a measure", "a chart", "a format of the retrospective")
MOST_FILES = 4


# The map -----------------------------------------------------------------------------------------------------


def mapped() -> list[str]:
    """The names on the map below journal/, in order."""
    (block, *_) = documents.blocks("", section("The map", TEXT))
    lines = block.body.splitlines()
    assert lines[0] == "journal/"
    return [line.split()[0] for line in lines[1:] if line.startswith("  ")]


def test_the_map_has_every_module_and_folder_and_no_other() -> None:
    there = {path.name for path in (PROJECT / "journal").glob("*.py")}
    there |= {f"{path.name}/" for path in (PROJECT / "journal").iterdir() if path.is_dir() and any(path.glob("*.*"))}
    assert sorted(mapped()) == sorted(there - {"__pycache__/"})


def test_the_map_has_the_stages_in_their_order() -> None:
    stages = [name.removesuffix(".py").rstrip("/") for name in mapped()]
    assert [name for name in stages if name in journal.STAGES] == list(journal.STAGES)


def test_the_notebooks_are_on_it() -> None:
    (line,) = [line for line in TEXT.splitlines() if line.startswith("notebooks/")]
    assert set(re.findall(r"\w+\.py", line)) == {path.name for path in (PROJECT / "notebooks").glob("*.py")}


# Parts -------------------------------------------------------------------------------------------------------


def parts() -> Iterator[tuple[str, str]]:
    """Each line of pyproject.toml that names a part, with what is said behind it."""
    text = (PROJECT / "pyproject.toml").read_text(encoding="utf-8")
    yield from re.findall(r'^    "([\w-]+)[^"]*",(?:  # (.+))?$', text, re.MULTILINE)


def test_every_part_has_its_reason_beside_it() -> None:
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    needed = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = [re.match(r"[\w-]+", one)[0] for one in needed]  # type: ignore[index]
    assert [name for name, _ in parts() if name in names] == names
    assert [name for name, reason in parts() if name in names and len(reason) < 8] == []


def test_what_runs_imports_nothing_that_is_not_named() -> None:
    """A library that only comes along with another may leave with it."""
    provided = {
        "vl_convert": "vl-convert-python",
        "PIL": "pillow",
        "zxingcpp": "zxing-cpp",
        "dateutil": "python-dateutil",
        "traitlets": "anywidget",  # whose own interface is made of them
    }
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = {re.match(r"[\w-]+", one)[0] for one in project["dependencies"]}  # type: ignore[index]
    found = set()
    for path in [*(PROJECT / "journal").rglob("*.py"), *(PROJECT / "notebooks").glob("*.py")]:
        for node in ast.walk(ast.parse(documents.text(path))):
            if isinstance(node, ast.Import):
                found |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                found.add(node.module.partition(".")[0])
    outside = {provided.get(name, name.replace("_", "-")) for name in found - sys.stdlib_module_names - {"journal"}}
    assert outside <= named, outside - named


# Decisions ---------------------------------------------------------------------------------------------------


def test_every_file_of_decisions_and_notes_is_linked() -> None:
    linked = {(PROJECT / target.partition("#")[0]).resolve() for _, target in documents.links(TEXT)}
    assert set(DECISIONS) <= linked
    assert set(NOTES) <= linked
    assert len(DECISIONS) > 8


@pytest.mark.parametrize("path", [DEVELOPERS, README, *DECISIONS, *NOTES, *MANUAL], ids=documents.name)
def test_every_file_that_is_named_exists(path: Path) -> None:
    """A name with a slash in it and an ending, in code: of the project, of journal/ or beside the document."""
    found = re.findall(r"`([\w./-]+/[\w.-]+\.(?:py|md|json|css|js|typ|toml))`", documents.text(path))
    invented = re.compile(r"NAME|\d{4}|^\.cache/|^\.history/|^my-journal/")
    places = (PROJECT, PROJECT / "journal", path.parent)
    missing = [
        name for name in found if not invented.search(name) and not any((place / name).exists() for place in places)
    ]
    assert not missing


# The lists, followed -----------------------------------------------------------------------------------------


def listed(what: str) -> list[str]:
    """The files of the list "How to add ..."."""
    return re.findall(r"^\d\. `([^`]+)`", section(f"How to add {what}", TEXT), re.MULTILINE)


@pytest.mark.parametrize("what", LISTS)
def test_a_list_has_at_most_four_files_and_those_without_a_name_to_choose_exist(what: str) -> None:
    files = listed(what)
    assert 2 <= len(files) <= MOST_FILES
    for file in files:
        place = PROJECT / file
        assert place.parent.is_dir() if "NAME" in file else place.is_file(), file


class Copy:
    """A copy of the project in which the files of one list are changed."""

    def __init__(self, folder: Path, what: str) -> None:
        self.folder = folder
        self.allowed = listed(what)
        self.touched: set[str] = set()
        for name in ("journal", "notebooks", "tests", "example_year"):
            ignored = shutil.ignore_patterns("__pycache__", ".cache")
            shutil.copytree(PROJECT / name, folder / name, ignore=ignored)
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE"):
            shutil.copy(PROJECT / name, folder / name)

    def _place(self, pattern: str, name: str) -> Path:
        assert pattern in self.allowed, f"{pattern} is not on the list"
        self.touched.add(pattern)
        return self.folder / pattern.replace("NAME", name)

    def create(self, pattern: str, name: str, text: str) -> None:
        place = self._place(pattern, name)
        assert not place.exists()
        place.write_text(text, encoding="utf-8")

    def insert(self, pattern: str, before: str, text: str) -> None:
        """Put a text before the only place where another stands."""
        place = self._place(pattern, "")
        source = place.read_text(encoding="utf-8")
        assert source.count(before) == 1, before
        place.write_text(source.replace(before, text + before), encoding="utf-8")

    def run(self, *command: str) -> str:
        environment = {"PYTHONPATH": str(self.folder), "PATH": ""}
        result = subprocess.run(
            [sys.executable, *command], cwd=self.folder, env=environment, capture_output=True, text=True, check=False
        )
        assert result.returncode == 0, result.stdout + result.stderr
        return result.stdout

    def duskbook(self, *arguments: str) -> str:
        return self.run("-m", "journal", *arguments)

    def tests(self, *names: str) -> None:
        self.run("-m", "pytest", "-q", "-n", "0", *names)


NEW_MEASURE = '''"""How many lines a day has."""

from __future__ import annotations

import polars as pl


def counted(lines: pl.DataFrame) -> pl.DataFrame:
    """Lines of each day. In: `Tables.lines` (date). Out: date (Date), count (Int64), in the order of days."""
    return lines.group_by("date").agg(pl.len().cast(pl.Int64).alias("count")).sort("date")
'''


def test_a_measure_is_added_by_the_files_of_its_list(tmp_path: Path) -> None:
    copy = Copy(tmp_path, "a measure")
    copy.create("journal/measures/NAME.py", "line_counts", NEW_MEASURE)
    copy.insert("journal/commands/show.py", "from journal.sun import", "from journal.measures import line_counts\n")
    copy.insert(
        "journal/commands/show.py",
        '    "findings": _findings,\n',
        '    "line-counts": lambda journal, days, _by: line_counts.counted(journal.tables.lines.filter(_within(days))),'
        "\n",
    )
    copy.insert(
        "journal/commands/show_catalogue.py",
        '    "findings": Shown(',
        '    "line-counts": Shown("day", ("date", "count")),\n',
    )
    copy.insert("journal/manual/measures.md", "| `findings` |", "| `line-counts` | day | - | date, count |\n")
    assert copy.touched == set(copy.allowed)
    shown = ("show", "line-counts", "example_year", "--from", "2025-03-13", "--to", "2025-03-14", "--format", "json")
    rows = json.loads(copy.duskbook(*shown, "--today", "2025-12-31"))
    assert [row["date"] for row in rows] == ["2025-03-13", "2025-03-14"] and all(row["count"] > 0 for row in rows)
    assert "lines, line-counts, findings, sun, trials or lots" in " ".join(copy.duskbook("show", "--help").split())
    copy.tests("tests/test_stages.py", "tests/test_names.py", "tests/test_documents.py", "-k", "not prints")


NEW_CHART = '''"""How many days were rated."""

from __future__ import annotations

import polars as pl

from journal.charts.canvas import NARROW, WIDE, Canvas, Drawing
from journal.charts.figure import Figure


def draw(days: pl.DataFrame) -> Figure:
    """One number. In: `Tables.days` (mood). Out: a Figure; its table has one row."""
    rated = days.select(pl.col("mood").is_not_null().sum().alias("rated"))
    title = f"{rated.item()} days were rated"

    def drawing(width: int) -> Drawing:
        canvas = Canvas(width)
        canvas.texts([{"x": width / 2, "y": 30, "text": title}])
        return canvas.drawing(60)

    return Figure(
        key="rated-days", title=title, subtitle="", alt=title, wide=drawing(WIDE), narrow=drawing(NARROW), table=rated
    )
'''

SHOW_MONTH = """
import html, os, sys
os.environ |= {"DUSKBOOK_FOLDER": "example_year", "DUSKBOOK_TODAY": "2026-01-01", "DUSKBOOK_ON": "2025-03-13"}
sys.path.insert(0, "notebooks")
import month
outputs, names = month.app.run()
drawn = [chapter.draw() for chapter in names["told"]]
print(html.unescape(" ".join([*(getattr(one, "text", "") for one in outputs), *drawn])))
"""


def test_a_chart_is_added_by_the_files_of_its_list(tmp_path: Path) -> None:
    copy = Copy(tmp_path, "a chart")
    copy.create("journal/charts/NAME.py", "rated_days", NEW_CHART)
    chapter = '        page_chapters.of_figure("Rated days", rated_days.draw(book.lived_in(month))),\n'
    copy.insert("notebooks/month.py", "        mood_cards.chapter(", chapter)
    copy.insert("notebooks/month.py", "    from journal.pages import", "    from journal.charts import rated_days\n")
    assert copy.touched == set(copy.allowed)
    page = copy.run("-c", SHOW_MONTH)
    assert "31 days were rated" in page and 'id="rated-days"' in page and "mood-line" in page
    copy.tests("tests/test_stages.py", "tests/test_names.py")


NEW_FORMAT = '''"""The year as a list of its chapters."""

from __future__ import annotations

from typing import TYPE_CHECKING

import jinja2

from journal.export.document import Document
from journal.export.formats import Progress, ExportOutput

if TYPE_CHECKING:
    from journal.export.typesetting import Paper


def write(document: Document, _paper: Paper, progress: Progress) -> ExportOutput:
    """The format "outline" of a retrospective."""
    progress("Writing the outline")
    environment = jinja2.Environment(loader=jinja2.PackageLoader("journal.export"), autoescape=False)
    return ExportOutput(environment.get_template("outline.txt.jinja").render(document=document).encode())
'''

NEW_ENTRY = """    "outline": ExportFormat(
        "Outline",
        "The titles of the chapters.",
        "retrospective-{year}{reader}.txt",
        writer="outline.write",
        media="text/plain",
        option="its chapters",
    ),
"""

ON_THE_PAGE = """
import datetime, journal
from journal import periods
from journal.export.export_cache import Asked, Edition
from journal.pages.book_widget import YearBook
book = journal.open("example_year", today=datetime.date(2026, 1, 1), cache=False)
offered = [one for one in YearBook(book, periods.year(2025)).offer["files"] if one["kind"] == "outline"]
made = Edition(book).file(Asked(year=2025, reader="friend", kind="outline"), print)
print(offered, made.name, made.media)
print(made.data.decode())
"""


def test_a_format_is_added_by_the_files_of_its_list(tmp_path: Path) -> None:
    copy = Copy(tmp_path, "a format of the retrospective")
    copy.create("journal/export/NAME.py", "outline", NEW_FORMAT)
    copy.create(
        "journal/export/templates/NAME.txt.jinja",
        "outline",
        "{{ document.title }}\n{% for chapter in document.chapters %}{{ chapter.title }}\n{% endfor %}",
    )
    copy.insert("journal/export/formats.py", '    "png": ExportFormat(', NEW_ENTRY)
    copy.insert("journal/manual/exports.md", "| `png` |", "| `outline` | the titles of its chapters, as text |\n")
    assert copy.touched == set(copy.allowed)
    export = ("export", "retrospective", "example_year", "--year", "2025", "--format", "outline", "--for", "friend")
    assert copy.duskbook(*export).startswith("retrospective-2025-for-friend.txt  ")
    written = (copy.folder / "retrospective-2025-for-friend.txt").read_text(encoding="utf-8")
    assert "The year\n" in written and "March 2025\n" in written
    said = copy.run("-c", ON_THE_PAGE)
    assert "'name': 'Outline'" in said and "retrospective-2025-for-friend.txt text/plain" in said
    assert said.endswith(f"{written}\n")
    assert "pdf, a book; outline, its chapters; png," in " ".join(copy.duskbook(*export[:2], "--help").split())
    copy.tests("tests/test_stages.py", "tests/test_names.py", "tests/test_documents.py", "-k", "not prints")
