"""Sheets on a page: a photograph is dropped and read, what is not clear is asked beside its picture, then it is saved.

    read   a photograph -> its sheets, made straight, beside what they say
    look   all that was read so far -> what is asked, and what the pages keep
    save   all that was read, with the answers -> pages, and the lines by hand that are to be kept

The server keeps nothing between these requests: what was read travels to the page and back. Nothing is written before
`save`, and then by the rules of an import.
"""

from __future__ import annotations

import base64
import binascii
import datetime as dt
import threading
import zlib
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

import msgspec
from PIL import Image

from journal import periods
from journal.errors import JournalError, UsageError
from journal.importing import apply_plan, planning
from journal.importing.model import Unfit
from journal.importing.planning import Plan
from journal.language.catalogue import _, _n
from journal.paper import doubts, handwriting, photographs, picture_file, sheet_fields, sheet_import, sheet_pictures
from journal.paper.field_names import FieldNames
from journal.paper.photographs import PhotographsRead
from journal.paper.picture_file import PictureFile
from journal.paper.sheet_fields import FieldKey, FieldRead
from journal.paper.sheet_import import StandingField
from journal.paper.sheet_reader import SheetRead
from journal.planning import day_edits
from journal.saving import save_pages
from journal.saving.form_values import Trouble
from journal.saving.save_pages import SaveResult
from journal.settings import Settings
from journal.wording import dates, numbers

if TYPE_CHECKING:
    from journal import Journal

MOST_ASKED = 60
"""Most questions at once. The answers stand on the pages by the next time."""

_MOST_READ = 8_000_000  # bytes of what was read, unpacked: a year has a tenth of it
_one_at_a_time = threading.Lock()  # a photograph takes up to 300 MB while it is read


class SheetOffer(msgspec.Struct, frozen=True, kw_only=True):
    """A sheet that was read: its name, its picture, made straight, and the values of its days in words.

    `lines` is the picture of what is written on the sheet of a day by hand, empty if nothing is.
    """

    title: str
    said: str
    picture: str
    days: list[tuple[str, list[str]]]
    date: str
    lines: str


class PhotographOffer(msgspec.Struct, frozen=True, kw_only=True):
    """What a photograph gave. `read` is sent back with later requests. `crops` has a picture of each field in doubt."""

    sheets: list[SheetOffer]
    told: list[str]
    read: str
    crops: dict[str, str]


class AskedField(msgspec.Struct, frozen=True, kw_only=True):
    """A field that is not clear: its name, what its boxes look like, and the choices, empty if a number is written."""

    key: str
    title: str
    looks: str
    choices: list[tuple[str, str]]
    expected: str


class PaperOffer(msgspec.Struct, frozen=True, kw_only=True):
    """What would be saved: the questions that are left, what the pages keep, and the count of pages."""

    asked: list[AskedField]
    kept: list[str]
    problems: list[Trouble]
    pages: int
    said: str


def read(book: Journal, raw: object) -> PhotographOffer:
    """Read a photograph: `raw` is {"name" of the file, "data" in base64}.

    Raises UsageError, in a sentence, if it is no picture.
    """
    sent = raw if isinstance(raw, Mapping) else {}
    name = str(sent.get("name")).replace("\\", "/").rpartition("/")[2]
    data = _decoded(name, sent.get("data"))
    found = PhotographsRead([], [], {})
    sheets, crops = list[SheetOffer](), dict[str, str]()
    with _one_at_a_time:
        for picture in picture_file.of(name, data):
            before = len(found.sheets)
            photographs.add(found, book, picture)
            for sheet, fields in found.sheets[before:]:
                shown = _straight(picture, sheet)
                crops |= _crops(shown, fields)
                sheets.append(_offer(sheet, fields, shown, book.settings))
    marked = [field for _sheet, fields in found.sheets for field in fields if field.value is not None or field.doubt]
    return PhotographOffer(sheets=sheets, told=found.told, read=_packed(marked), crops=crops)


def _straight(picture: PictureFile, sheet: SheetRead) -> Image.Image:
    assert sheet.lies is not None
    return sheet_pictures.straight(picture, sheet.lies)


def _crops(shown: Image.Image, fields: Iterable[FieldRead]) -> dict[str, str]:
    """The boxes of each field in doubt, up to twice as many as are asked about: a page may have some already."""
    doubtful = [field for field in fields if field.doubt][: 2 * MOST_ASKED]
    places = {_text(field.key): sheet_pictures.about(box.box for box in field.boxes) for field in doubtful}
    return {key: sheet_pictures.address(sheet_pictures.part(shown, place)) for key, place in places.items()}


def _offer(sheet: SheetRead, fields: Iterable[FieldRead], shown: Image.Image, settings: Settings) -> SheetOffer:
    names, by_day = FieldNames(settings), dict[dt.date, list[FieldRead]]()
    for field in fields:
        if field.value is not None or field.doubt:
            by_day.setdefault(field.date, []).append(field)
    days = [(dates.day(date), names.day(of_day)) for date, of_day in sorted(by_day.items())]
    kind, first, part = sheet.layout.key
    period = dates.title(periods.containing(first, kind, week_starts=settings.week_starts))
    title = _("Sheet of {day}", day=period) if kind == "day" else _("Sheet of {period}", period=period)
    said = _n(
        "{photo}, {count} day with marks", "{photo}, {count} days with marks", len(days), photo=sheet.picture.name
    )
    lines = handwriting.crop(shown, sheet.layout)
    return SheetOffer(
        title=_("{sheet}, part {number}", sheet=title, number=part + 1) if part else title,
        said=said,
        picture=sheet_pictures.address(shown),
        days=days,
        date=first.isoformat(),
        lines="" if lines is None else sheet_pictures.address(lines),
    )


def look(book: Journal, raw: object, *, now: dt.datetime) -> PaperOffer:
    """What would be saved: `raw` is {"read": those of the photographs, "answers": texts by the keys of fields}."""
    standing = sheet_import.standing(book, _fields(raw))
    answers, problems = _answers(book, raw, standing)
    plan = _plan(book, standing, answers, now)
    asked = [field.read for field in standing if field.is_asked]
    names = FieldNames(book.settings)
    told = [*map(str, plan.problems), *plan.kept]
    count = len(plan.pages)
    said = _n("{count} page would be written.", "{count} pages would be written.", count)
    return PaperOffer(
        asked=[_asked(field, names, book) for field in asked[:MOST_ASKED]],
        kept=told,
        problems=problems,
        pages=count,
        said=said if count else _("The pages say all of it already."),
    )


def save(book: Journal, raw: object, *, now: dt.datetime) -> SaveResult:
    """Save what was read with its answers, as `look` does. What is not clear and not answered is left out."""
    try:
        standing = sheet_import.standing(book, _fields(raw))
        answers, problems = _answers(book, raw, standing)
        if problems:
            return SaveResult(saved=False, problems=problems)
        lines, plan = _lines(raw), _plan(book, standing, answers, now)
        written = apply_plan.write(book.folder, plan.pages, now=now, files=book.files)
    except JournalError as error:
        return SaveResult(saved=False, problems=[Trouble("", f"{error}.")])
    told = [written.finished] if written.finished else []
    if written.paths or not lines:
        nothing = _("Nothing to save: it is there already.")
        told.append(_("Wrote {pages}.", pages=numbers.listed(written.paths)) if written.paths else nothing)
    told += [
        _("{path} was changed elsewhere just now and stays as it is; save again.", path=path)
        for path in written.changed
    ]
    told += [f"{sentence}." for sentence in handwriting.keep(book, lines, now=now)]
    return SaveResult(saved=not written.changed, said=" ".join(told), undo=save_pages.packed(written.replaced))


def _plan(
    book: Journal, standing: Iterable[StandingField], answers: Mapping[FieldKey, FieldRead], now: dt.datetime
) -> Plan:
    values = sheet_import.imported(book, _("the sheet"), [field.settled(answers) for field in standing])
    return planning.plan(book.folder, values, book.files.basis.known, now=now, files=book.files)


def _asked(field: FieldRead, names: FieldNames, book: Journal) -> AskedField:
    return AskedField(
        key=_text(field.key),
        title=f"{dates.day(field.date)}, {names.of(field)}",
        looks=field.doubt,
        choices=doubts.listed(field, book.settings),
        expected=doubts.choices(field, book.settings),
    )


def _answers(
    book: Journal, raw: object, standing: Iterable[StandingField]
) -> tuple[dict[FieldKey, FieldRead], list[Trouble]]:
    """The fields in doubt that were answered, and a problem for each answer that is none."""
    sent = raw.get("answers") if isinstance(raw, Mapping) else None
    texts = sent if isinstance(sent, Mapping) else {}
    answers, problems = dict[FieldKey, FieldRead](), list[Trouble]()
    for field in (one.read for one in standing if one.is_asked):
        text = texts.get(_text(field.key))
        if not isinstance(text, str) or not text.strip():
            continue
        try:
            value = doubts.answered(field, text, book.settings)
        except Unfit as unfit:
            problems.append(Trouble(_text(field.key), _refused(unfit)))
            continue
        answers[field.key] = msgspec.structs.replace(field, value=value, doubt="")
    return answers, problems


def _refused(unfit: Unfit) -> str:
    return _("Expected {expected}; {remedy}.", expected=unfit.expected, remedy=unfit.remedy)


def _lines(raw: object) -> dict[dt.date, bytes]:
    """The pictures of lines that are to be kept, by day. Raises UsageError for what `read` did not make."""
    sent = raw.get("lines") if isinstance(raw, Mapping) else None
    found = dict[dt.date, bytes]()
    for date, address in sent.items() if isinstance(sent, Mapping) else ():
        if isinstance(address, str) and len(address) < _MOST_READ:
            day = day_edits.parse_day(date)
            try:
                found[day] = base64.b64decode(address.partition(",")[2], validate=True)
            except binascii.Error:
                raise UsageError(_("what was sent is no picture; open the page anew")) from None
    return found


def _text(key: FieldKey) -> str:
    return "/".join(map(str, key))


def _fields(raw: object) -> list[FieldRead]:
    """The fields of all photographs, one for each field and day. Raises UsageError for what `read` did not make."""
    sent = raw.get("read") if isinstance(raw, Mapping) else None
    try:
        if not isinstance(sent, list):
            raise ValueError("no list")
        found = [field for text in sent for field in _unpacked(text)]
    except (ValueError, zlib.error, msgspec.MsgspecError):
        raise UsageError(_("what was read is missing; take the photographs again from where they are")) from None
    return sheet_fields.joined(found)


def _packed(fields: list[FieldRead]) -> str:
    return base64.b64encode(zlib.compress(msgspec.msgpack.encode(fields))).decode()


def _unpacked(text: object) -> list[FieldRead]:
    if not isinstance(text, str):
        raise ValueError("not a text")
    data = zlib.decompressobj().decompress(base64.b64decode(text, validate=True), _MOST_READ)
    return msgspec.msgpack.decode(data, type=list[FieldRead])


def _decoded(name: str, data: object) -> bytes:
    if not isinstance(data, str) or len(data) > picture_file.MOST_BYTES * 4 // 3 + 4:
        raise picture_file.too_large(name)
    try:
        return base64.b64decode(data, validate=True)
    except binascii.Error:
        raise UsageError(_("what was sent is no picture; open the page anew")) from None
