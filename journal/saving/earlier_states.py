"""The earlier states of a page on a form: what each changed, and bringing one back. That can be taken back.

The form shows what bringing a state back changes, and sends back what it showed. Nothing is written if the page is
another by then.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from journal import periods
from journal.errors import JournalError, UsageError, WriteError
from journal.folder import differences, history, writing
from journal.folder.history_records import PageState
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import SETTINGS, UNDATED, Base
from journal.folder.writing import Conflict
from journal.language.catalogue import N_, _, _n
from journal.saving.form_values import Trouble
from journal.saving.save_pages import SaveResult, one_save, packed
from journal.saving.wall_clock import at_home
from journal.wording import pages

AT_ONCE = 15
"""How many states are listed at once, the newest first."""

MOST_LINES = 8
"""Most shown changes of a state in the list."""

_CHANGED = N_("The page was changed just now. Look again at what bringing it back changes.")
_GONE = N_("that state is not kept any more; open the list anew")


class PageOffer(msgspec.Struct, frozen=True):
    """A page whose states can be listed: its key, its name, and a digest of its text now, empty if there is none."""

    key: str
    title: str
    now: str


class StateOffer(msgspec.Struct, frozen=True):
    """A state of a page: since when it was so, who wrote it, and what it changed. `ref` names it.

    `can_return` is false for the page as it is now, and for a text that cannot be read.
    """

    ref: str
    when: str
    by: str
    changes: list[str]
    is_now: bool
    is_first: bool
    can_return: bool


class StateList(msgspec.Struct, frozen=True):
    """Some states of a page, the newest first, and how many older ones are kept."""

    states: list[StateOffer]
    more: int


class StateView(msgspec.Struct, frozen=True):
    """What bringing a state back changes in the page. `seen` stands for the page and the state that are shown."""

    changes: list[str]
    seen: str


def offer(files: OpenedFiles, key: str) -> PageOffer:
    """Return the offer of a page. A page that cannot be looked up counts as none."""
    title = pages.title(key, week_starts=files.basis.settings.week_starts)
    data = files.pages.current(key).data
    return PageOffer(key, title, "" if data is None else hashlib.sha256(data).hexdigest()[:16])


def listed(files: OpenedFiles, sent: Mapping[str, Any]) -> StateList:
    """Return the states of the page with the sent "key", without the first "after" ones.

    Raises UsageError if there is no such page.
    """
    key, after = _key(sent), sent.get("after")
    after = after if isinstance(after, int) and after > 0 else 0
    page, found = _states(files, key)
    end = max(0, len(found) - after)
    start = max(0, end - AT_ONCE)
    return StateList([_offer(files, page, found, i) for i in reversed(range(start, end))], start)


def view(files: OpenedFiles, sent: Mapping[str, Any]) -> StateView:
    """Return what bringing the state with the sent "ref" back changes in the page with the sent "key".

    Raises UsageError if there is no such page or state.
    """
    page, state = _chosen(files, sent)
    changes = differences.between(page.key, page.data, state.data, files.basis.settings.habit_name)
    return StateView([change.words for change in changes], _seen(page, state))


def bring_back(files: OpenedFiles, sent: Mapping[str, Any], *, now: dt.datetime) -> SaveResult:
    """Write the state with the sent "ref" as the page with the sent "key", if both are as shown ("seen")."""
    return one_save(files, lambda: _brought(files, sent, now), now=now)


def _brought(files: OpenedFiles, sent: Mapping[str, Any], now: dt.datetime) -> SaveResult:
    try:
        page, state = _chosen(files, sent)
        if _seen(page, state) != sent.get("seen"):
            return _not_done(_(_CHANGED))
        if not _can_return(page, state):
            return _not_done(_("That state cannot be brought back."))
        before = Base(page.key, page.path, state.data)
        result = writing.put_back(files.folder, before, page, now=now, by="history", files=files)
    except JournalError as error:
        return _not_done(f"{error}.")
    if isinstance(result, Conflict):
        return _not_done(_(_CHANGED))
    said = _("{path} is as it was on {moment}.", path=page.path, moment=at_home(files, state.moment, day=True))
    return SaveResult(saved=True, said=said, undo=packed([(page, result.base)]))


def _states(files: OpenedFiles, key: str) -> tuple[Base, list[PageState]]:
    page = files.pages.current(key)
    return page, history.of_page(files.folder, page)


def _offer(files: OpenedFiles, page: Base, found: Sequence[PageState], i: int) -> StateOffer:
    state = found[i]
    before = found[i - 1].data if i else None
    changes = differences.between(page.key, before, state.data, files.basis.settings.habit_name)
    more = len(changes) - MOST_LINES
    return StateOffer(
        ref=_ref(state),
        when=at_home(files, state.moment, day=True),
        by=pages.writer(state.by),
        changes=[
            *(change.words for change in changes[:MOST_LINES]),
            *([_n("and {count} more change", "and {count} more changes", more)] if more > 0 else []),
        ],
        is_now=i == len(found) - 1,
        is_first=i == 0,
        can_return=_can_return(page, state),
    )


def _can_return(page: Base, state: PageState) -> bool:
    """Return whether a state is another text than the page, and one that can be read. A journal needs its settings."""
    if state.data == page.data or (state.data is None and page.key == SETTINGS):
        return False
    try:
        Base(page.key, page.path, state.data).values  # noqa: B018 - reads it
    except WriteError:
        return False
    return True


def _chosen(files: OpenedFiles, sent: Mapping[str, Any]) -> tuple[Base, PageState]:
    page, found = _states(files, _key(sent))
    state = next((state for state in reversed(found) if _ref(state) == sent.get("ref")), None)
    if state is None:
        raise UsageError(_(_GONE))
    return page, state


def _key(sent: Mapping[str, Any]) -> str:
    key = str(sent.get("key"))
    return key if key in (UNDATED, SETTINGS) else periods.parse_name(key).key


def _ref(state: PageState) -> str:
    return f"{state.moment.isoformat()} {_digest(state.data)}"


def _seen(page: Base, state: PageState) -> str:
    return f"{_digest(page.data)} {_ref(state)}"


def _digest(data: bytes | None) -> str:
    return "none" if data is None else hashlib.sha256(data).hexdigest()[:32]


def _not_done(message: str) -> SaveResult:
    return SaveResult(saved=False, problems=[Trouble("", message[:1].upper() + message[1:])])
