"""Usage errors as one line that names the mistake and the remedy, and the exit codes.

Exit codes: 0 fine, 1 problems in the journal, 2 wrong usage. As in shells, 130 after Ctrl-C and 141 after a broken
pipe. 70 (EX_SOFTWARE of sysexits) for an internal error.
"""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Collection, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, NoReturn

import click

from journal.commands import command_language, terminal
from journal.commands.command_help import SpokenGroup, placeholders
from journal.commands.later_commands import LaterCommand
from journal.commands.terminal import one_line
from journal.errors import JournalError
from journal.language import spoken
from journal.language.catalogue import _
from journal.wording import numbers

FINE, PROBLEMS, WRONG_USAGE, FAULT, INTERRUPTED = 0, 1, 2, 70, 130

OF_THE_MENU = "--until-closed"
"""An option that entries of the desktop's menu have (`menu_entry`). Nobody sees what such a command prints."""


def say(text: str, *, err: bool = False) -> None:
    """Print a line for a person, without characters that control a terminal."""
    click.echo(one_line(text), err=err)


def suggestion(word: str, known: Iterable[str]) -> str:
    """The closest known word as a remedy, else all known words.

    >>> suggestion("streak", ["streaks", "rates"]), suggestion("zzz", ["streaks", "rates"])
    ('did you mean "streaks"?', 'write streaks or rates')
    """
    choices = list(known)
    close = nearest(word, choices)
    return did_you_mean(close) if close else _("write {words}", words=numbers.listed(choices, "or"))


def did_you_mean(word: str) -> str:
    """The remedy that names one word."""
    return _('did you mean "{word}"?', word=word)


def nearest(word: str, known: Iterable[str]) -> str:
    """The closest known word, "" if none is close."""
    import difflib  # noqa: PLC0415 (for mistakes only)

    return next(iter(difflib.get_close_matches(word, list(known), n=1)), "")


class _ClosedPipe(Exception):
    """The reader of standard output closed the pipe."""


class DuskbookCommands(SpokenGroup):
    """The top group of commands. It lists commands in the order of the code, and prints every error as one line.

    `later` has the commands that are imported when they are asked for: the others, and the help, start without them.
    """

    later: Mapping[str, LaterCommand] = {}
    unlisted: Collection[str] = ()
    """Commands that answer to their names only: nobody has a use for them yet."""
    manual: Path = Path()
    """Stands on a line of its own at the end of the help."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        names = [*(name for name in self.commands if name not in self.later), *self.later]
        return [name for name in dict.fromkeys(names) if name not in self.unlisted]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name in self.later and cmd_name not in self.commands:
            later = self.later[cmd_name]
            command = getattr(importlib.import_module(later.module), later.name)
            command.short_help = later.short_help
            self.add_command(command)
        return super().get_command(ctx, cmd_name)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """As `click.Group.format_commands`, without importing a command for its line."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, self._short_help(name)) for name in self.list_commands(ctx)])

    def _short_help(self, name: str) -> str:
        return self.later[name].short_help if name in self.later else self.commands[name].get_short_help_str()

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """As `click.Group.format_epilog`, and the path of the manual, which is not wrapped."""
        super().format_epilog(ctx, formatter)
        formatter.write(f"  {self.manual}\n")

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
        # That of the journal, until the command ends.
        with spoken.speaking(command_language.of(sys.argv[1:] if args is None else args)):
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
                text = _("the input ended before the last question; write --yes to take every proposal")
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
                text = _("an internal error of Duskbook ({error}); set DUSKBOOK_TRACEBACK=1 to see where")
                text = text.format(error=f"{type(error).__name__}: {error}")
        if isinstance(error, OSError | _ClosedPipe):
            terminal.discard_output()
        if text:
            say(f"duskbook: {text}", err=True)
            if OF_THE_MENU in args and not _is_seen():
                from journal.commands import error_page  # noqa: PLC0415 (for mistakes only)

                error_page.show(text)
        return code


def _is_seen() -> bool:
    return sys.stderr is not None and sys.stderr.isatty()


def _message(error: click.ClickException, group: click.Group, args: Sequence[str]) -> str:
    """The message of an error of click, in the words of this project."""
    context = getattr(error, "ctx", None)
    path = context.command_path if context else "duskbook"
    match error:
        case click.NoSuchOption():
            known = [name for p in context.command.get_params(context) for name in p.opts] if context else []
            return _no_such_option(error.option_name, known, path)
        case click.exceptions.NoSuchCommand():
            parent = context.command if context and isinstance(context.command, click.Group) else group
            remedy = suggestion(error.command_name, parent.list_commands(context or click.Context(parent)))
            return _('there is no command "{name}"; {remedy}', name=error.command_name, remedy=remedy)
        case click.MissingParameter() if error.param is not None:
            name, example = error.param.human_readable_name, getattr(error.param.type, "example", "")
            text = _('{name} is missing; write e.g. "{example}"')
            return text.format(name=placeholders(name), example=f"{path} {example}")
        case click.BadOptionUsage():
            return _of_option(error.option_name, _option(error.option_name, group, args), path)
        case click.BadParameter():
            return error.message
    text = error.format_message().rstrip(".")
    return f'{text[:1].lower()}{text[1:]}; "{path} --help" shows what to write'  # of click, none is known


def _no_such_option(name: str, known: Iterable[str], path: str) -> str:
    if close := nearest(name, known):
        return _("there is no option {option}; did you mean {close}?", option=name, close=close)
    return _('there is no option {option}; "{command} --help" lists the options', option=name, command=path)


def _of_option(name: str, option: click.Parameter | None, path: str) -> str:
    """The message of an option that has a value too many, or none."""
    if option is None or getattr(option, "is_flag", False):  # --help is among none
        text = _("option '{name}' does not take a value; \"{command} --help\" shows what to write")
        return text.format(name=name, command=path)
    if example := getattr(option.type, "example", ""):
        return _('{name} needs a value; write e.g. "{name} {example}"', name=name, example=example)
    return _("option '{name}' requires an argument; \"{command} --help\" shows what to write", name=name, command=path)


def _option(name: str, group: click.Group, args: Sequence[str]) -> click.Parameter | None:
    """An option by its name. click reports a missing value without its command: `args` has it."""
    command: click.Command = group
    for word in args:
        if isinstance(command, click.Group):
            command = command.commands.get(word, command)
    return next((option for option in command.params if name in option.opts), None)
