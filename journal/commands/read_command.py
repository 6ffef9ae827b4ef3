"""The command `duskbook read`: its arguments and options. The work is in `read_sheets`."""

from __future__ import annotations

from pathlib import Path

import click

from journal.commands import command_help
from journal.commands.arguments import ChoiceParam, journal_folder
from journal.commands.path_arguments import Source
from journal.errors import UsageError
from journal.language.catalogue import N_, _


@command_help.command("read")
@click.argument("photos", nargs=-1, required=True, type=Source(N_("april.jpg")), metavar="PHOTO... [FOLDER]")
@click.option("--yes", is_flag=True, help="Write without asking. What is not clear is left out.")
@click.option("--dry-run", is_flag=True, help="Print what was read, and write nothing.")
@click.option("--keep-lines", is_flag=True, help="Keep what is written by hand as a picture of its day.")
@click.option(
    "--format", "form", type=ChoiceParam("format", ("table", "json")), default="table",
    help="table or json.  [default: table]",
)  # fmt: skip
def read(*, photos: tuple[Path, ...], yes: bool, dry_run: bool, form: str, keep_lines: bool) -> int:
    """Read sheets of "duskbook export pages" that were filled in by hand, from photographs or scans.

    PHOTO is a JPEG, a PNG, or a scan as PDF; there may be several. Prints what was read, asks about what is not clear,
    and writes only after a yes. A page keeps what it has.

    The exit code is 1 if a picture could not be read or something was left out, and 2 if no sheet was read at all.

    \b
    duskbook read april.jpg my-journal
    duskbook read april.jpg may.jpg my-journal --dry-run
    """
    from journal.commands import read_sheets

    *pictures, last = photos
    example = _("april.jpg")
    if last.is_dir():
        folder = journal_folder(str(last), f"read {example}")
    else:
        pictures, folder = [*pictures, last], journal_folder(None, f"read {example}")
    if not pictures:
        text = _('"{folder}" is a folder, and no picture is named; write e.g. "duskbook read april.jpg {folder}"')
        raise UsageError(text.format(folder=last))
    return read_sheets.read(folder, pictures, yes=yes, dry_run=dry_run, form=form, keep_lines=keep_lines)
