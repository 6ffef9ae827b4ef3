"""The JSON Schemas: every key with its words, the example year valid, and the verdict of `duskbook check`."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import rtoml
from jsonschema import Draft202012Validator, FormatChecker

from journal.folder import reading
from journal.schemas import page_schemas
from tests.cli.conftest import Typed, small_journal, typed  # noqa: F401 (fixtures)
from tests.promises import broken_lines, schemas
from tests.promises.schemas import as_json, schema_name

GENERAL = page_schemas.schemas()
OWN = page_schemas.schemas(reading.read_settings(broken_lines.EXAMPLE))


def properties(schema: Any, where: str = "") -> Iterator[tuple[str, Any]]:
    """Each key of a schema with what is said of it, by the table it is in."""
    for name, inner in schema.get("properties", {}).items():
        yield f"{where}{name}", inner
    for table, inner in schema.get("$defs", {}).items():
        yield from properties(inner, f"{table}.")


@pytest.mark.parametrize("name", GENERAL)
def test_a_schema_is_one_of_its_draft_and_needs_no_other_file(name: str) -> None:
    Draft202012Validator.check_schema(GENERAL[name])
    text = page_schemas.text(GENERAL[name])
    addresses = {word for word in text.split('"') if "://" in word}
    assert addresses == {"https://json-schema.org/draft/2020-12/schema"}, "the name of the draft alone"
    assert all(word.startswith("#/$defs/") for word in text.split('"$ref": "')[1:])


@pytest.mark.parametrize("name", GENERAL)
def test_every_key_says_what_it_is_for(name: str) -> None:
    silent = [key for key, said in properties(GENERAL[name]) if not (said.get("description") or "$ref" in str(said))]
    assert silent == []
    words = [said["description"] for _, said in properties(GENERAL[name]) if "description" in said]
    assert not [text for text in words if "see below" in text or "](" in text]


@pytest.mark.parametrize("schema", [GENERAL, OWN], ids=["any journal", "its own"])
def test_the_example_year_is_valid(schema: dict[str, Any]) -> None:
    validators = {name: Draft202012Validator(one, format_checker=FormatChecker()) for name, one in schema.items()}
    seen = Counter[str]()
    for key, path, text in dict.fromkeys(broken_lines.pages()):
        errors = [error.message for error in validators[schema_name(key)].iter_errors(as_json(rtoml.loads(text)))]
        assert errors == [], path
        seen[schema_name(key)] += 1
    assert seen.keys() == GENERAL.keys()


def test_only_the_names_of_a_journal_are_right_on_its_pages() -> None:
    day = Draft202012Validator(OWN["day"])
    assert day.is_valid({"habits": {"walk": True, "read": 20}, "mood": 5, "hours": {"actual": {"sleep": []}}})
    pages: tuple[dict[str, Any], ...] = (
        {"habits": {"wlak": True}},
        {"habits": {"walk": 20}},
        {"challenges": {"wlak": True}},
        {"hours": {"actual": {"slep": []}}},
        {"place": "nowhere"},
        {"mood": 6},
        {"tasks": [{"title": "T", "rank": 4}]},
    )
    for page in pages:
        assert not day.is_valid(page), page
        assert "place" in page or Draft202012Validator(GENERAL["day"]).is_valid(page), page
    assert OWN["day"]["properties"]["habits"]["properties"]["walk"]["title"] == "Walk by the river"
    month = Draft202012Validator(OWN["month"])
    assert month.is_valid({"decisions": {"walk": "keep"}})
    assert not month.is_valid({"decisions": {"wlak": "keep"}})
    assert not Draft202012Validator(OWN["week"]).is_valid({"decisions": {"walk": "keep"}})


def test_the_verdict_is_that_of_check() -> None:
    tally = Counter[str]()
    assert schemas.run(400, seed=11, tally=tally) == []
    assert tally["both take it"] > 100 and tally["both refuse it"] > 100


def test_a_whole_number_written_with_a_point_is_told_as_it_stands() -> None:
    """`clock: expected 12 or 24, got 12; write 12` was said of `clock = 12.0`."""
    basis, text = reading.read_settings(broken_lines.EXAMPLE), 'title = "T"\nclock = 12.0\n'
    told = [str(problem) for problem in broken_lines.problems_of(basis, "settings", "journal.toml", text)]
    assert told[1] == "journal.toml:2:9: clock: expected 12 or 24, got 12.0; write 12"


def test_the_command_prints_one_and_writes_all(typed: Typed, tmp_path: Path, small_journal: Path) -> None:  # noqa: F811
    assert json.loads(typed("schema").stdout) == GENERAL["day"]
    assert json.loads(typed("schema", "--page", "journal").stdout) == GENERAL["journal"]
    own = json.loads(typed("schema", small_journal).stdout)
    assert list(own["properties"]["habits"]["properties"]) == ["read", "swim", "walk"]
    result = typed("schema", "--to", tmp_path / "out")
    assert result.exit_code == 0
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == sorted(map(page_schemas.file_name, GENERAL))
    typed("schema", small_journal, "--page", "day", "--to", tmp_path / "one")
    assert [path.name for path in (tmp_path / "one").iterdir()] == ["day.schema.json"]
    assert json.loads((tmp_path / "one" / "day.schema.json").read_text(encoding="utf-8")) == own
    assert typed("schema", "--page", "dya").stderr == 'duskbook: there is no page "dya"; did you mean "day"?\n'


def test_start_writes_what_its_files_name(typed: Typed, tmp_path: Path) -> None:  # noqa: F811
    folder = tmp_path / "mine"
    assert typed("start", folder, "--yes").exit_code == 0
    for name in ("journal", "undated"):
        line = (folder / f"{name}.toml").read_text(encoding="utf-8").partition("\n")[0]
        place = line.removeprefix("#:schema ")
        assert line != place
        assert json.loads((folder / place).read_text(encoding="utf-8")) == GENERAL[name]
    assert Draft202012Validator(GENERAL["journal"]).is_valid(
        as_json(rtoml.loads((folder / "journal.toml").read_text(encoding="utf-8")))
    )
    assert typed("check", folder).exit_code == 0
