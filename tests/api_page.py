"""The manual's page of the public functions, made from their signatures and docstrings.

A function is public if it has `journal.call_arguments.checked`. `python -m tests.test_documents` writes the page.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import textwrap
from collections.abc import Callable, Iterator
from typing import Any

import journal
import journal.charts
import journal.measures
from journal.call_arguments import MARKED
from journal.charts.figure import Figure
from journal.opened import Journal
from tests.documents import PROJECT

FILE = PROJECT / "journal" / "manual" / "api.md"

HEAD = """\
# Functions for Python

The public functions, from their own docstrings. [Python and Jupyter](python.md) says how to begin. Where a day is
meant, a `datetime.date` or a text like `"2025-03-14"` may be passed; where a period is meant, one of `journal.periods`
or its name: `"2025-03"`, `"2025-W11"`, `"2025"`; for a first and a last day also such a name. Anything else raises
TypeError, and a day, period or word that does not exist UsageError, a ValueError; both name the argument and what to
write. A function of a module does not know the journal's weeks: pass it `journal.period("2025-W11")` for one.
`python -m tests.test_documents` writes this page.
"""


def functions(package: Any) -> Iterator[tuple[str, Callable[..., object]]]:
    """The public functions of a package, by their names with the module's, in order."""
    for module in pkgutil.iter_modules(package.__path__):
        found = importlib.import_module(f"{package.__name__}.{module.name}")
        for name, function in vars(found).items():
            if getattr(function, MARKED, False) and function.__module__ == found.__name__:
                yield f"{module.name}.{name}", function


def members(kind: type) -> Iterator[tuple[str, Callable[..., object]]]:
    """The public methods and properties of a class that it says something of."""
    for name, member in vars(kind).items():
        described = getattr(member, "fget", None) or getattr(member, "func", None) or member
        if not name.startswith("_") and inspect.isfunction(described) and described.__doc__:
            yield name, described


def page() -> str:
    """The whole page."""
    parts = [HEAD, "## Open a journal\n", _entry("journal.open", journal.open)]
    parts.append("## A journal\n\n" + _rows(Journal))
    parts += ["## Measures\n", *(_entry(f"measures.{name}", one) for name, one in functions(journal.measures))]
    parts += ["## Charts\n", *(_entry(f"charts.{name}", one) for name, one in functions(journal.charts))]
    parts.append("## A figure\n\n" + _rows(Figure))
    return "\n".join(parts)


def _entry(name: str, function: Callable[..., object]) -> str:
    text, _, example = (inspect.getdoc(function) or "").partition("\n>>> ")
    shown = f"\n```\n>>> {example.rstrip()}\n```\n" if example else ""
    call = textwrap.fill(f"{name}{_arguments(function)}", 110, subsequent_indent="    ", break_on_hyphens=False)
    return f"### {name}\n\n```\n{call}\n```\n\n{_escaped(text.strip())}\n{shown}"


def _arguments(function: Callable[..., object]) -> str:
    """The arguments with their defaults. Their types are in the docstring, as columns and units."""
    signature = inspect.signature(function)
    parameters = [one.replace(annotation=inspect.Parameter.empty) for one in signature.parameters.values()]
    return str(inspect.Signature(parameters))


def _rows(kind: type) -> str:
    rows = [f"| `{name}` | {_escaped(_first(one))} |" for name, one in members(kind)]
    return "| name | what it is |\n|---|---|\n" + "\n".join(rows) + "\n"


def _first(function: Callable[..., object]) -> str:
    """The first paragraph of a docstring, on one line."""
    return " ".join((inspect.getdoc(function) or "").partition("\n\n")[0].split()).replace("|", "\\|")


def _escaped(text: str) -> str:
    """Text of a docstring as Markdown: a number sign or an angle bracket is none of its marks."""
    return text.replace("<", "&lt;").replace("``", "`")
