"""Unique names: no type is defined in two modules, and module names repeat only where listed."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import journal

PACKAGE = Path(journal.__file__).parent
MODULES = [path for path in PACKAGE.rglob("*.py") if not path.stem.startswith("__")]

# The same noun in two folders: calendar files written and read, dates formatted and parsed, a command and its export.
SAME_NOUN = {
    "calendar": {"export", "importing"},
    "dates": {"importing", "wording"},
    "retrospective": {"commands", "export"},
    "sheets": {"commands", "export"},
}


def types(source: str) -> Iterator[str]:
    """The classes and aliases that a module defines at top level.

    >>> list(types("class A: ...\\nBoth = dict[str, int]\\nLIMIT = 3\\nc = 4"))
    ['A', 'Both']
    """
    for node in ast.parse(source).body:
        if isinstance(node, ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            name = node.targets[0].id.lstrip("_")
            if name[:1].isupper() and not name.isupper():
                yield node.targets[0].id


def test_a_type_has_a_name_of_its_own() -> None:
    places: dict[str, list[str]] = defaultdict(list)
    for path in MODULES:
        for name in types(path.read_text(encoding="utf-8")):
            places[name].append(path.relative_to(PACKAGE).as_posix())
    assert {name: where for name, where in places.items() if len(where) > 1} == {}
    assert len(places) > 150  # guards against a search that finds nothing


def test_a_module_name_stands_in_two_folders_only_for_the_same_noun() -> None:
    folders: dict[str, set[str]] = defaultdict(set)
    for path in MODULES:
        folders[path.stem].add(path.parent.relative_to(PACKAGE).as_posix())
    assert {name: where for name, where in folders.items() if len(where) > 1} == SAME_NOUN
