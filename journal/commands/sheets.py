"""The work of `duskbook export pages`: the sheets that follow on a day, as a PDF. They are for the owner."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from journal.commands import export_place
from journal.commands.export_place import ExportPlace
from journal.commands.usage_errors import say
from journal.export import missing_glyphs, sheets
from journal.export.sheets import SheetKind
from journal.export.typesetting import Paper

if TYPE_CHECKING:
    from journal import Journal
    from journal.export.write_files import Placed


def make(
    opened: Journal, *, day: dt.date | None, kind: SheetKind, paper: Paper, place: ExportPlace | None
) -> list[Placed]:
    """Make the sheets that follow on a day, by default today, and write them as one PDF.

    Raises ExportError if it cannot be made or written.
    """
    on = day or opened.today
    output = sheets.make(sheets.chosen(opened, on, kind, paper), paper)
    if output.missing:
        say(f"duskbook: {missing_glyphs.warning(output.missing)}", err=True)
    return export_place.put(place, sheets.file_name(on, kind), output.data)
