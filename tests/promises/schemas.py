"""The JSON Schemas against `duskbook check`, on changed pages. Run with `python -m tests.promises.schemas --count N`.

Each case changes some values of a page of the example year, or its text, and asks both. The verdicts are the same, or
every problem that only `check` tells has a reason in REASONS. A schema never refuses what `check` takes.
"""

from __future__ import annotations

import datetime as dt
import functools
import random
import re
import sys
from collections import Counter
from collections.abc import Callable
from typing import Any, NamedTuple

import rtoml
from jsonschema import Draft202012Validator, FormatChecker

from journal.errors import Problem
from journal.folder import reading, toml_read
from journal.folder.toml_read import NotReadError
from journal.schemas import page_schemas
from tests.promises import broken_lines, campaign, inputs

_WHOLE = r"expected (a whole number|12 or 24|0 or 1), got -?\d+\.0;"

REASONS: dict[str, str] = {
    "JSON has no dates: a text like one passes for a date": r"expected (a date|true, false or a date|text|list)",
    "JSON has no whole numbers apart from others: 2.0 passes for 2": _WHOLE,
    "JSON has no nan and no infinity": r"got -?(nan|inf);",
    "two spans of one day": r"expected (hours that are not taken yet|a stretch that ends after it starts)",
    "two times of an appointment": r"expected an end after",
    "two values of the weather": r"expected at least the low of",
    "two tasks": r"expected a (rank|n id) that no other task has|expected an id that no other task has",
    "a day compared with the page's own": r"expected a day (up to|after|on which it holds)",
    "the definition of a habit on that day": r"expected true, false or \"rest\" \(it has no target\)",
    "a picture and its caption": r"expected a picture (of this page|that is not in the list yet)",
    "the words of a scale and its ends": r"expected ([\d.]+ words, one|a low that is less)",
    "two days of one block": r"expected a day from|expected a day up to the last of the trial",
    "two blocks with one key": r"expected (a key that no other|a day on which no other)",
    "a name that another block of journal.toml has": r"expected (a habit|a category) of journal\.toml",
    "the words of a recurrence rule": r"expected a rule of RFC 5545",
    "the names of the time zones": r"expected a time zone",
    "several values of a trial": r"expected (at least \d+ days|\"mood\", \"energy\"|days on which|a number from)",
}
"""Why a schema cannot say what `check` says. A pattern of the problem's text, by the reason."""


class SchemaVerdict(NamedTuple):
    """Whether `check` tells a problem of a page, whether the schema says the same, and the reasons of a difference.
    A difference without reasons is a failure."""

    has_problems: bool
    is_same: bool
    reasons: tuple[str, ...]


@functools.cache
def _journal() -> tuple[reading.Basis, dict[str, Draft202012Validator], list[tuple[str, str, str]]]:
    basis = reading.read_settings(broken_lines.EXAMPLE)
    schemas = page_schemas.schemas(basis)
    for schema in schemas.values():
        Draft202012Validator.check_schema(schema)
    validators = {
        name: Draft202012Validator(schema, format_checker=FormatChecker()) for name, schema in schemas.items()
    }
    return basis, validators, broken_lines.pages()


def schema_name(key: str) -> str:
    """The schema of a page, by the name of its file."""
    forms = {
        "settings": "journal",
        "undated": "undated",
        r"\d{4}": "year",
        r"\d{4}-\d\d": "month",
        r"\d{4}-W\d\d": "week",
    }
    return next((name for form, name in forms.items() if re.fullmatch(form, key)), "day")


def as_json(value: Any) -> Any:
    """A value of TOML as an editor hands it to a schema: dates and times are texts."""
    if isinstance(value, dict):
        return {key: as_json(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [as_json(inner) for inner in value]
    return value.isoformat() if isinstance(value, dt.date | dt.time) else value


def verdict(key: str, path: str, text: str) -> SchemaVerdict | None:
    """Compare both on a text. None for one that is no TOML, of which no schema can say anything."""
    basis, validators, _ = _journal()
    try:
        values = toml_read.values(path, text)
    except NotReadError:
        return None
    problems = broken_lines.problems_of(basis, key, path, text)
    is_valid = validators[schema_name(key)].is_valid(as_json(values))
    is_same = is_valid == (not problems)
    return SchemaVerdict(bool(problems), is_same, () if is_same or not is_valid else _reasons(problems))


def _reasons(problems: tuple[Problem, ...]) -> tuple[str, ...]:
    """The reason of each problem, or nothing if one has none."""
    reasons = [next((name for name, form in REASONS.items() if re.search(form, str(p))), "") for p in problems]
    return tuple(reasons) if all(reasons) else ()


POOL: tuple[Any, ...] = (
    *(value for value in inputs.VALUES if value is not None and value not in ("\ud800", "\0", 10**30)),
    dt.date(2025, 3, 14), dt.date(2025, 12, 24), dt.time(9, 0), "09:00-08:00", "24:00", "7ish", "FREQ=DAILY", "week",
    "a.jpg", "keep", "#332288", 1, 2.0, 12, 40, 200,
)  # fmt: skip


def changed_values(value: Any, rng: random.Random) -> Any:
    """Return values with one change at a random place."""
    if isinstance(value, dict) and value and rng.random() < 0.95:
        return _changed_table(value, rng)
    if isinstance(value, list) and value and rng.random() < 0.9:
        at = rng.randrange(len(value))
        part = {"inside": [changed_values(value[at], rng)], "twice": [value[at]] * 2, "without": []}
        return [*value[:at], *part[rng.choice(("inside", "inside", "inside", "twice", "without"))], *value[at + 1 :]]
    if isinstance(value, int | float) and not isinstance(value, bool) and rng.random() < 0.5:
        return rng.choice((-value, value + 1, value * 100, str(value), value / 2))
    if isinstance(value, dt.date) and rng.random() < 0.5:
        other = dt.date.fromordinal(value.toordinal() + rng.randrange(-90, 90))
        return rng.choice((value.isoformat(), other, other))
    return rng.choice(POOL)


def _changed_table(table: dict[str, Any], rng: random.Random) -> dict[str, Any]:
    key = rng.choice(list(table))
    others = {name: part for name, part in table.items() if name != key}
    match rng.choice(("inside",) * 7 + ("without", "misspelt", "more")):
        case "without":
            return others
        case "misspelt":
            return others | {key[:-1] or "x": table[key]}
        case "more":
            return table | {rng.choice(("mood", "habits", "title", "from", "walk")): rng.choice(POOL)}
    return table | {key: changed_values(table[key], rng)}


def changed(text: str, rng: random.Random) -> str:
    """Return a page with some changes of its values, or of its text."""
    if rng.random() < 0.25:
        return inputs.changed_text(text, rng)
    values = rtoml.loads(text)
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        values = changed_values(values, rng)
    return str(rtoml.dumps(values)) if isinstance(values, dict) else text


def run(
    count: int, seed: int, told: Callable[[str], None] = lambda _text: None, tally: Counter[str] | None = None
) -> list[str]:
    """Compare both on so many changed pages. Return a line for each difference without a reason.

    `tally` receives the number of cases that both take, that both refuse, and those with each reason.
    """
    failures: list[str] = []
    counted = Counter[str]() if tally is None else tally
    tried = cases = 0
    while cases < count:
        tried += 1
        rng = random.Random(f"{seed}:{tried}")
        key, path, text = rng.choice(_journal()[2])
        try:
            text = changed(text, rng)
        except (rtoml.TomlSerializationError, ValueError):
            continue
        outcome = verdict(key, path, text)
        if outcome is None:
            continue
        cases += 1
        both = "both take it" if not outcome.has_problems else "both refuse it"
        counted.update([both] if outcome.is_same else set(outcome.reasons))
        if not outcome.is_same and not outcome.reasons:
            basis, validators, _ = _journal()
            problems = [str(problem) for problem in broken_lines.problems_of(basis, key, path, text)]
            errors = validators[schema_name(key)].iter_errors(as_json(toml_read.values(path, text)))
            told_by_schema = [f"{error.json_path}: {error.message}" for error in errors]
            failures.append(f"{seed}:{tried} {key}: check {problems}, schema {told_by_schema}"[:900])
            told(failures[-1])
    return failures


def main() -> int:
    tally = Counter[str]()
    code = campaign.main("schemas", "changed pages", functools.partial(run, tally=tally), count=1_000, about=__doc__)
    for reason, number in tally.most_common():
        print(f"  {number:6,}  {reason}")
    return code


if __name__ == "__main__":
    sys.exit(main())
