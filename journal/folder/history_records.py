"""The text of a page's history: one record for each state of the page, oldest first.

    === 2025-03-14T22:05:07.120000+01:00 evening 9 bytes b0c0f08c...
    mood = 4

    === written

A record is a line with the moment, the writer, the length and the SHA-256 digest, then the bytes of the page, then a
line that says that they were written. A removed page has "removed" in place of the length. So the file can be read in
any editor, and the digest checked with any tool.

The closing line comes after the page is replaced. A process that is killed leaves a part of a record, which its length
and digest give away, or a whole record without a closing line: it is open, and the page itself says whether it was
written. A part is cut away before the next record, so an open record follows a closed one at once. What is damaged in
another way is skipped up to the next closed record, since the bytes of a page may look like a part of one.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import itertools
import re
from collections.abc import Sequence
from typing import Literal, get_args

import msgspec

PageWriter = Literal[
    "evening",
    "day",
    "week",
    "month",
    "year",
    "settings",
    "log",
    "import",
    "merge",
    "history",
    "restore",
    "trial",
    "upgrade",
    "elsewhere",
]
"""Who wrote a state: a page or a command of Duskbook, or something else, as an editor or a synchronisation."""

_WRITERS: dict[str, PageWriter] = {writer: writer for writer in get_args(PageWriter)}

WRITTEN, NOT_WRITTEN = b"\n=== written\n", b"\n=== not written\n"
KEEP_ALL = dt.timedelta(days=60)
"""For this long, every state is kept; afterwards the last one of each day on which the page was changed."""

_MOST_DAMAGED = 100  # a file from elsewhere could make a digest of all of its bytes necessary for each of its lines
_HEAD = re.compile(rb"\n=== ([0-9T:.+-]{19,40}) ([a-z]{1,20}) (\d{1,9} bytes|removed) ([0-9a-f]{64})\n")


class PageState(msgspec.Struct, frozen=True):
    """A state of a page: since when it was so, who wrote it, None if unknown, and its bytes, None for no page.

    `moment` has a time zone.
    """

    moment: dt.datetime
    by: PageWriter | None
    data: bytes | None


class KeptStates(msgspec.Struct, frozen=True):
    """The states of a history file. `opened` is the last one if its closing line is missing.

    `end` is where a closing line or the next record belongs in the file; what follows there is torn. `is_whole` is
    false if so much of the file is damaged that not all of it was read.
    """

    closed: tuple[PageState, ...]
    opened: PageState | None
    end: int
    is_whole: bool = True

    @property
    def last(self) -> PageState | None:
        """The last state that is certain."""
        return self.closed[-1] if self.closed else None

    def settled(self, data: bytes | None) -> bool:
        """Return whether the open state was written, if the page is `data` now.

        A page that is neither as before nor as the open state was changed since. The state then counts as written.
        """
        if self.opened is None or self.opened.data == data:
            return self.opened is not None
        before = self.last.data if self.last is not None else None
        return data != before

    def all(self, data: bytes | None) -> tuple[PageState, ...]:
        """The states, oldest first, if the page is `data` now."""
        return (*self.closed, self.opened) if self.opened is not None and self.settled(data) else self.closed


def record(state: PageState) -> bytes:
    """Return the text of a record, without its closing line.

    >>> moment = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
    >>> record(PageState(moment, "evening", None))
    b'\\n=== 2025-03-14T22:05:00+00:00 evening removed
        e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855\\n'
    >>> parse(record(PageState(moment, "evening", b"mood = 4")) + WRITTEN).closed
    (PageState(moment=datetime.datetime(2025, 3, 14, 22, 5, tzinfo=datetime.timezone.utc), by='evening',
        data=b'mood = 4'),)
    """
    moment = state.moment if state.moment.tzinfo else state.moment.astimezone()
    length = "removed" if state.data is None else f"{len(state.data)} bytes"
    head = f"\n=== {moment.isoformat()} {state.by or 'unknown'} {length} {_digest(state).decode()}\n"
    return head.encode("ascii") + (state.data or b"")


def parse(text: bytes, *, is_quick: bool = False) -> KeptStates:
    """Return the states of a history file. Records that are torn or damaged are skipped, up to 100 of them.

    With `is_quick`, only the digest of the last state is checked, which is enough to append another one.
    """
    closed: list[PageState] = []
    opened, at, end_of_last, damaged, is_skipping = None, 0, 0, 0, False
    while at < len(text) and damaged < _MOST_DAMAGED:
        head = _HEAD.match(text, at)
        state = _state(head, text) if head is not None else None
        end = head.end() + len(state.data or b"") if head is not None and state is not None else 0
        is_last = end + len(NOT_WRITTEN) >= len(text)
        if head is not None and state is not None and ((is_quick and not is_last) or _digest(state) == head[4]):
            is_written = text.startswith(WRITTEN, end)
            if is_written or text.startswith(NOT_WRITTEN, end):
                closed += [state] if is_written else []
                at = end_of_last = end + len(WRITTEN if is_written else NOT_WRITTEN)
                is_skipping = False
                continue
            if not is_skipping and any(
                closing.startswith(text[end : end + len(NOT_WRITTEN)]) for closing in (WRITTEN, NOT_WRITTEN)
            ):
                opened, at = state, end  # the file ends here
                break
        following, damaged, is_skipping = text.find(b"\n=== ", at + 1), damaged + 1, True
        at = len(text) if following == -1 else following
    end = at if opened is not None else end_of_last
    return KeptStates(tuple(closed), opened, end, is_whole=damaged < _MOST_DAMAGED)


def _state(head: re.Match[bytes], text: bytes) -> PageState | None:
    """Return the state of a record, or None if there are less bytes than it names."""
    try:
        moment, by = dt.datetime.fromisoformat(head[1].decode()), head[2].decode()
    except ValueError:
        return None
    if moment.tzinfo is None:
        return None
    data = None
    if head[3] != b"removed":
        length = int(head[3].removesuffix(b" bytes"))
        data = text[head.end() : head.end() + length]
        if len(data) != length:
            return None
    return PageState(moment, _WRITERS.get(by), data)


def _digest(state: PageState) -> bytes:
    return hashlib.sha256(state.data or b"").hexdigest().encode()


def thinned(states: Sequence[PageState], now: dt.datetime, largest: int) -> list[PageState]:
    """Return the states to keep of those of one page: all of the last 60 days, before that the last one of each day.

    If their records have more than `largest` bytes, fewer days are kept whole, and then the oldest states go. The last
    one is kept in any case.

    >>> at = [dt.datetime(2025, 3, day, hour, tzinfo=dt.UTC) for day in (13, 14) for hour in (9, 21)]
    >>> states = [PageState(moment, "day", b"mood = 4") for moment in at]
    >>> [str(state.moment)[:13] for state in thinned(states, at[2] + KEEP_ALL, 4_000)]
    ['2025-03-13 21', '2025-03-14 09', '2025-03-14 21']
    """
    kept = list(states)
    for whole in (KEEP_ALL, KEEP_ALL / 4, KEEP_ALL / 30):
        kept = _last_of_days(kept, before=now - whole)
        if _size(kept) <= largest:
            return kept
    while len(kept) > 1 and _size(kept) > largest:
        del kept[0]
    return kept


def _last_of_days(states: Sequence[PageState], before: dt.datetime) -> list[PageState]:
    """Return the states without those before a moment that another one of the same day follows."""
    followed = [a.moment.date() == b.moment.date() for a, b in itertools.pairwise(states)]
    return [
        state
        for state, is_followed in zip(states, [*followed, False], strict=False)
        if state.moment >= before or not is_followed
    ]


def _size(states: Sequence[PageState]) -> int:
    return sum(len(state.data or b"") + 150 for state in states)
