"""Commands that speak: help and errors of usage in the spoken language.

click has its texts from the module functions of gettext, which know one language a process, that of the environment.
So the words of a command stay English in the code, and are looked up where click writes them: in a formatter of its
help, and in what its commands say of a command line. `texts` lists them for the catalogues.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import click

from journal.errors import UsageError
from journal.language.catalogue import _, _n, _p

_PLACEHOLDER = re.compile(r"[A-Z]{2,}")
_RAW = "\b\n"
"""Before a paragraph whose lines stay, a convention of click."""

PLACEHOLDER = "placeholder"
"""The context of the words in capital letters that stand for a value: "FOLDER"."""


def placeholders(text: str) -> str:
    """Return a part of a command line with its words for values in the spoken language.

    >>> placeholders("--habit HABIT[=MARK]")
    '--habit HABIT[=MARK]'
    """
    return _PLACEHOLDER.sub(lambda found: _p(PLACEHOLDER, found[0]), text)


class SpokenFormatter(click.HelpFormatter):
    """Writes help in the spoken language. It gets each text in English, and looks it up before it is wrapped."""

    def told(self, text: str) -> str:
        """Return a text of the help in the spoken language."""
        return _(text)

    def placed(self, text: str) -> str:
        """Return a part of a command line in the spoken language."""
        return placeholders(text)

    def write_usage(self, prog: str, args: str = "", prefix: str | None = None) -> None:
        super().write_usage(prog, self.placed(args), f"{self.told('Usage:')} " if prefix is None else prefix)

    def write_heading(self, heading: str) -> None:
        super().write_heading(self.told(heading))

    def write_text(self, text: str) -> None:
        super().write_text("\n\n".join(self._paragraph(part) for part in re.split(r"\n\s*\n", text)))

    def _paragraph(self, text: str) -> str:
        if text.startswith(_RAW):
            return _RAW + self.told(text.removeprefix(_RAW))
        return self.told(" ".join(text.split()))

    def write_dl(self, rows: Iterable[tuple[str, str]], col_max: int = 30, col_spacing: int = 2) -> None:
        super().write_dl(
            [(self.placed(term), self.told(words) if words else "") for term, words in rows], col_max, col_spacing
        )


class SpokenContext(click.Context):
    """The context of a command whose help speaks."""

    formatter_class = SpokenFormatter


class SpokenCommand(click.Command):
    """A command whose help, and whose error of too many arguments, are in the spoken language."""

    context_class = SpokenContext
    allow_extra_args = True  # click would refuse them in English

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """As `click.Command.parse_args`. Raises UsageError for an argument too many."""
        rest = super().parse_args(ctx, args)
        if rest and not ctx.resilient_parsing:
            raise UsageError(
                _n(
                    'got unexpected extra argument ({arguments}); "{command} --help" shows what to write',
                    'got unexpected extra arguments ({arguments}); "{command} --help" shows what to write',
                    len(rest),
                    arguments=" ".join(rest),
                    command=ctx.command_path,
                )
            )
        return rest


class SpokenGroup(click.Group):
    """A group of such commands."""

    context_class = SpokenContext
    command_class = SpokenCommand
    group_class = type


def command(name: str | None = None, **how: Any) -> Callable[[Callable[..., Any]], SpokenCommand]:
    """As `click.command`, for a command that speaks."""
    return click.command(name, cls=SpokenCommand, **how)


def group(name: str | None = None, **how: Any) -> Callable[[Callable[..., Any]], SpokenGroup]:
    """As `click.group`, for a group that speaks."""
    return click.group(name, cls=SpokenGroup, **how)


class _Recorder(SpokenFormatter):
    """Keeps the texts that a help is made of."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[tuple[str, str | None]] = []

    def told(self, text: str) -> str:
        self.texts.append((text, None))
        return text

    def placed(self, text: str) -> str:
        self.texts += ((word, PLACEHOLDER) for word in _PLACEHOLDER.findall(text))
        return text


def texts(
    top: click.Command, name: str = "duskbook", above: click.Context | None = None
) -> Iterator[tuple[str, str | None]]:
    """Return the English texts of the help of a command and of those in it, each with its context or None."""
    context = SpokenContext(top, info_name=name, parent=above)
    recorder = _Recorder()
    top.format_help(context, recorder)
    yield from recorder.texts
    if isinstance(top, click.Group):
        for inner in top.list_commands(context):
            found = top.get_command(context, inner)
            if found is not None:
                yield from texts(found, inner, context)
