"""A parser that says everything otherwise: no line and no remedy is lost, whether it still names the place or not."""

from __future__ import annotations

import re
from typing import Any

import pytest
import rtoml

from journal.folder import reading, syntax_problem, syntax_slips, syntax_words, toml_recovery
from tests.folder.journals import load
from tests.promises import broken_lines

PLACED = re.compile(r" at line (\d+) column (\d+)$")
OTHER_REMEDIES = {
    # The parser takes "1 2" for a text without quotes, and two keys for one.
    "notes = [1 2]": "put a comma between its parts, or close it",
    "weather = { high = 1 low = 2 }": "put a comma between its parts, or close it",
}


@pytest.fixture(params=["the place kept", "the place in other words", "no place"])
def other_words(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """The parser with other messages."""
    loads = rtoml.loads

    def otherwise(text: str) -> dict[str, Any]:
        try:
            return loads(text)
        except rtoml.TomlParsingError as error:
            place = PLACED.search(str(error))
            assert place is not None
            kept = {"the place kept": place[0], "the place in other words": f" ({place[1]}:{place[2]})"}
            raise rtoml.TomlParsingError(f"Syntax is off{kept.get(request.param, '')}") from None

    monkeypatch.setattr(rtoml, "loads", otherwise)


def told(source: str) -> tuple[int, str]:
    """The line and the remedy of a page that is no valid TOML."""
    with pytest.raises(rtoml.TomlParsingError) as broken:
        rtoml.loads(source)
    problem = syntax_problem.of_text("2025/2025-03-04.toml", source, broken.value)
    return problem.line, problem.remedy


@pytest.mark.usefixtures("other_words")
def test_no_line_and_no_remedy_of_a_broken_page_is_lost() -> None:
    cases = load("syntax_problems")
    assert len(cases) > 50
    for case in cases:
        source = case["page"]
        line, remedy = int(case["line"].partition(":")[0]), case["line"].partition("; ")[2]
        assert told(source) == (line, OTHER_REMEDIES.get(source, remedy)), source


@pytest.mark.usefixtures("other_words")
def test_what_is_nested_too_deep_is_told() -> None:
    assert told(f"notes = {'[' * 90}{']' * 90}") == (1, "take some out of the others")


@pytest.mark.parametrize("source", ["k = [" + "1," * 9000, "k = {" + "a=1," * 9000, "k = " + "[" * 9000, "[" * 9000])
def test_a_long_text_is_looked_through(source: str) -> None:
    at, message = syntax_slips.slip(source)
    assert 0 <= at <= len(source)
    assert syntax_words.is_known(message)


@pytest.mark.usefixtures("other_words")
def test_what_applies_of_a_broken_journal_toml_is_the_same() -> None:
    text = (
        'title = "A"\nclock = 12\nclock = 24\n\n[day]\nturns = 04:00 h\n\n[mood]\nlow = 1\nhigh = 5\n[mood]\nlow = 2\n'
    )
    recovery = toml_recovery.recover("journal.toml", text)
    assert recovery.values == {"title": "A", "clock": 12, "day": {}, "mood": {"low": 1, "high": 5}}
    assert [place.first for place in recovery.places] == [3, 6, 11]
    assert "bring the two together" in str(recovery.places[0].problem)


@pytest.mark.usefixtures("other_words")
def test_slips_of_a_known_place_are_told_on_their_line() -> None:
    _, wrong, examples = broken_lines.run(300, seed=7)
    assert wrong.total() <= 3, examples
    assert reading.read_settings(broken_lines.EXAMPLE).problems == ()
