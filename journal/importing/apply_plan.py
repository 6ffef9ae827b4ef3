"""Execution of an import plan: its pages are written one by one, in its order, each atomically.

An interrupted import can be repeated with the same result: values that are on the pages already are skipped.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from pathlib import Path

import msgspec

from journal.errors import WriteError
from journal.folder import interrupted_save, writing
from journal.folder.opened_files import OpenedFiles
from journal.folder.writing import Base, Conflict
from journal.importing.planning import PagePlan
from journal.language.catalogue import _n


class Written(msgspec.Struct, frozen=True):
    """The paths of the written pages, and of pages left unchanged because someone else changed them meanwhile.

    `finished` is what is to be told of an earlier save that was interrupted. `replaced` has each version that was
    replaced, with the one written, in order.
    """

    paths: list[str]
    changed: list[str]
    finished: str = ""
    replaced: list[tuple[Base, Base]] = []


def write(folder: Path, pages: Iterable[PagePlan], *, now: dt.datetime, files: OpenedFiles | None = None) -> Written:
    """Write the pages of a plan.

    `now` is the moment for the histories of the pages. `files` are the files that the command has read already.

    Raises WriteError, with the number of pages written so far, if a page cannot be written.
    """
    files = OpenedFiles(folder) if files is None else files.again()
    written = Written([], [], interrupted_save.finish(files, now), [])
    not_written = set[str]()
    for page in pages:
        if page.after & not_written:
            written.changed.append(page.base.path)
            not_written.add(page.base.key)
            continue
        try:
            result = writing.save(folder, page.base.key, page.base, page.changes, now=now, by="import", files=files)
        except WriteError as error:
            told = _n(
                "{error} ({count} page is written; the same again goes on from there)",
                "{error} ({count} pages are written; the same again goes on from there)",
                len(written.paths),
                error=error,
            )
            raise WriteError(told, error.typed, error.problems) from None
        if isinstance(result, Conflict):
            written.changed.append(page.base.path)
            not_written.add(page.base.key)
        elif result.written:
            written.paths.append(page.base.path)
            if result.before is not None:
                written.replaced.append((result.before, result.base))
    return written
