"""What reaches a terminal: no text of a file, of a path or of an argument can control it, whatever prints it.

    guard()             from now on, the standard streams that are terminals print escapes for what controls one
    print_data(text)    data for a program: unchanged in a file or a pipe, with escapes on a terminal

Text for people has escapes everywhere (`one_line`). The guard is for all that passes it by: data, help,
prompts, and tracebacks, which Python itself prints.
"""

from __future__ import annotations

import codecs
import functools
import os
import re
import sys
from collections.abc import Iterable
from typing import Any, TextIO

from journal.language.printable import printable

# Controls but for tab and line feed (C0, DEL, C1), half surrogates, line and paragraph separators, and the formats that
# change the direction of text or are invisible: those that join emoji and letters stay.
_CONTROLS = (
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff\ufff9-\ufffb"
    r"\U000e0000-\U000e007f]"
)
UNREAD = 141
"""The exit code when nobody reads standard output any more, as in shells (128 and SIGPIPE)."""

_CLEAR_LINE = "\r\x1b[K"


@functools.cache  # compiling takes half a millisecond, and a table in a file or a pipe needs no look at its signs
def _controls() -> re.Pattern[str]:
    return re.compile(_CONTROLS)


def escaped(text: str) -> str:
    r"""Text without characters that control a terminal. Tabs and line feeds stay.

    >>> print(escaped("a\tb\x1b[2J \x9b1m \u202egnp"))
    a	b\x1b[2J \x9b1m \u202egnp
    """
    return _controls().sub(lambda found: found[0].encode("unicode_escape").decode(), text)


def json_escaped(text: str) -> str:
    r"""JSON text without such characters. In its strings, an escape is the same value.

    >>> json_escaped('["\x9b"]')
    '["\\u009b"]'
    """

    def escape(found: re.Match[str]) -> str:
        units = found[0].encode("utf-16-be", "surrogatepass").hex()
        return "".join(f"\\u{units[at : at + 4]}" for at in range(0, len(units), 4))

    return _controls().sub(escape, text)


def one_line(text: str) -> str:
    """Text as one printable line: characters that are not printable are escaped, spaces of any kind are not.

    >>> one_line("two\\nlines, a \\x1b[31mcolour")
    'two\\\\nlines, a \\\\x1b[31mcolour'
    >>> one_line("write e.\\xa0g. 4") == "write e.\\xa0g. 4"  # a sentence may keep two words on one line
    True
    """
    return printable(text)


class TerminalStream:
    """A text stream to a terminal that prints escapes. All else is that of the stream."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream

    def write(self, text: str) -> int:
        """Write a text, with escapes. Returns its length, as the stream would."""
        self.stream.write(escaped(text))
        return len(text)

    def writelines(self, lines: Iterable[str]) -> None:
        """Write texts, with escapes."""
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.stream, name)


def guard() -> None:
    """Guard the standard streams that are terminals, until the process ends: Python prints a traceback last.

    From 3.13 on it prints it in colours, whose signs would be shown in place of their effect.
    """
    os.environ.setdefault("PYTHON_COLORS", "0")
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is not None and not isinstance(stream, TerminalStream) and stream.isatty():
            setattr(sys, name, TerminalStream(stream))


def print_data(text: str) -> None:
    """Print data on standard output, to the byte unless that is a terminal: in UTF-8, with line feeds.

    Windows has another encoding for files and pipes, in which half of the letters are missing. JSON would not be JSON.
    """
    if not sys.stdout.isatty() and hasattr(sys.stdout, "reconfigure"):
        sys.stdout.flush()
        sys.stdout.reconfigure(encoding="utf-8", errors="surrogateescape", newline="\n")
    sys.stdout.write(f"{text}\n")


def show_step(doing: str) -> None:
    """Show the current step on a line of the terminal, if there is one. An empty text clears the line."""
    stream = sys.stderr
    if stream is not None and stream.isatty():
        raw = stream.stream if isinstance(stream, TerminalStream) else stream
        raw.write(f"{_CLEAR_LINE}{escaped(doing)}")
        raw.flush()


def discard_output() -> None:
    """Redirect standard output to the null device, so that the flush at exit does not fail again."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError, AttributeError):
        return


_PLAIN = str.maketrans(
    {"\u2018": "'", "\u2019": "'", "\u201a": "'", "\u201c": '"', "\u201d": '"', "\u201e": '"',
     "\u2013": "-", "\u2014": "-", "\u2026": "...",
     "\u2212": "-", "\u00d7": "x", "\u00b7": "-", "\u202f": " ", "\u00a0": " "}
)  # fmt: skip
"""Signs of our own sentences that old code pages lack, in plain ones."""


def _replaced(error: UnicodeError) -> tuple[str | bytes, int]:
    """Return a plain sign, or else an escape, for what an encoding lacks."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    missing = error.object[error.start : error.end]
    return missing.translate(_PLAIN).encode("ascii", "backslashreplace").decode("ascii"), error.end


def escape_unencodable() -> None:
    """Print a plain sign or an escape for characters that the terminal's encoding lacks, instead of failing."""
    codecs.register_error("duskbook.plain", _replaced)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="duskbook.plain")
