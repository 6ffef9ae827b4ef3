"""The pictures of a day on its page and its evening: added, given a caption, taken off. Each edit is saved at once.

An edit is a change set against the page that its window shows, as those of `day_edits`. A picture that is taken off the
page stays beside it as a file, so that the way back finds it again.
"""

from __future__ import annotations

import base64
import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import msgspec

from journal.errors import JournalError, PictureError, UsageError
from journal.folder.check_pictures import MOST_PICTURES
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import _
from journal.pictures import new_picture, picture_files
from journal.planning.day_edits import EditResult, parse_day
from journal.saving import base_pages, take_back
from journal.saving.base_pages import Pages
from journal.saving.form_values import Trouble
from journal.saving.save_pages import ChangeSet, PagesSave, PageWrite, SaveResult
from journal.wording import dates, numbers

if TYPE_CHECKING:
    from journal import Journal
    from journal.folder.page_versions import Base

_TEXT_BYTES = picture_files.BYTE_LIMIT * 4 // 3 + 4  # in base64


class PictureOffer(msgspec.Struct, frozen=True, kw_only=True):
    """A picture of a page: its name, its path in the journal, its caption, and why it cannot be shown, if it cannot."""

    name: str
    file: str
    caption: str
    problem: str


class DayPicturesOffer(msgspec.Struct, frozen=True, kw_only=True):
    """The pictures of a day. `base` is sent back with each edit. `kept` says what a copy is without, if anything."""

    day: str
    title: str
    base: str
    pictures: list[PictureOffer]
    most: int
    kept: str
    read_only: str


def offer(book: Journal, day: dt.date) -> DayPicturesOffer:
    """Return the pictures of a day, from its current page. A day without a page has none."""
    base = book.files.pages.look(day.isoformat())
    entry = base_pages.entry(base, book.files.basis.known)[0]
    beside = base.path.rpartition("/")[0]
    pictures = [
        PictureOffer(
            name=name,
            file=(file := f"{beside}/{name}" if beside else name),
            caption=entry.captions.get(name, ""),
            problem=picture_problem(book, file),
        )
        for name in entry.pictures[:MOST_PICTURES]
    ]
    is_cleaned = book.settings.pictures == "cleaned"
    return DayPicturesOffer(
        day=day.isoformat(),
        title=dates.day(day, year=day.year != book.today.year),
        base=base_pages.packed((base,)),
        pictures=pictures,
        most=MOST_PICTURES,
        kept=_("Each is copied into the journal, without where and when it was taken.")
        if is_cleaned
        else _("Each is copied into the journal, as it is, with where and when it was taken."),
        read_only=book.read_only,
    )


def picture_problem(book: Journal, file: str) -> str:
    """Return why a picture cannot be shown, in a sentence; empty if it can, as far as its head tells."""
    try:
        picture_files.look(book.folder / file)
    except PictureError as error:
        return _("{name} cannot be shown: {reason}.", name=file.rpartition("/")[2], reason=error)
    return ""


def add(book: Journal, raw: object, *, now: dt.datetime) -> EditResult:
    """Add a picture: `raw` is {"day", "name" of the file, "data" in base64}. The same picture twice is one."""
    return _answered(lambda: _added(book, _table(raw), now))


def caption(book: Journal, raw: object, *, now: dt.datetime) -> EditResult:
    """Set or clear the caption of a picture: `raw` is {"day" and "base" of the offer, "name", "text", "resolve"}."""

    def edit() -> EditResult:
        base, name = _shown(book, _table(raw))
        text = str(_table(raw).get("text", "")).strip()
        answer = _saved(book, base, {("captions", name): text or REMOVE}, raw, now)
        without = _("no caption")
        return _result(answer, f"{name}: {text or without}")

    return _answered(edit)


def take_off(book: Journal, raw: object, *, now: dt.datetime) -> EditResult:
    """Take a picture off the page, with its caption: `raw` is {"day" and "base" of the offer, "name", "resolve"}."""

    def edit() -> EditResult:
        shown, name = _shown(book, _table(raw))
        base, known = book.files.pages.current(shown.key), book.files.basis.known
        entry = base_pages.entry(base, known)[0]
        if entry.captions.get(name) != base_pages.entry(shown, known)[0].captions.get(name):
            raise UsageError(_("the caption of {name} was changed elsewhere; look at it, then do it again", name=name))
        left = [other for other in entry.pictures if other != name]
        changes: ChangeSet = {("pictures",): left or REMOVE}
        if name in entry.captions:
            only = len(entry.captions) == 1
            changes[("captions",) if only else ("captions", name)] = REMOVE
        return _result(_saved(book, base, changes, raw, now), _("{name}: taken off the page", name=name))

    return _answered(edit)


def undo(book: Journal, raw: object, *, now: dt.datetime) -> EditResult:
    """Undo an edit: `raw` is {"undo" of its result, "resolve"}."""
    return EditResult(answer=take_back.take_back(book, _table(raw).get("undo"), now=now, by="day", raw=raw))


def _added(book: Journal, raw: Mapping[str, Any], now: dt.datetime) -> EditResult:
    day, files = parse_day(raw.get("day")), book.files
    keeping = files.basis.settings.pictures
    copy = new_picture.of_bytes(_decoded(raw.get("data")), keeping)
    source = str(raw.get("name")).replace("\\", "/").rpartition("/")[2]
    new = new_picture.NewPicture(day=day, source=source, copy=copy, keeping=keeping)
    base = files.pages.current(day.isoformat())
    with new_picture.added([new], files, base) as added:
        if not added.changes:
            return EditResult(
                answer=SaveResult(saved=True, said=_("{name} is there already.", name=added.placed[0].name))
            )
        answer = _saved(book, base, dict(added.changes), raw, now)
    return _result(answer, _("{name}: added", name=added.placed[0].name))


def _decoded(data: object) -> bytes:
    if not isinstance(data, str) or len(data) > _TEXT_BYTES:
        most = _("at most {count} bytes", count=numbers.number(picture_files.BYTE_LIMIT))
        raise PictureError(most, _("more"), _("make the picture smaller"))
    try:
        return base64.b64decode(data, validate=True)
    except ValueError:  # of binascii, or of letters that are none of base64
        raise UsageError(_("what was sent is no picture; open the page anew")) from None


def _shown(book: Journal, raw: Mapping[str, Any]) -> tuple[Base, str]:
    """Return the page as its window shows it, and the picture that is meant. Raises UsageError for another one."""
    day, name = parse_day(raw.get("day")), str(raw.get("name"))
    bases = base_pages.submitted(raw.get("base"), book.files.pages)
    if tuple(base.key for base in bases) != (day.isoformat(),):
        raise UsageError(_("what was entered is of another day than the page it was begun from; open the page anew"))
    current = book.files.pages.current(day.isoformat())
    entries = [base_pages.entry(base, book.files.basis.known)[0] for base in (bases[0], current)]
    if not all(name in entry.pictures for entry in entries):
        raise UsageError(_("{name} is not on the page any more; look at the page, then do it again", name=name))
    return bases[0], name


def _saved(book: Journal, base: Base, changes: ChangeSet, raw: object, now: dt.datetime) -> SaveResult:
    pages = Pages((base,), book.files.pages.current)
    saving = PagesSave(book.files, pages, raw, field=_field, now=now, by="day")
    return saving.save([PageWrite(base.key, changes)])


def _field(_key: str, path: Sequence[str | int]) -> str:
    return ".".join(map(str, path))


def _table(raw: object) -> Mapping[str, Any]:
    return raw if isinstance(raw, Mapping) else {}


def _result(answer: SaveResult, did: str) -> EditResult:
    return EditResult(answer=msgspec.structs.replace(answer, undo=""), did=did, undo=answer.undo)


def _answered(edit: Callable[[], EditResult]) -> EditResult:
    """Return the result of an edit, or why it was not made."""
    try:
        return edit()
    except JournalError as error:
        return EditResult(answer=SaveResult(saved=False, problems=[Trouble("", f"{error}.")]))
