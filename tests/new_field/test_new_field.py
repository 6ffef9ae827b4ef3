"""A field of a day is declared once, in journal/entry.py: three fields added to a copy of the package work fully."""

from __future__ import annotations

import ast
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.new_field.probes import PROBES

PROJECT = Path(__file__).parents[2]
BEFORE = "    gratitude: tuple[str, ...] = ()\n"
FIELDS = (
    "    steps: Annotated[\n"
    '        int | None, Field(label="Steps", low=0, reader="friend", driver="Steps of the day")\n'
    "    ] = None\n"
    '    wore: Annotated[str | None, Field(label="Worn")] = None\n'
    '    hope: Annotated[float | None, Field(label="Hope", scale="mood", asked="tomorrow")] = None\n'
)
NAMES = ("steps", "wore", "hope")
WITHOUT = f"DAY_FIELDS = tuple(field for field in DAY_FIELDS if field.name not in {NAMES})\n"

READS_FIELDS = sorted(
    path.relative_to(PROJECT).as_posix()
    for path in (PROJECT / "journal").rglob("*.py")
    if "DAY_FIELDS" in path.read_text(encoding="utf-8") and path.name != "entry.py"
)


def with_fields(place: Path) -> Path:
    """A copy of the package with three more fields. Only their declarations are added."""
    shutil.copytree(PROJECT / "journal", place / "journal", ignore=shutil.ignore_patterns("__pycache__"))
    entry = place / "journal/entry.py"
    text = entry.read_text(encoding="utf-8")
    assert text.count(BEFORE) == 1
    entry.write_text(text.replace(BEFORE, FIELDS + BEFORE), encoding="utf-8")
    return place


def take_away(module: Path) -> None:
    """Hide the three fields from a module."""
    text = module.read_text(encoding="utf-8")
    if module.name == "toml_format.py":
        assert text.count("Entry.__struct_fields__") == 1
        text = text.replace(
            "Entry.__struct_fields__", f"[name for name in Entry.__struct_fields__ if name not in {NAMES}]"
        )
    else:
        imports = [node for node in ast.parse(text).body if isinstance(node, ast.Import | ast.ImportFrom)]
        lines = text.splitlines(keepends=True)
        lines.insert(imports[-1].end_lineno or 0, WITHOUT)
        text = "".join(lines)
    module.write_text(text, encoding="utf-8")


def faults(place: Path) -> dict[str, str]:
    """The faults that the probes report for a copy, by probe."""
    path = os.pathsep.join([str(place), str(PROJECT)])
    run = subprocess.run(
        [sys.executable, "-P", "-m", "tests.new_field.probes"],
        cwd=place, env=os.environ | {"PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    results = json.loads(run.stdout)
    assert results.keys() == PROBES.keys()
    return {name: fault for name, fault in results.items() if fault is not None}


def test_a_declaration_is_enough_for_a_field(tmp_path: Path) -> None:
    assert faults(with_fields(tmp_path)) == {}


@pytest.mark.parametrize("module", [*READS_FIELDS, "journal/folder/toml_format.py"])
def test_a_module_that_misses_the_fields_is_noticed(module: str, tmp_path: Path) -> None:
    place = with_fields(tmp_path)
    take_away(place / module)
    assert faults(place) != {}
