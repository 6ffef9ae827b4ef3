"""Types of command line arguments that are paths: a folder to create, a file to read, a place to write to."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from journal.commands import shell_completion
from journal.commands.arguments import Completed
from journal.errors import UsageError
from journal.language.catalogue import N_, _

if TYPE_CHECKING:
    from journal.commands.export_place import ExportPlace


class Folder(Completed, click.ParamType[Path]):
    """A folder to create."""

    name = "folder"
    complete = staticmethod(shell_completion.folders)

    @property
    def example(self) -> str:
        return _("my-journal")

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        if not value:
            raise UsageError(_('the folder has no name; write e.g. "my-journal", or "." for the current one'))
        return Path(value)


class PathParam(Completed, click.ParamType["ExportPlace"]):
    """A file or folder to write an export to. It need not exist."""

    name = "place"
    complete = staticmethod(shell_completion.files)

    @property
    def example(self) -> str:
        return _("../for-me")

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> ExportPlace:
        from journal.commands.export_place import ExportPlace  # noqa: PLC0415 (for exports only)

        _path(value, N_('--to: the place has no name; write e.g. "{example}"'), self.example)
        return ExportPlace.typed(value)


class Source(Completed, click.ParamType[Path]):
    """A file to read. Whether it exists is checked when it is read."""

    name = "file"
    complete = staticmethod(shell_completion.files)

    def __init__(self, example: str) -> None:
        """Make the type with an example in English, which is marked for the catalogues."""
        self._example = example

    @property
    def example(self) -> str:
        return _(self._example)

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        return _path(value, N_('the file has no name; write e.g. "{example}"'), self.example)


def _path(value: Any, refusal: str, example: str) -> Path:
    """The typed path. Raises UsageError with the refusal if no file can have this name."""
    if not value or "\0" in str(value):
        raise UsageError(_(refusal, example=example))
    return Path(value).expanduser()
