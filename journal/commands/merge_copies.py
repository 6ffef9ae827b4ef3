"""The work of `duskbook merge`: print what the copies of pages bring, ask, and write only after a yes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from journal.commands import clock, terminal_questions
from journal.commands.import_files import is_terminal
from journal.commands.open_journal import mention_settings
from journal.commands.usage_errors import FINE, PROBLEMS, say, suggestion
from journal.errors import UsageError
from journal.folder import copy_merge, differences, discover, toml_format
from journal.folder.copy_merge import CopyMerge, Decide, Side
from journal.folder.opened_files import OpenedFiles
from journal.folder.three_way_merge import Clash
from journal.language.catalogue import _, _n
from journal.wording import numbers

MOST_LINES = 20
"""Most printed changes of one copy."""


def merge(folder: Path, only: Sequence[str], *, keep: Side | None, yes: bool, dry_run: bool) -> int:
    """Merge the copies of a journal, or only some, into their pages. Returns the exit code."""
    files = OpenedFiles(folder)
    mention_settings(files)
    copies = [copy for copy in discover.find(folder).copies if not only or copy.path in _paths(only)]
    _refuse_unknown(only, [copy.path for copy in discover.find(folder).copies])
    if not copies:
        say(_("There is no copy of a page."))
        return FINE
    decide = copy_merge.keeping(keep) if keep else None
    plans = [copy_merge.plan(files, copy, now=clock.now(), decide=decide) for copy in copies]
    for planned in plans:
        for line in _told(files, planned):
            say(line)
    ready = [planned for planned in plans if planned.after is not None]
    if len(ready) < len(plans):
        left = len(plans) - len(ready)
        say(
            _n(
                "{count} copy cannot be merged yet, see above.",
                "{count} copies cannot be merged yet, see above.",
                left,
            )
        )
    code = PROBLEMS if len(ready) < len(plans) else FINE
    if not ready:
        return code
    if dry_run:
        say(_("Nothing is written (--dry-run)."))
    elif not yes and not is_terminal():
        say(_("Nothing is written: there is no terminal to ask on. Add --yes to merge."))
    elif not yes and not terminal_questions.agreed(_n("Merge {count} copy?", "Merge {count} copies?", len(ready))):
        say(_("Nothing is written."))
    else:
        are_merged = [_merge(folder, planned, decide) for planned in ready]
        return code if all(are_merged) else PROBLEMS
    return code


def _merge(folder: Path, planned: CopyMerge, decide: Decide | None) -> bool:
    """Merge one copy, as it is by now: of several copies of one page, each changes what the next brings.

    Returns whether it is merged.
    """
    files = OpenedFiles(folder)
    again = copy_merge.plan(files, planned.copy, now=clock.now(), decide=decide)
    path = planned.copy.path
    merged = None if again.after is None else copy_merge.merge(files, again, now=clock.now())
    page = planned.copy.page
    if merged is None:
        stays = _("{copy} stays: it or its page was changed just now, or differs from one merged before", copy=path)
        say(again.problem or stays)
    elif merged.stays:
        text = _("{copy} is merged into {page}, and still lies beside it: {reason}")
        say(text.format(copy=path, page=page, reason=merged.stays))
    else:
        text = _("{copy} is merged into {page}. Its text is kept in the history of the page.")
        say(text.format(copy=path, page=page))
    return merged is not None and not merged.stays


def _paths(only: Sequence[str]) -> set[str]:
    return {path.replace("\\", "/").removeprefix("./") for path in only}


def _refuse_unknown(only: Sequence[str], paths: Sequence[str]) -> None:
    """Raise UsageError for a name that is none of the copies."""
    for path in _paths(only):
        if path not in paths:
            if not paths:
                raise UsageError(_('"{copy}" is no copy of a page in this journal; there are none', copy=path))
            text = _('"{copy}" is no copy of a page in this journal; {remedy}')
            raise UsageError(text.format(copy=path, remedy=suggestion(path, paths)))


def _told(files: OpenedFiles, planned: CopyMerge) -> list[str]:
    """What a copy brings, line by line."""
    copy = planned.copy
    if planned.problem or planned.page is None:
        return [f"{copy.path}: {planned.problem}"]
    text = _("{copy} into {page}; no earlier state of both is kept, so what only one of them has stays.")
    if planned.since is not None:
        text = _("{copy} into {page}; both come from the state of {moment}.")
    lines = [
        text.format(copy=copy.path, page=copy.page, moment=f"{planned.since:%Y-%m-%d %H:%M}" if planned.since else "")
    ]
    if planned.after is not None:
        name_of = files.basis.settings.habit_name
        changes = differences.between(copy.key, planned.page.data, planned.after.data, name_of)
        told = [change.words for change in changes[:MOST_LINES]] or [_("It brings nothing new.")]
        if len(changes) > MOST_LINES:
            told.append(_("... and {number} more", number=numbers.number(len(changes) - MOST_LINES)))
        return lines + [f"  {line}" for line in told]
    lines += [f"  {_of_clash(clash)}" for clash in planned.clashes]
    remedy = _('Choose for all of them with "--keep page" or "--keep copy", or change one of the files.')
    return [*lines, f"  {remedy}"]


def _of_clash(clash: Clash) -> str:
    page, copy = (_shown(value) for value in (clash.theirs, clash.mine))
    return _("{where}: {page} in the page, {copy} in the copy", where=clash.where, page=page, copy=copy)


def _shown(value: object) -> str:
    """A value in full, as TOML has it."""
    return _("nothing") if value is None else toml_format.value(value)
