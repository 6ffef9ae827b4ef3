"""A plan carried out: its pages written one by one, in the order of their days, each whole or as it was.

Whatever stops in between, the same import again comes to the same end: what is written by then is found on the pages
and left.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

import msgspec

from journal.errors import WriteError
from journal.folder import writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.writing import Conflict
from journal.importing.planning import PagePlan
from journal.wording import numbers


class Written(msgspec.Struct, frozen=True):
    """Paths of the pages that were written, and of those that someone else changed since they were looked at, which
    stay as they are."""

    paths: list[str]
    changed: list[str]


def write(folder: Path, pages: Iterable[PagePlan], *, now: dt.datetime, files: OpenedFiles | None = None) -> Written:
    """Write the pages of a plan. `now` is the moment, by which copies of what was before are named; `files` are those
    that were read of the journal by now.

    Raises WriteError, which says how many pages are written by then, where one cannot be.
    """
    written = Written([], [])
    files = OpenedFiles(folder) if files is None else files.again()
    for page in pages:
        try:
            result = writing.save(folder, page.base.key, page.base, page.changes, now=now, files=files)
        except WriteError as error:
            so_far = numbers.plural(len(written.paths), "page is", "pages are")
            remedy = f"{so_far} written; the same again goes on from there"
            raise WriteError(f"{error} ({remedy})", error.typed, error.problems) from None
        if isinstance(result, Conflict):
            written.changed.append(page.base.path)
        elif result.written:
            written.paths.append(page.base.path)
    return written
