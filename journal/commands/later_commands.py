"""The commands whose modules are imported when they are called, so that `duskbook --help` answers at once."""

from __future__ import annotations

LATER = {
    "try": ("journal.commands.try_command", "try_out"),
    "history": ("journal.commands.history_command", "history"),
    "trial": ("journal.commands.trial_group", "trial"),
    "merge": ("journal.commands.merge_command", "merge"),
    "backup": ("journal.commands.backup_command", "backup"),
    "restore": ("journal.commands.backup_command", "restore"),
    "export": ("journal.commands.export_group", "export"),
    "import": ("journal.commands.import_group", "bring"),
    "read": ("journal.commands.read_command", "read"),
    "upgrade": ("journal.commands.upgrade_command", "upgrade"),
    "menu": ("journal.commands.menu_command", "menu"),
    "schema": ("journal.commands.schema_command", "schema"),
}
"""The module and the function of each, by the word that calls it, in the order of the help."""

UNLISTED = ("upgrade",)
"""The commands that the help leaves out: no journal needs them yet."""
