"""Every wrong usage as one line that says what is wrong and what to write instead.

Exit codes: 0 fine, 1 problems in the journal, 2 wrong usage. Beyond these three, as shells have it, 130 after Ctrl-C
and 141 where the reader of the output went away; 70 (EX_SOFTWARE of sysexits) for a fault of Duskbook itself.
"""

from __future__ import annotations

import difflib
import os
import sys
from collections.abc import Iterable, Sequence
from typing import Any

import click

from journal.errors import JournalError
from journal.wording import numbers

FINE, PROBLEMS, WRONG_USAGE, FAULT, INTERRUPTED, UNREAD = 0, 1, 2, 70, 130, 141


def one_line(text: str) -> str:
    """Text from a file or a command line, fit for one line of a terminal: what is not printable is escaped.

    >>> one_line("two\\nlines, a \\x1b[31mcolour")
    'two\\\\nlines, a \\\\x1b[31mcolour'
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape", "backslashreplace").decode() for c in text)


def instead(word: str, known: Iterable[str]) -> str:
    """What was probably meant, and else all that is known.

    >>> instead("streak", ["streaks", "rates"]), instead("zzz", ["streaks", "rates"])
    ('did you mean "streaks"?', 'write streaks or rates')
    """
    choices = list(known)
    close = difflib.get_close_matches(word, choices, n=1)
    return f'did you mean "{close[0]}"?' if close else f"write {numbers.listed(choices, 'or')}"


class _WentAway(Exception):
    """The reader of the output closed it."""


class DuskbookCommands(click.Group):
    """A group of commands, listed as they are written, whose every refusal is one line on standard error."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """As `click.Group.invoke`; click would turn a broken pipe into exit code 1, which means something else here."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError as error:
            raise _WentAway from error

    def main(  # type: ignore[override]  # one signature for click's two
        self, args: Sequence[str] | None = None, standalone_mode: bool = True, **extra: Any
    ) -> Any:
        """As `click.Group.main`, with this project's words and exit codes."""
        if not standalone_mode:
            return super().main(args, standalone_mode=False, **extra)
        _print_what_cannot_be_encoded()
        try:
            code = super().main(args, standalone_mode=False, **extra)
            if sys.stdout is not None:
                sys.stdout.flush()  # here, where a reader that went away can still be met
        except (Exception, KeyboardInterrupt) as error:
            if os.environ.get("DUSKBOOK_TRACEBACK"):
                raise
            code = self._refused(error, sys.argv[1:] if args is None else args)
        sys.exit(code if isinstance(code, int) else FINE)

    def _refused(self, error: BaseException, args: Sequence[str]) -> int:
        """Say what is wrong with a command line, or else; return the exit code."""
        code, text = WRONG_USAGE, ""
        match error:
            case click.Abort() if isinstance(error.__context__, EOFError):
                text = "the answers ended before the questions; write --yes to take what is proposed"
            case click.Abort() | KeyboardInterrupt():
                code = INTERRUPTED
            case _WentAway() | BrokenPipeError():
                code = UNREAD
            case click.ClickException():
                text = _in_one_line(error, self, args)
            case JournalError():
                text = str(error)
            case OSError():
                text = f"{error.strerror or error}{f': {error.filename}' if error.filename else ''}"
            case _:
                code = FAULT
                text = f"a fault of Duskbook's own ({type(error).__name__}: {error}); "
                text += "set DUSKBOOK_TRACEBACK=1 to see where"
        if isinstance(error, OSError | _WentAway):
            _forget_output()
        if text:
            click.echo(f"duskbook: {one_line(text)}", err=True)
        return code


def _in_one_line(error: click.ClickException, group: click.Group, args: Sequence[str]) -> str:
    """What click found wrong, in this project's words."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context else "duskbook"
    match error:
        case click.NoSuchOption():
            known = [name for p in context.command.get_params(context) for name in p.opts] if context else []
            close = difflib.get_close_matches(error.option_name, known, n=1)
            remedy = f"did you mean {close[0]}?" if close else f'"{path} --help" lists what there is'
            return f"there is no option {error.option_name}; {remedy}"
        case click.exceptions.NoSuchCommand():
            asked = context.command if context and isinstance(context.command, click.Group) else group
            return f'there is no command "{error.command_name}"; {instead(error.command_name, asked.commands)}'
        case click.MissingParameter() if error.param is not None:
            name, example = error.param.human_readable_name, getattr(error.param.type, "example", "")
            return f'{name} is missing; write e.g. "{path} {example}"'
        case click.BadOptionUsage() if example := _example(error.option_name, group, args):
            return f'{error.option_name} needs a value; write e.g. "{error.option_name} {example}"'
        case click.BadParameter():
            return error.message
    text = error.format_message().rstrip(".")
    return f'{text[:1].lower()}{text[1:]}; "{path} --help" shows what to write'


def _example(option: str, group: click.Group, args: Sequence[str]) -> str:
    """A value that an option takes; click tells of an option without its value before it knows the command."""
    command: click.Command = group
    for word in args:
        if isinstance(command, click.Group):
            command = command.commands.get(word, command)
    return next((getattr(p.type, "example", "") for p in command.params if option in p.opts), "")


def _forget_output() -> None:
    """Send what is still buffered nowhere, so that the interpreter does not meet the same error as it ends."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError, AttributeError):
        return


def _print_what_cannot_be_encoded() -> None:
    """On a terminal whose encoding lacks a character, show a stand-in rather than fail."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
