"""Finishing a save of several pages that was interrupted, e.g. by a power cut. What cannot be finished is told."""

from __future__ import annotations

import datetime as dt

from journal.errors import JournalError, WriteError
from journal.folder import save_record, writing
from journal.folder.history_records import PageWriter
from journal.folder.made_version import Conflict
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.folder.save_record import SaveRecord
from journal.language import system_errors
from journal.language.catalogue import N_, _
from journal.wording import numbers


def finish(files: OpenedFiles, now: dt.datetime) -> str:
    """Finish an interrupted save, if there is one. Return what is to be told, one sentence or none.

    A page that nobody has changed since gets the version of the save. One that others have changed is merged with it.
    If both changed the same, it stays as it is, and the version of the save is put beside (`save_record.put_beside`).
    If nothing can be written now, the record stays for the next time.
    """
    if save_record.read(files.folder) is None:
        return ""
    try:
        if files.basis.other_format is not None:  # nothing is written to such a journal
            return ""
        with files.lock():
            record = save_record.read(files.folder)  # another process may have finished it meanwhile
            if record is None:
                return ""
            written, beside = _finished(files, record, now)
            save_record.remove(files.folder)
    except (JournalError, OSError) as error:
        text = N_(
            "A save was interrupted, and cannot be finished now ({reason}); "
            'save again, or delete "{record}" to leave it.'
        )
        reason = system_errors.reason(error) if isinstance(error, OSError) else str(error)
        return _(text, reason=reason.rstrip("."), record=save_record.PATH)
    return _told(record, written, beside)


def _told(record: SaveRecord, written: list[str], beside: dict[str, str]) -> str:
    """Return the sentence on a save that is finished as far as it can be."""
    at = {"day": f"{record.moment:%Y-%m-%d}", "time": f"{record.moment:%H:%M}"}
    if beside:
        return _(
            "The save of {day} at {time} was interrupted, and {pages} was changed since: "
            "what the save would have written is in {others}.",
            pages=numbers.listed(beside),
            others=numbers.listed(beside.values()),
            **at,
        )
    if not written:
        return ""
    text = N_("The save of {day} at {time}, which was interrupted, is finished: {pages}.")
    return _(text, pages=numbers.listed(written), **at)


def _finished(files: OpenedFiles, record: SaveRecord, now: dt.datetime) -> tuple[list[str], dict[str, str]]:
    """Write the pages of a record. Return the paths written, and where what could not be written is put, by path."""
    written, beside = list[str](), dict[str, str]()
    for before, after in record.changes:
        result = _turned(files, before, after, now, record.by)
        if result is None:
            beside[f'"{after.path}"'] = f'"{save_record.put_beside(files.folder, after)}"'
        elif result:
            written.append(f'"{after.path}"')
    return written, beside


def _turned(files: OpenedFiles, before: Base, after: Base, now: dt.datetime, by: PageWriter | None) -> bool | None:
    """Bring a page from one version to another. Return whether it had to be written, None if it could not be merged."""
    if files.pages.current(after.key).data == after.data:
        return False
    try:
        result = writing.put_back(files.folder, after, before, now=now, by=by, files=files)
    except WriteError:
        return None
    return None if isinstance(result, Conflict) else result.written
