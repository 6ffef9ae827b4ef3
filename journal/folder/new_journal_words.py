"""The words of a new journal's files in the spoken language: their comments, and the texts that they propose.

    told(template)      the template with its words in the spoken language
    texts(template)     the words in English, for the catalogues

Keys, and what a program compares, are the same in every language.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterator

from journal.folder import toml_format
from journal.language.catalogue import _p

CONTEXT = "journal.toml"
"""The context of the words, since some have other meanings elsewhere."""

LINE_WIDTH = 120

_SETTING = re.compile(r"\[|\w+ = |[{]\w+[}]")
"""What begins a line of TOML, or a field that is filled with some."""
_BEHIND = re.compile(r"(?P<code>.*[\s}])# (?P<words>.+)")
_STRING = re.compile(r'"([^"\\{}]+)"')
_PROPOSED = ("name", "words", "title", "unit", "question", "prompts", "week", "month", "year", "reason")
"""The keys whose values are hers to change: words, not codes."""


def told(template: str) -> str:
    """Return a template with its words in the spoken language. Its fields stay.

    >>> told('# Places.\\nname = "Sleep"      # a word')
    '# Places.\\nname = "Sleep"      # a word'
    """
    return _rewritten(template, lambda text: _p(CONTEXT, text))


def texts(template: str) -> Iterator[str]:
    """Return the words of a template in English.

    >>> list(texts('# A comment of\\n# two lines.\\n# colour = "#332288"     # red\\n# name = "Sleep"'))
    ['A comment of two lines.', 'red', 'Sleep']
    """
    found: list[str] = []

    def keep(text: str) -> str:
        found.append(text)
        return text

    _rewritten(template, keep)
    return iter(found)


def _rewritten(template: str, word: Callable[[str], str]) -> str:
    lines, sentence = [], list[str]()
    for line in template.split("\n"):
        if not line.startswith("# ") or _SETTING.match(_uncommented(line)):
            lines.append(_setting(line, word))
            continue
        sentence.append(line)
        if line.endswith("."):  # a comment goes on over the lines until its full stop
            lines += _comment(sentence, word)
            sentence = []
    return "\n".join(lines)


def _uncommented(line: str) -> str:
    while line.startswith("# "):
        line = line.removeprefix("# ")
    return line


def _comment(sentence: list[str], word: Callable[[str], str]) -> list[str]:
    """The lines of a comment, as they were where nothing changed."""
    text = " ".join(line.removeprefix("# ") for line in sentence)
    translated = word(text)
    if translated == text:
        return sentence
    return textwrap.wrap(translated, LINE_WIDTH, initial_indent="# ", subsequent_indent="# ", break_long_words=False)


def _setting(line: str, word: Callable[[str], str]) -> str:
    """A line of TOML, or of an example, with the words behind it and in its value."""
    code = _uncommented(line)
    prefix = line[: len(line) - len(code)]
    behind = _BEHIND.fullmatch(code)
    words = ""
    if behind:
        code, words = behind["code"], f"# {word(behind['words'])}"
    if code.partition(" = ")[0] in _PROPOSED:
        value = _STRING.sub(lambda found: toml_format.value(word(found[1])), code).rstrip()
        code = f"{value} ".ljust(len(code)) if behind else value  # what stands behind stays in its column
    return f"{prefix}{code}{words}"
