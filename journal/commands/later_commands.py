"""The commands whose modules are imported when they are called, so that `duskbook --help` answers at once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple


class LaterCommand(NamedTuple):
    """Where a command is, and its help in the list of commands, which is shown without importing it."""

    module: str
    name: str
    short_help: str


LATER: Mapping[str, LaterCommand] = {
    word: LaterCommand(f"journal.commands.{module}", name, short_help)
    for word, module, name, short_help in (
        ("try", "try_command", "try_out", "Look around in an invented year."),
        ("history", "history_command", "history", "List the earlier states of a page, and bring one back."),
        ("trial", "trial_group", "trial", "Settle by lot what a habit does."),
        ("merge", "merge_command", "merge", "Merge copies of pages into their pages."),
        ("backup", "backup_command", "backup", "Write the whole journal to one file."),
        ("restore", "backup_command", "restore", "Make a journal from a backup."),
        ("export", "export_group", "export", "Make a book, sheets, text, tables or a calendar."),
        ("import", "import_group", "bring", "Bring in a table of days, or a calendar."),
        ("read", "read_command", "read", "Read filled sheets from photographs or scans."),
        ("upgrade", "upgrade_command", "upgrade", "Bring a journal to this format."),
        ("menu", "menu_command", "menu", "Put the journal into the desktop's menu."),
        ("schema", "schema_command", "schema", "Write JSON Schemas of the files, for editors."),
    )
}
"""The commands by the word that calls each, in the order of the help."""

UNLISTED = ("upgrade",)
"""The commands that the help leaves out: no journal needs them yet."""
