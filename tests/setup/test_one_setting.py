"""One setting changes at random: only its lines change, all else keeps its bytes, and the file reads back with it."""

from __future__ import annotations

import datetime as dt
import difflib
import shutil
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal.setup import save_settings
from journal.setup.setting_fields import SINGLE_FIELDS, SettingField
from journal.setup.setting_lists import ROW_KINDS
from tests.setup.forms import NOW, opened, sent

EXAMPLE = Path(__file__).parents[2] / "example_year" / "journal.toml"
FILE = tomllib.loads(EXAMPLE.read_text(encoding="utf-8"))
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=12)

# Values that other values of the file allow: no habit ends before it begins, no key is twice.
NUMBERS = {"low": st.just(1), "high": st.just(5), "target": st.integers(1, 10**6), "estimate": st.integers(1, 600)}
NUMBERS |= {"gratitude_lines": st.integers(0, 20), "ranked_tasks": st.integers(0, 20), "format": st.just(1)}
DAYS = {
    "from": st.dates(dt.date(2020, 1, 1), dt.date(2024, 12, 31)),
    "until": st.dates(dt.date(2026, 1, 1), dt.date(2030, 1, 1)),
}
UNCHANGED = {
    ("mood", "words"),
    ("energy", "words"),
    ("rests", "habits"),
    ("categories", "sleep"),
    ("categories", "key"),
}


class OneSetting(NamedTuple):
    """A field of the file: the table of the form it is in, and its path in the file."""

    field: SettingField
    path: tuple[str | int, ...]


def fields() -> Iterator[OneSetting]:
    for path, field in SINGLE_FIELDS.items():
        yield OneSetting(field, path)
    for name, kind in ROW_KINDS.items():
        if kind.made_on:
            continue
        for i in range(len(FILE.get(name, []))):
            yield from (OneSetting(field, (name, i, field.key)) for field in kind.fields)


def is_held(one: OneSetting) -> bool:
    """Whether it is the key of a habit that a trial needs, which stays."""
    of_trials = {trial["habit"] for trial in FILE.get("trials", [])}
    is_key = one.path[0] == "habits" and one.field.key == "key"
    return is_key and FILE["habits"][one.path[1]]["key"] in of_trials


ALL = [one for one in fields() if (one.path[0], one.field.key) not in UNCHANGED and not is_held(one)]


VALUES: dict[str, st.SearchStrategy[Any]] = {
    "number": st.decimals(-89, 89, places=2).map(float),
    "tick": st.booleans(),
    "lines": st.lists(TEXTS, max_size=4),
    "words": st.lists(TEXTS.filter(lambda text: "," not in text), max_size=4),
    "time": st.times().map(lambda time: f"{time:%H:%M}"),
    "zone": st.sampled_from(["Europe/London", "Asia/Tokyo"]),
    "colour": st.from_regex(r"#[0-9A-F]{6}", fullmatch=True),
}


def value(field: SettingField) -> st.SearchStrategy[Any]:
    """A value for the file that differs from most."""
    if field.options:
        return st.sampled_from([option.value for option in field.options])
    of_key = NUMBERS.get(field.key, DAYS.get(field.key))
    return VALUES.get(field.control, TEXTS) if of_key is None else of_key


def as_typed(field: SettingField, given_value: Any) -> Any:
    """The value as a control holds it."""
    if field.control == "tick":
        return given_value
    between = {"lines": "\n", "words": ", "}
    if field.control in between:
        return between[field.control].join(given_value)
    return str(given_value)


def put(values: Any, path: tuple[str | int, ...], new: Any) -> None:
    """Set a value, or take its key away."""
    for part in path[:-1]:
        values = values.setdefault(part, {}) if isinstance(values, dict) else values[part]
    if new is None:
        values.pop(path[-1], None)
    else:
        values[path[-1]] = new


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(ALL).flatmap(lambda one: st.tuples(st.just(one), value(one.field))))
def test_one_setting(case: tuple[OneSetting, Any]) -> None:
    (field, path), new = case
    typed = as_typed(field, new)
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        shutil.copy(EXAMPLE, folder)
        form = sent(folder)
        controls, name_in_form = form["singles"], ".".join(map(str, path))
        if len(path) == 3:
            controls, name_in_form = form["lists"][path[0]][path[1]]["values"], str(path[2])
        is_changed = controls[name_in_form] != typed  # a default that the control shows already is not written
        controls[name_in_form] = typed
        result = save_settings.save(opened(folder), form, now=NOW)
        assert result.saved, result.problems
        before, after = EXAMPLE.read_text(encoding="utf-8"), (folder / "journal.toml").read_text(encoding="utf-8")
        assert not opened(folder).problems or field.key == "key"
    expected = tomllib.loads(before)
    if new is False or (new == [] and len(path) == 3):
        new = None
    if field.control == "choice" and str(new).isdecimal():
        new = int(new)
    if is_changed:
        put(expected, path, new)
    assert tomllib.loads(after) == expected
    codes = difflib.SequenceMatcher(None, before.splitlines(), after.splitlines(), autojunk=False).get_opcodes()
    changed = [code for code in codes if code[0] != "equal"]
    assert len(changed) <= 1, "the lines of one setting stand together"
    for _, first, last, *_ in changed:
        gone = before.splitlines()[first:last]
        is_list = field.control in ("lines", "words")  # a list may have several lines
        assert is_list or all(line.startswith(f"{path[-1]} = ") for line in gone)
