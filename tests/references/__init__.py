"""Checks from outside: one JSON file a family, each check with its inputs, expected values and source.

A check is an object with `family`, `name`, `inputs`, `expected`, `tolerance` ("exact", or how far a value
may be off), `source` (where the expected values come from), `verified_by` (what else gives them), `sure`
("recomputed", "read in print", or both) and sometimes `note`. Values that someone knew from memory say so
in `source` or `note`.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any


def load(family: str) -> list[dict[str, Any]]:
    """All checks of a family, in the order of its file.

    >>> [check["name"] for check in load("iso-week")][-1]
    'years with 53 weeks 2000-2050'

    Raises FileNotFoundError where there is no such family.
    """
    text = Path(__file__).with_name(f"{family}.json").read_text(encoding="utf-8")
    checks: list[dict[str, Any]] = json.loads(text)
    return checks


def named(family: str, name: str) -> dict[str, Any]:
    """The one check of a family whose name starts with `name`.

    >>> named("calendar", "leap years")["expected"]["leap"][0]
    False

    Raises ValueError where none or more than one does.
    """
    (check,) = (check for check in load(family) if check["name"].startswith(name))
    return check
