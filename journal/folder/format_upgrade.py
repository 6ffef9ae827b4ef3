"""The way up: the files of a journal of an earlier format are brought to the format of this Duskbook.

A format is one step above the one before. A step says what the values of a page become. The text is then edited at the
keys that differ, as a save does, so comments, order and blank lines stay, and both versions go into the page's history.
Format 1 is the first, so there is no step yet.
"""

from __future__ import annotations

import copy
import datetime as dt
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import msgspec

from journal.errors import WriteError
from journal.folder import atomic_write, check_settings, discover, failed_save, history, settings_order, write_refusals
from journal.folder.failed_save import reason_of
from journal.folder.identity import is_same
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import SETTINGS, UNDATED, Base
from journal.folder.toml_edit import rewritten
from journal.language.catalogue import _

_BOM = "\ufeff"


class FormatStep(msgspec.Struct, frozen=True):
    """The way from one format to the next, `to`.

    `values` takes the key of a page ("2025-03-14", "undated", "settings") and its values, and returns the new ones. It
    leaves the values of the new format as they are, since an upgrade that was stopped is made again.
    """

    to: int
    values: Callable[[str, dict[str, Any]], dict[str, Any]]


STEPS: tuple[FormatStep, ...] = ()


def upgrade(folder: Path, *, now: dt.datetime, steps: Sequence[FormatStep] = STEPS) -> list[str]:
    """Bring a journal to the format of this Duskbook. Return the paths of the files that were changed.

    Every page is read and its new text made before anything is written. journal.toml is written last, with its number:
    an upgrade that is stopped leaves a journal of the old format, and is made again. Where the format is that of this
    Duskbook already, nothing is done.

    Raises WriteError for a newer format, and for a page that cannot be read or written, or changes meanwhile. Raises
    FolderError if there is no journal.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as name:
    ...     _ = Path(name, "journal.toml").write_text('title = "Spine and thread"')
    ...     upgrade(Path(name), now=dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC))
    []
    """
    files = OpenedFiles(folder)
    number = check_settings.FORMAT if files.basis.other_format is None else files.basis.other_format
    if number > check_settings.FORMAT:
        write_refusals.refuse_other(files.basis)
    if number == check_settings.FORMAT:
        return []
    ahead = [step for step in steps if number < step.to <= check_settings.FORMAT]
    with files.lock():
        keys = [*sorted(page.key for page in discover.find(folder).pages), UNDATED, SETTINGS]
        versions = [(base, _upgraded(base, ahead)) for base in map(files.pages.writable, keys)]
        changed = [(before, after) for before, after in versions if after.data != before.data]
        for before, after in changed:
            _write(folder, before, after, now)
    return [after.path for _before, after in changed]


def _upgraded(before: Base, steps: Sequence[FormatStep]) -> Base:
    if before.data is None:
        return before
    values = copy.deepcopy(before.values)
    for step in steps:
        values = step.values(before.key, values)
    if before.key == SETTINGS:
        values = values | {"format": check_settings.FORMAT}
    text = rewritten(before.text, before.values, values, settings_order.rank_of(before.key))
    mark = _BOM if before.data.startswith(_BOM.encode()) else ""
    after = Base(before.key, before.path, (mark + text).encode())
    if not is_same(after.values, values):
        raise WriteError(failed_save.not_safely(before.path))
    return after


def _write(folder: Path, before: Base, after: Base, now: dt.datetime) -> None:
    try:
        with history.replacing(folder, before, after.data, now=now, by="upgrade"):
            atomic_write.replace(folder / before.path, after.data or b"", before.data)
    except atomic_write.ChangedError:
        raise WriteError(_('"{path}" was changed meanwhile; do the upgrade again', path=before.path)) from None
    except OSError as error:
        raise WriteError(reason_of(folder, before.path, error)) from None
