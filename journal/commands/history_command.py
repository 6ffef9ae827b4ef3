"""The command `duskbook history`: its arguments and options. The work is in `page_history`."""

from __future__ import annotations

import click

from journal.commands import command_help, shell_completion
from journal.commands.arguments import frame_format, journal_argument
from journal.commands.number_arguments import WholeInRange


@command_help.command("history")
@journal_argument
@click.argument("page", required=False, shell_complete=shell_completion.pages)
@click.option("--show", "shown", type=WholeInRange(1), metavar="N", help="Print the state with this number whole.")
@click.option(
    "--bring-back",
    "wanted",
    type=WholeInRange(1),
    metavar="N",
    help="Write the state with this number as the page.",
)
@click.option("--yes", is_flag=True, help="Bring it back without asking.")
@frame_format
def history(
    *, folder: str | None, page: str | None, shown: int | None, wanted: int | None, yes: bool, form: str
) -> int:
    """List the states of PAGE, the newest first, each with what it changed.

    PAGE is a day, week, month or year (2025-03-14, 2025-W11, 2025-03, 2025), undated or settings. Without PAGE, the
    pages that were changed last are listed. Number 1 is the page as it is now.

    What is brought back replaces the page, which is kept as a state first, so it can be brought back as well.

    \b
    duskbook history my-journal
    duskbook history my-journal 2025-03-14
    duskbook history my-journal 2025-03-14 --show 2
    duskbook history my-journal 2025-03-14 --bring-back 2
    """
    from journal.commands import page_history, terminal

    place, key = page_history.arguments(folder, page)
    if key is None:
        page_history.refuse_without_page(shown, wanted)
        terminal.print_data(page_history.of_journal(place, form))
        return 0
    if shown is not None and wanted is not None:
        page_history.refuse_both()
    if wanted is not None:
        return page_history.bring_back(place, key, wanted, yes=yes)
    terminal.print_data(
        page_history.of_page(place, key, form) if shown is None else page_history.text(place, key, shown)
    )
    return 0
