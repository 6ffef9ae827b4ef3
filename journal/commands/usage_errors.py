"""Usage errors as one line that names the mistake and the remedy, and the exit codes.

Exit codes: 0 fine, 1 problems in the journal, 2 wrong usage. As in shells, 130 after Ctrl-C and 141 after a broken
pipe. 70 (EX_SOFTWARE of sysexits) for an internal error.
"""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, NoReturn

import click

from journal.commands import terminal
from journal.commands.terminal import one_line
from journal.errors import JournalError
from journal.language import spoken
from journal.wording import numbers

FINE, PROBLEMS, WRONG_USAGE, FAULT, INTERRUPTED = 0, 1, 2, 70, 130


def say(text: str, *, err: bool = False) -> None:
    """Print a line for a person, without characters that control a terminal."""
    click.echo(one_line(text), err=err)


def suggestion(word: str, known: Iterable[str]) -> str:
    """The closest known word as a remedy, else all known words.

    >>> suggestion("streak", ["streaks", "rates"]), suggestion("zzz", ["streaks", "rates"])
    ('did you mean "streaks"?', 'write streaks or rates')
    """
    choices = list(known)
    close = _nearest(word, choices)
    return f'did you mean "{close}"?' if close else f"write {numbers.listed(choices, 'or')}"


def _nearest(word: str, known: Iterable[str]) -> str:
    """The closest known word, "" if none is close."""
    import difflib  # noqa: PLC0415 (for mistakes only)

    return next(iter(difflib.get_close_matches(word, list(known), n=1)), "")


class _ClosedPipe(Exception):
    """The reader of standard output closed the pipe."""


class DuskbookCommands(click.Group):
    """The top group of commands. It lists commands in the order of the code, and prints every error as one line.

    `later` has the module and name of each command that is imported when it is asked for: the others start without it.
    """

    later: Mapping[str, tuple[str, str]] = {}
    unlisted: Collection[str] = ()
    """Commands that answer to their names only: nobody has a use for them yet."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        names = [*(name for name in self.commands if name not in self.later), *self.later]
        return [name for name in dict.fromkeys(names) if name not in self.unlisted]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name in self.later and cmd_name not in self.commands:
            module, name = self.later[cmd_name]
            self.add_command(getattr(importlib.import_module(module), name))
        return super().get_command(ctx, cmd_name)

    def every(self) -> dict[str, click.Command]:
        """All commands by name, in the order of the list."""
        context = click.Context(self)
        found = {name: self.get_command(context, name) for name in self.list_commands(context)}
        return {name: command for name, command in found.items() if command is not None}

    def invoke(self, ctx: click.Context) -> Any:
        """As `click.Group.invoke`, but with a broken pipe kept apart: click turns it into exit code 1."""
        try:
            return super().invoke(ctx)
        except BrokenPipeError as error:
            raise _ClosedPipe from error

    def main(  # type: ignore[override]  # one signature for click's two
        self, args: Sequence[str] | None = None, standalone_mode: bool = True, **extra: Any
    ) -> Any:
        """As `click.Group.main`, with the messages and exit codes of this project."""
        if not standalone_mode:
            return super().main(args, standalone_mode=False, **extra)
        terminal.guard()
        terminal.escape_unencodable()
        # The journal's language is spoken from when it is open until the command ends.
        with spoken.speaking(spoken.spoken()):
            return self._run(args, extra)

    def _run(self, args: Sequence[str] | None, extra: dict[str, Any]) -> NoReturn:
        """Run a command, print its error, and exit."""
        try:
            code = super().main(args, standalone_mode=False, **extra)
            if sys.stdout is not None:
                sys.stdout.flush()  # a closed pipe is still handled here, not at exit
        except (Exception, KeyboardInterrupt) as error:
            if os.environ.get("DUSKBOOK_TRACEBACK"):
                raise
            code = self._report(error, sys.argv[1:] if args is None else args)
        sys.exit(code if isinstance(code, int) else FINE)

    def _report(self, error: BaseException, args: Sequence[str]) -> int:
        """Print an error as one line. Returns the exit code."""
        code, text = WRONG_USAGE, ""
        match error:
            case click.Abort() if isinstance(error.__context__, EOFError):
                text = "the input ended before the last question; write --yes to take every proposal"
            case click.Abort() | KeyboardInterrupt():
                code = INTERRUPTED
            case _ClosedPipe() | BrokenPipeError():
                code = terminal.UNREAD
            case click.ClickException():
                text = _message(error, self, args)
            case JournalError():
                text = str(error)
            case OSError():
                text = f"{error.strerror or error}{f': {error.filename}' if error.filename else ''}"
            case _:
                code = FAULT
                text = f"an internal error of Duskbook ({type(error).__name__}: {error}); "
                text += "set DUSKBOOK_TRACEBACK=1 to see where"
        if isinstance(error, OSError | _ClosedPipe):
            terminal.discard_output()
        if text:
            say(f"duskbook: {text}", err=True)
        return code


def _message(error: click.ClickException, group: click.Group, args: Sequence[str]) -> str:
    """The message of an error of click, in the words of this project."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context else "duskbook"
    match error:
        case click.NoSuchOption():
            known = [name for p in context.command.get_params(context) for name in p.opts] if context else []
            close = _nearest(error.option_name, known)
            remedy = f"did you mean {close}?" if close else f'"{path} --help" lists the options'
            return f"there is no option {error.option_name}; {remedy}"
        case click.exceptions.NoSuchCommand():
            parent = context.command if context and isinstance(context.command, click.Group) else group
            names = parent.list_commands(context or click.Context(parent))
            return f'there is no command "{error.command_name}"; {suggestion(error.command_name, names)}'
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
    """An example value of an option. click reports a missing value without its command: `args` has it."""
    command: click.Command = group
    for word in args:
        if isinstance(command, click.Group):
            command = command.commands.get(word, command)
    return next((getattr(p.type, "example", "") for p in command.params if option in p.opts), "")
