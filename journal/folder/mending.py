"""Mending of a broken journal.toml in its place: the lines of one broken place are replaced, and nothing else.

    basis = reading.read_settings(folder)
    mending.mend(folder, basis.base, basis.broken[0], 'title = "Spine and thread"', now=now)

`writing.save` changes keys, which needs a valid file. Here the person changes the lines themselves. The result is read
before anything is written: the new lines must be valid, and every statement that applied must still apply as it did.
"""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from journal.errors import FolderError, Problem, UsageError, WriteError
from journal.folder import (
    atomic_write,
    failed_save,
    history,
    leftovers,
    reading,
    toml_read,
    toml_recovery,
    write_refusals,
)
from journal.folder.broken_places import BrokenPlace
from journal.folder.failed_save import reason_of
from journal.folder.faults import quoted
from journal.folder.made_version import Saved
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import SETTINGS, Base
from journal.folder.toml_read import NotReadError
from journal.folder.toml_statements import statements
from journal.language.catalogue import _
from journal.language.lazy_text import L_, L_p, Phrase

_BOM = b"\xef\xbb\xbf"
_ATTEMPTS = 20  # an attempt fails only if someone else has just written the file


def mend(
    folder: Path,
    base: Base,
    place: BrokenPlace,
    text: str,
    *,
    now: dt.datetime,
    rehearse: bool = False,
    files: OpenedFiles | None = None,
) -> Saved:
    """Replace the lines of a broken place of journal.toml by a text. An empty text takes them out.

    `base` is the version that `place` is from. If the file has changed since, the place is looked up by its text. All
    other bytes stay, and both versions are kept (`history`). With `rehearse`, nothing is written. Other broken places
    may remain, also in lines that now belong to a table that applies again.

    >>> import tempfile
    >>> directory = tempfile.TemporaryDirectory()
    >>> folder, now = Path(directory.name), dt.datetime(2025, 3, 14, 22, 5)
    >>> _ = (folder / "journal.toml").write_text('title = "Spine\\nclock = 12\\n')
    >>> basis = reading.read_settings(folder)
    >>> basis.settings.clock, [(place.first, place.last, place.text) for place in basis.broken]
    (12, [(1, 1, 'title = "Spine')])
    >>> mend(folder, basis.base, basis.broken[0], 'title = "Spine and thread"', now=now).written
    True
    >>> print((folder / "journal.toml").read_text().strip())
    title = "Spine and thread"
    clock = 12
    >>> directory.cleanup()

    Raises WriteError, with the text and the problems, if a line of it is not valid, if other lines would no longer
    apply or would belong to another table, if the place is gone, or if the file cannot be written. Raises UsageError if
    `place` is none of `base`. The file is untouched then.
    """
    files = OpenedFiles(folder) if files is None else files
    try:
        reading.refuse_if_gone(folder)
        with files.lock():
            for _attempt in range(_ATTEMPTS):
                current = files.pages.writable(SETTINGS)
                after = _mended(current, _found(current, base, place), text, folder)
                write_refusals.refuse(files, current, after)
                result = Saved(after, written=False, merged=current.data != base.data)
                try:
                    return result if rehearse else _write(folder, current, result, now)
                except atomic_write.ChangedError:
                    files.pages.forget(SETTINGS)
        raise WriteError(failed_save.never_still(base.path))
    except WriteError as error:
        error.typed = text
        raise
    except FolderError as error:
        raise WriteError(str(error), text) from None
    except OSError as error:
        raise WriteError(reason_of(folder, base.path, error), text) from None


def _found(current: Base, base: Base, place: BrokenPlace) -> BrokenPlace:
    """Return the place in the file as it is now."""
    places = _places(current)
    if current.data == base.data:
        if place not in places:
            lines = {"first": place.first, "last": place.last}
            raise UsageError(_("journal.toml has no such broken lines: {first} to {last}; read it again", **lines))
        return place
    same = [other for other in places if other.text == place.text]
    if len(same) != 1:
        raise WriteError(
            _('"journal.toml" was changed elsewhere, and the lines are not there as they were; look at it again')
        )
    return same[0]


def _places(version: Base) -> tuple[BrokenPlace, ...]:
    try:
        version.toml  # noqa: B018 (raises)
    except NotReadError as error:
        try:
            return toml_recovery.recover(version.path, toml_read.text(version.path, version.data or b"")).places
        except NotReadError:
            raise WriteError(str(error.problem), problems=(error.problem,)) from None
    return ()


def _mended(current: Base, place: BrokenPlace, text: str, folder: Path) -> Base:
    """Return the version with the new lines. Raises WriteError if they cannot take the place of the old ones."""
    data = current.data or b""
    try:
        lines = _lines(text, data)
    except UnicodeEncodeError:
        raise WriteError(failed_save.half_a_character()) from None
    rows = data.removeprefix(_BOM).split(b"\n")
    if place.last == len(rows) and lines:
        lines[-1] = lines[-1].removesuffix(b"\r")
    mark = _BOM if data.startswith(_BOM) else b""
    after = Base(current.key, current.path, mark + b"\n".join([*rows[: place.first - 1], *lines, *rows[place.last :]]))
    last = place.first + len(lines) - 1
    if problems := _refusals(current, after, place, last, folder):
        raise WriteError(str(problems[0]), problems=tuple(problems))
    return after


def _lines(text: str, data: bytes) -> list[bytes]:
    """Return the lines of a text with the line ends of the file, without the last line feed."""
    line_end = b"\r" if data.count(b"\r\n") * 2 > data.count(b"\n") else b""
    plain = text.replace("\r\n", "\n").removesuffix("\n")
    return [line.encode() + line_end for line in plain.split("\n")] if plain else []


def _refusals(current: Base, after: Base, place: BrokenPlace, last: int, folder: Path) -> list[Problem]:
    """Return why the new lines, up to `last`, cannot take the place of the old ones. Each problem is in their lines, or
    in lines that apply now and would not."""
    problems = reading.basis_of(after, folder).problems
    inside = [problem for problem in problems if place.first <= problem.line <= last]
    if inside:
        return inside
    parts = statements(after.text)
    below = next((part for part in parts if part.first >= last), None)
    headers = [part.first for part in parts if part.kind == "header" and place.first <= part.first + 1 <= last]
    if headers and below is not None and below.kind != "header":
        line = after.text.split("\n")[headers[-1]].strip()
        remedy = L_("put a table of its own below the last line of this one")
        return [_problem(after, headers[-1] + 1, L_("lines of the same table"), quoted(line), remedy)]
    applied = toml_recovery.recover(after.path, after.text).applied
    for first, end in sorted(toml_recovery.recover(current.path, current.text).applied):
        shift = last - place.last if first >= place.last else 0
        is_old = place.first <= first + 1 <= place.last
        if not is_old and (first + shift, end + shift) not in applied:
            line_now = first + shift + 1
            told = [problem for problem in problems if problem.line == line_now]
            expected, got = L_("lines that leave others as they are"), L_p("lines", "others")
            remedy = L_("write them so that line {line} applies as before", line=str(line_now))
            return told or [_problem(after, place.first, expected, got, remedy)]
    return []


def _problem(version: Base, line: int, expected: Phrase, got: Phrase, remedy: Phrase) -> Problem:
    return Problem(path=version.path, line=line, column=1, expected=expected, got=got, remedy=remedy)


def _write(folder: Path, current: Base, result: Saved, now: dt.datetime) -> Saved:
    """Write the result in place of the file. Raises ChangedError if it has changed since it was read."""
    path = folder / current.path
    before, after = current.data, result.base.data
    assert before is not None, "a file with a broken place exists"
    assert after is not None, "and so does the mended one"
    leftovers.clear(folder, path, lambda key, data: history.kept_once(folder, key, data, now=now))
    with history.replacing(folder, current, after, now=now, by="settings"):
        atomic_write.replace(path, after, before)
    return Saved(result.base, written=True, merged=result.merged, before=current)
