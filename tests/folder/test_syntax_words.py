"""The parser's messages: each is told in plain words."""

from __future__ import annotations

import pytest
import rtoml

from journal.folder import syntax_problem, syntax_words

# All that the parser has, from its source and from its binary.
MESSAGES = """\
carriage return must be followed by newline|duplicate key: `mood`|cannot extend value of type array with a dotted key
extra `=`, expected nothing|extra assignment between key-value pairs|extra comma in array|extra comma in inline table
floating-point number overflowed|integer number overflowed|integers with a radix cannot be signed|invalid basic string
invalid binary number|invalid boolean|invalid comment character|invalid date|invalid date-time|invalid datetime
invalid exponent|invalid float|invalid fraction|invalid hexadecimal number|invalid inline table element
invalid integer number|invalid key-value pair|invalid literal string|invalid mantissa|invalid multi-line basic string
invalid multi-line literal string|invalid octal number|invalid offset|invalid table|invalid time|invalid unquoted key
invalid value, expected unicode hexadecimal value|key with no value|keys cannot be multi-line basic strings
missing array opening|missing assignment between key-value pairs|missing comma between array elements
missing comma between key-value pairs|missing comment start|missing escaped value|missing inline table opening
missing key for inline table element|missing opening quote|missing table open|missing value for key|missing value
radix must be lowercase|redundant integer number prefix|redundant numeric sign|string values must be quoted
too few unicode value digits|unclosed array|unclosed array table|unclosed inline table|unclosed table
unexpected `=` in array|unexpected content|unexpected content between comment and newline|unexpected key or value
unexpected leading zero|unexpected sign|unquoted keys cannot be empty|`_` may only go between digits
cannot recurse further; max recursion depth met
"""
JARGON = ("invalid ", "unexpected", "mantissa", "radix", "key-value", "element", "literal", "newline", "array", "TOML")


@pytest.mark.parametrize("message", [part for line in MESSAGES.splitlines() for part in line.split("|")])
def test_each_message_has_its_words(message: str) -> None:
    words = syntax_words.explain(message, "mood = 4 x", 1, 10)
    assert not any(part in str(text) for part in JARGON for text in words), words
    fallback = syntax_words.explain("something new", "mood = 4 x", 1, 10)
    is_pair = message.startswith(("unexpected content", "invalid key-value", "missing value"))
    assert is_pair or words != fallback


@pytest.mark.parametrize(
    ("source", "line"),
    [
        ('mood = 4\nnotes = ["Ask.",\n  "Tell."\nmemory = "x"\n[habits]\nwalk = true', 2),
        ('mood = 4\nnotes = ["Ask."\n\n# of habits\n[habits]\nwalk = true', 2),
        ("[hours.actual]\nsleep = [\n[habits]\nwalk = true", 2),
        ("a = 1\nnotes = [\n  'Ask.'\n  'Tell.'\n]", 4),
        ('memory = """\nOne.\nmood = 4\n', 1),
        ("weather = { sky = 'grey'\nmood = 4", 1),
        ("weather = {\n  sky = 'grey',\n  high = 3\n\nmood = 4", 1),
        ('notes = ["a"]\nmood = 4\nmood = 5', 3),
    ],
)
def test_a_slip_is_told_where_it_begins(source: str, line: int) -> None:
    with pytest.raises(rtoml.TomlParsingError) as broken:
        rtoml.loads(source)
    assert syntax_problem.of_text("2025.toml", source, broken.value).line == line
