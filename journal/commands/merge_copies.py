"""The work of `duskbook merge`: print what the copies of pages bring, ask, and write only after a yes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from journal.commands import clock
from journal.commands.import_files import is_terminal
from journal.commands.open_journal import mention_settings
from journal.commands.usage_errors import FINE, PROBLEMS, say, suggestion
from journal.errors import UsageError
from journal.folder import copy_merge, differences, discover, toml_format
from journal.folder.copy_merge import CopyMerge, Decide, Side
from journal.folder.opened_files import OpenedFiles
from journal.folder.three_way_merge import Clash
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
        say("There is no copy of a page.")
        return FINE
    decide = copy_merge.keeping(keep) if keep else None
    plans = [copy_merge.plan(files, copy, now=clock.now(), decide=decide) for copy in copies]
    for planned in plans:
        for line in _told(files, planned):
            say(line)
    ready = [planned for planned in plans if planned.after is not None]
    if len(ready) < len(plans):
        say(f"{numbers.plural(len(plans) - len(ready), 'copy', 'copies')} cannot be merged yet, see above.")
    code = PROBLEMS if len(ready) < len(plans) else FINE
    if not ready:
        return code
    if dry_run:
        say("Nothing is written (--dry-run).")
    elif not yes and not is_terminal():
        say("Nothing is written: there is no terminal to ask on. Add --yes to merge.")
    elif not yes and not click.confirm(f"Merge {numbers.plural(len(ready), 'copy', 'copies')}?"):
        say("Nothing is written.")
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
    said = f"{path} is merged into {planned.copy.page}. Its text is kept in the history of the page."
    if merged is not None and merged.stays:
        said = f"{path} is merged into {planned.copy.page}, and still lies beside it: {merged.stays}"
    elif merged is None:
        said = again.problem or f"{path} stays: it or its page was changed just now, or differs from one merged before"
    say(said)
    return merged is not None and not merged.stays


def _paths(only: Sequence[str]) -> set[str]:
    return {path.replace("\\", "/").removeprefix("./") for path in only}


def _refuse_unknown(only: Sequence[str], paths: Sequence[str]) -> None:
    """Raise UsageError for a name that is none of the copies."""
    for path in _paths(only):
        if path not in paths:
            hint = suggestion(path, paths) if paths else "there are none"
            raise UsageError(f'"{path}" is no copy of a page in this journal; {hint}')


def _told(files: OpenedFiles, planned: CopyMerge) -> list[str]:
    """What a copy brings, line by line."""
    copy = planned.copy
    if planned.problem or planned.page is None:
        return [f"{copy.path}: {planned.problem}"]
    known = "no earlier state of both is kept, so what only one of them has stays"
    if planned.since is not None:
        known = f"both come from the state of {planned.since:%Y-%m-%d %H:%M}"
    lines = [f"{copy.path} into {copy.page}; {known}."]
    if planned.after is not None:
        name_of = files.basis.settings.habit_name
        changes = differences.between(copy.key, planned.page.data, planned.after.data, name_of)
        lines += [f"  {change.words}" for change in changes[:MOST_LINES]] or ["  It brings nothing new."]
        lines += [f"  ... and {len(changes) - MOST_LINES:,} more"] if len(changes) > MOST_LINES else []
        return lines
    lines += [f"  {_of_clash(clash)}" for clash in planned.clashes]
    return [*lines, '  Choose for all of them with "--keep page" or "--keep copy", or change one of the files.']


def _of_clash(clash: Clash) -> str:
    page, copy = (_shown(value) for value in (clash.theirs, clash.mine))
    return f"{clash.where}: {page} in the page, {copy} in the copy"


def _shown(value: object) -> str:
    """A value in full, as TOML has it."""
    return "nothing" if value is None else toml_format.value(value)
