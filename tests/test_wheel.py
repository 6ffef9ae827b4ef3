"""The installed copy: the content of the wheel, and that it runs from a read-only folder."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.documents import MANUAL
from tests.entering import enter, opener, read_announced

PROJECT = Path(__file__).parents[1]

# One worker builds and unpacks the wheel; other workers would repeat it.
pytestmark = pytest.mark.xdist_group("wheel")


def run(*command: str, cwd: Path, **environment: str) -> str:
    result = subprocess.run(
        command, cwd=cwd, env={**os.environ, **environment}, capture_output=True, text=True, check=False
    )
    assert result.returncode == 0, result.stdout + result.stderr
    return result.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built without network access by the installed hatchling."""
    folder = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "wheel", "--no-index", "--no-deps"]
    run(*pip, "--no-build-isolation", "--wheel-dir", str(folder), str(PROJECT), cwd=folder)
    (built,) = folder.glob("duskbook-*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The wheel, installed by pip, with every file and folder read-only."""
    target = tmp_path_factory.mktemp("site-packages")
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "install", "--no-index", "--no-deps", "--quiet"]
    run(*pip, "--target", str(target), str(wheel), cwd=target)
    inside = [target, *target.rglob("*")]
    modes = {path: path.stat().st_mode for path in inside}
    for path in inside:
        path.chmod(modes[path] & ~0o222)
    yield target
    for path, mode in modes.items():
        path.chmod(mode)


def files(folder: Path) -> dict[str, int]:
    return {path.relative_to(folder).as_posix(): path.stat().st_mtime_ns for path in folder.rglob("*")}


def test_the_wheel_has_exactly_the_needed_files(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    notebooks = {f"duskbook_notebooks/{path.name}" for path in PROJECT.glob("notebooks/*.py")}
    assert {f"duskbook_notebooks/{page}.py" for page in ("week", "month", "year")} <= notebooks <= names
    assert {"journal/py.typed", "journal/pages/style.css", "journal/__init__.py", "journal/cli.py"} <= names
    assert "journal/export/templates/book.typ" in names
    assert {f"journal/manual/{path.name}" for path in MANUAL} <= names and len(MANUAL) > 5
    # Not only modules: also style sheets, templates and all other files beside them.
    beside = {path.relative_to(PROJECT).as_posix() for path in PROJECT.glob("journal/**/*.*") if path.suffix != ".pyc"}
    assert beside <= names
    tops = {name.partition("/")[0] for name in names}
    assert {top for top in tops if not top.endswith((".dist-info", ".data"))} == {
        "journal", "duskbook_notebooks", "duskbook_example_year"
    }  # fmt: skip
    files = [*PROJECT.glob("example_year/**/*.toml"), *PROJECT.glob("example_year/2025/*.png")]
    example = {path.relative_to(PROJECT / "example_year").as_posix() for path in files}
    of_example = {name.partition("/")[2] for name in names if name.startswith("duskbook_example_year/")}
    assert of_example == {*example, "README.md"} and len(example) > 400
    data = [name.partition(".data/data/")[2] for name in names if ".data/" in name]
    assert data == ["share/man/man1/duskbook.1"], "what goes beside the command's own folder"
    assert [name for name in names if "__pycache__" in name or "test" in name.lower()] == []


def test_the_wheel_s_metadata(wheel: Path) -> None:
    archive = zipfile.ZipFile(wheel)
    (info,) = {name.partition("/")[0] for name in archive.namelist() if ".dist-info/" in name}
    metadata = archive.read(f"{info}/METADATA").decode("utf-8")
    assert "License-Expression: MIT" in metadata
    head, _, readme = metadata.partition("\n\n")
    for field in ("Author: The Duskbook developers", "Keywords: ", "Description-Content-Type: text/markdown"):
        assert f"\n{field}" in head
    assert "Project-URL" not in head  # there is no public place yet, and none is invented
    assert readme.startswith("# Duskbook\n") and "](" not in readme.replace("](https://", "")
    assert f"{info}/licenses/LICENSE" in archive.namelist()
    assert "duskbook = journal.program:main" in archive.read(f"{info}/entry_points.txt").decode("utf-8")


def duskbook(*arguments: str) -> list[str]:
    """The command, imported from PYTHONPATH, not from the project of the tests (-P)."""
    call = "import sys; from journal.program import main; sys.argv = ['duskbook', *sys.argv[1:]]; main()"
    return [sys.executable, "-P", "-c", call, *arguments]


def test_a_read_only_copy_runs(installed: Path, tmp_path: Path) -> None:
    before, path = files(installed), str(installed)
    ask = [sys.executable, "-P", "-c", "import journal; print(journal.__file__)"]
    assert Path(run(*ask, cwd=tmp_path, PYTHONPATH=path).strip()).is_relative_to(installed)
    assert run(*duskbook("--version"), cwd=tmp_path, PYTHONPATH=path).startswith("duskbook 0.")
    run(*duskbook("start", "new", "--yes"), cwd=tmp_path, PYTHONPATH=path)
    rows = run(*duskbook("show", "streaks", "new", "--format", "json"), cwd=tmp_path, PYTHONPATH=path)
    assert isinstance(json.loads(rows), list)
    assert files(installed) == before  # root ignores the modes, so compare the files too


def test_a_read_only_copy_serves_its_pages(installed: Path, tmp_path: Path) -> None:
    before, home = files(installed), tmp_path / "home"
    home.mkdir()
    style = (PROJECT / "journal/pages/style.css").read_text(encoding="utf-8").splitlines()[0]
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    environment = {
        **os.environ, "PYTHONPATH": str(installed), "HOME": str(home), "TMPDIR": str(temporary), "PYTHONUNBUFFERED": "1"
    }  # fmt: skip
    command = duskbook("try", "--no-browser", "--port", "0")
    with subprocess.Popen(command, cwd=tmp_path, env=environment, stdout=subprocess.PIPE, text=True) as server:
        try:
            browser = opener()
            evening = enter(browser, *read_announced(server))
            assert len(list(temporary.glob("duskbook-try-*"))) == 1
            for page in ("evening", "week", "month", "year"):
                opened = browser.open(evening.replace("/evening/", f"/{page}/"))
                body = opened.read().decode("utf-8")
                assert opened.status == 200
                # marimo inlines the notebook's style sheet, and reports nothing if it is missing.
                assert style in body
            for path in MANUAL:
                page = browser.open(evening.replace("/evening/", f"/manual/{path.name}")).read().decode("utf-8")
                assert "Duskbook manual</title>" in page and style not in page
        finally:
            server.terminate()
    assert list(temporary.glob("duskbook-try-*")) == []  # also when it is ended from outside
    assert files(installed) == before
