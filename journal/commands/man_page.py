"""The manual page of the command, for `man duskbook`: made from the commands themselves, in the language of troff.

The page is `journal/manual/duskbook.1`; installing puts it where `man` looks. `python -m tests.test_documents` writes
it, and a test holds that it is the one of these commands.
"""

from __future__ import annotations

import itertools
import re
import textwrap
from collections.abc import Iterable, Iterator
from pathlib import Path

import click

from journal import __version__
from journal.commands.usage_errors import DuskbookCommands

FILE = Path(__file__).parents[1] / "manual" / "duskbook.1"

MANUAL = FILE.with_name("commands.md")
"""Has the tables of environment variables and exit codes."""

CHANGED = "2026-11-29"
"""The day on which the commands last changed, written by hand: no date is read from a clock."""

LINE_WIDTH = 79
"""The longest line of the source, as mandoc(1) advises."""


def page(commands: DuskbookCommands) -> str:
    """Return the manual page of the commands, in the macros of man(7)."""
    context = click.Context(commands, info_name="duskbook")
    top = _paragraphs(commands.help or "")
    lines = [
        f'.TH DUSKBOOK 1 "{CHANGED}" "Duskbook {__version__}" "User Commands"',
        ".SH NAME",
        r"duskbook \- a private journal of plain dated files",
        ".SH SYNOPSIS",
        r".B duskbook",
        r".I COMMAND",
        r"[\fIOPTION\fR ...] [\fIFOLDER\fR]",
        ".SH DESCRIPTION",
        *top,
        ".SH COMMANDS",
    ]
    for name, command in each(commands):
        lines += _command(name, command, context)
    lines += [".SH ENVIRONMENT", *_terms(_table("variable"))]
    lines += [".SH EXIT STATUS", *_terms(_table("code"))]
    lines += [
        ".SH FILES",
        *_terms(
            [
                ("journal.toml", "Settings, habits, challenges, routines. A folder that has it is a journal."),
                ("2025/2025-03-14.toml", "A day. Weeks, months and years are beside it."),
            ]
        ),
        ".SH SEE ALSO",
        *_filled("The manual opens from the link on every page, and is installed as Markdown beside the program."),
    ]
    return "\n".join(lines) + "\n"


def each(group: click.Group, before: str = "") -> Iterator[tuple[str, click.Command]]:
    """Return every command by its whole name, those of groups among them: "export text"."""
    commands = group.every() if isinstance(group, DuskbookCommands) else group.commands
    for name, command in commands.items():
        if isinstance(command, click.Group):
            yield from each(command, f"{before}{name} ")
        else:
            yield before + name, command


def _command(name: str, command: click.Command, above: click.Context) -> list[str]:
    context = click.Context(command, info_name=name, parent=above)
    usage = " ".join(command.collect_usage_pieces(context))
    lines = [f'.SS "{_text(f"duskbook {name} {usage}")}"', *_paragraphs(command.help or command.short_help or "")]
    options = [parameter for parameter in command.params if isinstance(parameter, click.Option)]
    return [*lines, *_terms(record for option in options if (record := option.get_help_record(context)))]


def _table(header: str) -> Iterator[tuple[str, str]]:
    """Return the rows of a table of the manual by the header of its first column."""
    after = MANUAL.read_text(encoding="utf-8").partition(f"\n| {header} |")[2]
    for row in itertools.takewhile(lambda row: row.startswith("|"), after.splitlines()[2:]):
        term, words = row.replace("`", "").strip("|").split(" | ")
        yield term.strip(), words.strip()


def _terms(entries: Iterable[tuple[str, str]]) -> list[str]:
    return [line for term, words in entries for line in (".TP", rf"\fB{_text(term)}\fR", *_filled(words))]


def _paragraphs(text: str) -> list[str]:
    r"""Return a help text as paragraphs. What follows "\b" keeps its lines, as in the terminal.

    >>> _paragraphs("One.\n\n\b\nduskbook start x")
    ['One.', '.PP', '.nf', 'duskbook start x', '.fi']
    """
    lines: list[str] = []
    for part in re.split(r"\n\s*\n", "\n".join(line.strip() for line in text.strip().splitlines())):
        lines += [".PP"] if lines else []
        if part.startswith("\b"):
            lines += [".nf", *(_text(line) for line in part.splitlines()[1:]), ".fi"]
        else:
            lines += _filled(part)
    return lines


def _filled(text: str) -> list[str]:
    """Return a text in lines of the source. Escapes make some longer than the text is."""
    return [_text(line) for line in textwrap.wrap(" ".join(text.split()), LINE_WIDTH - 15, break_on_hyphens=False)]


def _text(words: str) -> str:
    r"""Return words as troff prints them: none is an escape or a request.

    >>> print(_text('.a "b" --to x\\y'))
    \&.a \(dqb\(dq \-\-to x\ey
    """
    escaped = words.replace("\\", r"\e").replace("-", r"\-").replace('"', r"\(dq")
    escaped = escaped.replace("~", r"\(ti").replace("^", r"\(ha").replace("`", r"\(ga")
    escaped = "".join(c if c.isascii() else f"\\[u{ord(c):04X}]" for c in escaped)
    return rf"\&{escaped}" if escaped.startswith((".", "'")) else escaped
