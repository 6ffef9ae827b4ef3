"""`python -m journal` in a folder from elsewhere: none of the modules that lie there is run."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib import metadata
from pathlib import Path

import pytest

from tests.cli.conftest import PROJECT

PYTHON = {"PYTHONPATH": str(PROJECT)}


@pytest.fixture(scope="module")
def traps(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a module of every name of the library and of the installed packages. Each leaves a mark.

    The modules that Python imports before it comes to any package, for `-m`, are not among them.
    """
    beside = tmp_path_factory.mktemp("beside")
    (beside / "control.py").write_text("import sys\nprint('\\n'.join(sys.modules))")
    path = os.pathsep.join([str(PROJECT), str(beside)])
    control = subprocess.run(
        [sys.executable, "-m", "control"],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONPATH": path},
    )
    before = {name.split(".")[0] for name in control.stdout.split()}
    folder = tmp_path_factory.mktemp("traps")
    for name in {*sys.stdlib_module_names, *metadata.packages_distributions()} - before - {"journal"}:
        (folder / f"{name}.py").write_text(f"open({str(folder / 'sprung')!r}, 'a').write('{name} ')")
    return folder


def sprung(traps: Path, *arguments: str | Path, **environment: str) -> str:
    """The names of the traps that a command imported."""
    mark = traps / "sprung"
    mark.unlink(missing_ok=True)
    command = [sys.executable, "-m", "journal", *map(str, arguments)]
    result = subprocess.run(
        command, cwd=traps, capture_output=True, text=True, check=False, env=os.environ | PYTHON | environment
    )
    assert mark.exists() or result.returncode == 0, result.stderr
    return mark.read_text() if mark.exists() else ""


def test_no_module_of_the_folder_is_imported(traps: Path, small_journal: Path) -> None:
    assert sprung(traps, "show", "streaks", small_journal, "--format", "json") == ""
    assert sprung(traps, "--version", PYTHONSAFEPATH="1") == ""


def test_the_traps_work(traps: Path) -> None:
    mark = traps / "sprung"
    subprocess.run([sys.executable, "-c", "import json, polars"], cwd=traps, check=False, env=os.environ | PYTHON)
    # From Python 3.13 on `-c` imports two modules before that code, and is in the first trap by then.
    assert set(mark.read_text().split()) in ({"json", "polars"}, {"linecache", "traceback"})
