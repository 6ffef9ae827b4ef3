"""Types of command line arguments that are numbers. `convert` raises UsageError, as those of `arguments` do."""

from __future__ import annotations

import math
from typing import Any

import click

from journal.errors import UsageError
from journal.language.catalogue import _
from journal.wording import typed_numbers


class Port(click.ParamType[int]):
    """A TCP port that needs no special rights. With 0 the system chooses one."""

    name = "port"
    example = "8420"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        text = str(value)
        if text.isascii() and text.isdigit() and (int(text) == 0 or 1024 <= int(text) <= 65535):
            return int(text)
        raise UsageError(_('--port: "{value}" is not a port; write a whole number from 1024 to 65535', value=text))


class Number(click.ParamType[float]):
    """A finite number, typed with a point or a comma."""

    name = "number"
    example = "4"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        option = param.opts[0] if param else "number"
        try:
            number = typed_numbers.read(str(value))
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            text = _('{option}: "{value}" is not a number; write e.g. "{example}"')
            raise UsageError(text.format(option=option, value=value, example=self.example))
        return number


class WholeNumber(click.ParamType[int]):
    """A whole number, of any size: the command checks it later."""

    name = "number"

    def __init__(self, example: str) -> None:
        self.example = example

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        try:
            return int(value)
        except ValueError:
            text = _('{option}: "{value}" is not a whole number; write e.g. "{example}"')
            option = param.opts[0] if param else "number"
            raise UsageError(text.format(option=option, value=value, example=self.example)) from None


class WholeInRange(click.IntRange):
    """A whole number from a lowest one up, or up to a highest one."""

    @property
    def example(self) -> str:
        """The lowest number."""
        return f"{self.min:g}"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter:
            text = _('{option}: "{value}" is not a whole number from {low} up; write e.g. "{low}"')
            if self.max is not None:
                text = _('{option}: "{value}" is not a whole number from {low} to {high}; write e.g. "{low}"')
            option = param.opts[0] if param else "number"
            raise UsageError(text.format(option=option, value=value, low=self.min, high=self.max)) from None
