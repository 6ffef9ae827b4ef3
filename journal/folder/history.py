"""The earlier states of every page, in the folder `.history` of a journal.

    with history.replacing(folder, before, after, now=now, by="evening"):
        atomic_write.replace(...)
    history.of_page(folder, page)  # every state, the present one last

Each page has one file. A save appends to it: the version that it replaces, if something else wrote that one, and the
version that it writes. So what an editor or a synchronisation overwrites later is kept as well. Old states are thinned
out (`history_records.thinned`). The states of copies of a file count as its own (`history_copies`).

The folder is the person's. Deleting it loses the earlier states and nothing else. It has no cache tag, so backups take
it along. Links in it are not followed (`private_folder`). If it cannot be written, a page is saved all the same: what
protects the page is `atomic_write`.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import errno
import re
from collections.abc import Iterator
from pathlib import Path

from journal.folder import cache, history_copies, history_file, private_folder
from journal.folder.atomic_write import ChangedError
from journal.folder.history_copies import KEY
from journal.folder.history_file import SIZE_LIMIT
from journal.folder.history_records import NOT_WRITTEN, WRITTEN, PageState, PageWriter, record
from journal.folder.page_versions import Base
from journal.folder.private_folder import PrivateFolder
from journal.language.catalogue import N_, _

NAME = ".history"
FILE = re.compile(rf"({KEY})\.txt")
_YEAR = re.compile(r"[0-9]{4}")
EARLIER_COPY = re.compile(
    rf"([0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}T[0-9]{{2}}-[0-9]{{2}}-[0-9]{{2}}-[0-9]{{6}}) ({KEY})\.toml"
)
_COPY_LIMIT = 1_000_000  # bytes
_THINNED = range(60, 121)  # days ago: pages are thinned out when others get their first state
_ABOUT_NAME = "README.txt"
_ABOUT = N_("""\
The earlier states of the pages of this journal, kept by Duskbook.

Each page has a file, with one state after the other: a line that begins with "===" says when the state was saved, by
what, its length and its SHA-256 digest. The text of the page follows. "duskbook history" lists the states and brings
one back.

You may delete this folder or any file in it at any time. Then the earlier states are gone; your pages stay as they are.
""")


def keep(
    folder: Path, key: str, data: bytes | None, *, now: dt.datetime, by: PageWriter | None, is_whole: bool = False
) -> Path | None:
    """Keep a state of a page, unless its last kept state is the same. Return the file it is kept in, None if it is not.

    With `is_whole`, no state is thinned out while there is room. The caller must hold the write lock.

    >>> import tempfile
    >>> moment = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
    >>> with tempfile.TemporaryDirectory() as name:
    ...     kept = keep(Path(name), "2025-03-14", b"mood = 4", now=moment, by="elsewhere")
    ...     kept.name, [(state.by, state.data) for state in states(Path(name), "2025-03-14")]
    ('2025-03-14.txt', [('elsewhere', b'mood = 4')])
    """
    moment = _aware(now)
    try:
        with _opened(folder, key, make=True) as place:
            kept = history_file.settled(place, key, data, PageState(moment, by, data), is_whole=is_whole)
            if kept.last is None or kept.last.data != data:
                history_file.append(place, key, record(PageState(moment, by, data)) + WRITTEN, durable=True)
            return Path(place.path, f"{key}.txt")
    except OSError:
        return None


def kept_once(folder: Path, key: str, data: bytes, *, now: dt.datetime) -> bool:
    """Keep a state of a page that something else wrote, unless it is kept already. Return whether it is kept.

    The caller must hold the write lock.
    """
    if any(state.data == data for state in states(folder, key)):
        return True
    return keep(folder, key, data, now=now, by="elsewhere") is not None


def keep_seen(folder: Path, page: Base, *, now: dt.datetime) -> bool:
    """Keep the present state of a page that something else wrote, with the moment of its file. Return whether it is
    kept.

    A moment before that of the last state, as of a file that was copied here, counts as `now`. The caller must hold the
    write lock.
    """
    kept, moment = states(folder, page.key, page.data), _aware(now)
    changed = min(_changed_at(folder, page) or moment, moment)
    moment = moment if kept and changed < kept[-1].moment else changed
    return keep(folder, page.key, page.data, now=moment, by="elsewhere") is not None


def is_written_here(folder: Path, page: Base) -> bool:
    """Return whether Duskbook wrote the present state of a page, as far as is known."""
    kept = states(folder, page.key, page.data)
    return bool(kept) and kept[-1].data == page.data and kept[-1].by not in (None, "elsewhere")


@contextlib.contextmanager
def replacing(
    folder: Path, before: Base, after: bytes | None, *, now: dt.datetime, by: PageWriter | None
) -> Iterator[None]:
    """Keep the version that the body replaces, and the one that it writes, None for a removal.

    The body must hold the write lock. If it raises ChangedError, its version counts as not written. After any other
    error the page itself says whether it was. Where the disk is full, both give up their place again.
    """
    begun = None
    with contextlib.suppress(OSError):
        begun = _begun(folder, before, PageState(_aware(now), by, after))
    closing = WRITTEN
    try:
        yield
    except BaseException as error:
        closing = NOT_WRITTEN if isinstance(error, ChangedError) else b""
        if begun is not None and isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT):
            with contextlib.suppress(OSError), _opened(folder, before.key) as place:
                history_file.cut(place, before.key, begun[0], of=begun[1])
        raise
    finally:
        if begun is not None and closing:
            with contextlib.suppress(OSError), _opened(folder, before.key) as place:
                if place.size(f"{before.key}.txt") == begun[1]:
                    history_file.append(place, before.key, closing)
                elif (kept := history_file.read(place, before.key)).opened is not None:  # something was kept meanwhile
                    history_file.close(place, before.key, kept, closing)


def states(folder: Path, key: str, data: bytes | None = None) -> list[PageState]:
    """Return the kept states of a page, oldest first, none if they cannot be read.

    `data` are the bytes of the page now. They decide whether the last save of a killed process was written. The copies
    of version 0.1, in `.cache/before`, come first. Who wrote those is unknown, and their moment is that of the copy.
    """
    kept: tuple[PageState, ...] = ()
    with contextlib.suppress(OSError), _opened(folder, key) as place:
        kept = history_copies.union(
            history_file.read(place, key).all(data), history_copies.read(place, key, SIZE_LIMIT)
        )
    result: list[PageState] = []
    for state in (*_earlier_copies(folder, key), *kept):
        if not result or result[-1].data != state.data:
            result.append(state)
    return result


def of_page(folder: Path, page: Base) -> list[PageState]:
    """Return every state of a page, oldest first, the present one last. A page that never was has none.

    If the present one was not kept, something else than Duskbook wrote it, when the file was last changed. When a page
    was removed is not known: the moment is that of its last state.
    """
    kept = states(folder, page.key, page.data)
    if (kept[-1].data if kept else None) == page.data:
        return kept
    moment = _changed_at(folder, page) or (kept[-1].moment if kept else dt.datetime.fromtimestamp(0, dt.UTC))
    return [*kept, PageState(moment, "elsewhere", page.data)]


def pages(folder: Path) -> dict[str, int]:
    """Return the keys of the pages that have a history, each with when it was last written, in ns."""
    found: dict[str, int] = {}
    with contextlib.suppress(OSError), private_folder.opened(folder, NAME) as top:
        found |= _keys(top)
        for year in top.folders(_YEAR):
            with contextlib.suppress(OSError), private_folder.opened(folder, NAME, year) as place:
                found |= _keys(place)
    with contextlib.suppress(OSError), cache.opened(folder, "before") as copies:
        for name, written_ns in copies.files(EARLIER_COPY).items():
            key = name[27:].removesuffix(".toml")
            found[key] = max(found.get(key, 0), written_ns)
    return found


def written_ns(folder: Path, key: str) -> int | None:
    """Return when the history of a page was last written, in ns, None if it has none."""
    with contextlib.suppress(OSError), _opened(folder, key) as place:
        return place.written_ns(f"{key}.txt")
    return None


def _keys(place: PrivateFolder) -> dict[str, int]:
    found: dict[str, int] = {}
    for name, written_ns in place.files(history_copies.ANY_NAME).items():
        if (key := history_copies.key_of(name)) is not None:
            found[key] = max(found.get(key, 0), written_ns)
    return found


def _aware(moment: dt.datetime) -> dt.datetime:
    return moment if moment.tzinfo else moment.astimezone()


def _changed_at(folder: Path, page: Base) -> dt.datetime | None:
    """Return when the file of a page was last changed, None if there is none."""
    try:
        return dt.datetime.fromtimestamp((folder / page.path).stat().st_mtime, dt.UTC).astimezone()
    except (OSError, ValueError, OverflowError):
        return None


@contextlib.contextmanager
def _opened(folder: Path, key: str, make: bool = False) -> Iterator[PrivateFolder]:
    """Open the folder of a page's history file. Raises OSError."""
    below = (key[:4],) if key[:1].isdigit() else ()
    if make:
        with private_folder.opened(folder, NAME, make=True) as top:
            if not top.files(re.compile(re.escape(_ABOUT_NAME))):
                top.write(_ABOUT_NAME, [_(_ABOUT).encode()])
    with private_folder.opened(folder, NAME, *below, make=make) as place:
        yield place


def _begun(folder: Path, before: Base, after: PageState) -> tuple[int, int]:
    """Append the replaced version, if it is not the last state, and the new one without its closing line. Return the
    length of the file before and after."""
    key = before.key
    with _opened(folder, key, make=True) as place:
        kept = history_file.settled(place, key, before.data, after)
        text = b""
        if (kept.last.data if kept.last else None) != before.data:
            changed = _changed_at(folder, before) or after.moment
            text = record(PageState(min(changed, after.moment), "elsewhere", before.data)) + WRITTEN
        text += record(after)
        # A new page has nothing to lose, so it need not wait for the disk.
        history_file.append(place, key, text, durable=before.data is not None)
    if not kept.end and after.by != "import":
        _thin_others(folder, after.moment)
    return kept.end, kept.end + len(text)


def _thin_others(folder: Path, now: dt.datetime) -> None:
    """Thin out the pages of some time ago, which nobody may change again: of days, and the weeks and months around."""
    days = [now.date() - dt.timedelta(days=ago) for ago in _THINNED if now.date().toordinal() > ago]
    keys = {day.strftime(shape) for day in days for shape in ("%Y-%m-%d", "%G-W%V", "%Y-%m", "%Y")}
    for year in {key[:4] for key in keys}:
        with contextlib.suppress(OSError), private_folder.opened(folder, NAME, year) as place:
            place.sweep()
            for key in keys & _keys(place).keys():
                with contextlib.suppress(OSError):
                    history_file.thin(place, key, history_file.read(place, key), now, SIZE_LIMIT)


def _earlier_copies(folder: Path, key: str) -> list[PageState]:
    found = []
    with contextlib.suppress(OSError), cache.opened(folder, "before") as copies:
        for name in copies.files(EARLIER_COPY):
            shape = EARLIER_COPY.fullmatch(name)
            if shape is not None and shape[2] == key:
                with contextlib.suppress(OSError, ValueError):
                    moment = dt.datetime.strptime(shape[1], "%Y-%m-%dT%H-%M-%S-%f").astimezone()
                    found.append(PageState(moment, None, copies.read(name, _COPY_LIMIT).data))
    return found
