"""The options of `duskbook log` for the fields of a day: one for each field with `log=True`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from journal.commands.number_arguments import Number
from journal.entry import DAY_FIELDS
from journal.fields import Field

LOGGED = tuple(field for field in DAY_FIELDS if field.log)
"""The fields that have an option."""


def option_name(field: Field) -> str:
    """The name of a field's option.

    >>> [option_name(field) for field in LOGGED][:2]
    ['--mood', '--energy']
    """
    return f"--{field.name.replace('_', '-')}"


def field_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add an option for each field to a command. The parameter has the field's name and is None if not given."""
    for field in reversed(LOGGED):
        kind = Number() if field.is_number else click.STRING
        metavar = "N" if field.is_number else "TEXT"
        command = click.option(option_name(field), field.name, type=kind, metavar=metavar, help=_help(field))(command)
    return command


def _help(field: Field) -> str:
    """The help text of the option.

    >>> _help(Field(label="Steps", unit="steps")), _help(LOGGED[0])
    ('Steps.', "How the day was, on the journal's scale.")
    """
    meaning = (field.meaning or field.label).removesuffix(".")
    return f"{meaning}, on the journal's scale." if field.scale else f"{meaning}."
