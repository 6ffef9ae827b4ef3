"""The manual page for `man duskbook`: that of the commands, and right for the programs that print it."""

from __future__ import annotations

import shutil
import subprocess

import click
import pytest

from journal.cli import duskbook
from journal.commands import man_page


def test_the_manual_page_is_that_of_the_commands() -> None:
    """If it is not, `python -m tests.test_documents` writes it."""
    assert man_page.FILE.read_text(encoding="utf-8") == man_page.page(duskbook)
    text = man_page.FILE.read_text(encoding="utf-8").replace(r"\-", "-")
    for name, command in man_page.each(duskbook):
        assert f'.SS "duskbook {name} ' in text
        for option in (one for one in command.params if isinstance(one, click.Option)):
            assert option.opts[0] in text


@pytest.mark.parametrize(
    "command", [("mandoc", "-Tlint", "-Wstyle"), ("groff", "-ww", "-man", "-Tutf8")], ids=lambda command: command[0]
)
def test_the_manual_page_is_right_for_who_reads_it(command: tuple[str, ...]) -> None:
    if shutil.which(command[0]) is None:
        pytest.skip(f"{command[0]} is not installed")
    run = subprocess.run([*command, str(man_page.FILE)], capture_output=True, text=True, check=False)
    assert (run.returncode, run.stderr) == (0, "")
    assert command[0] == "groff" or run.stdout == ""
