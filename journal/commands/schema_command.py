"""The command `schema`: what an editor needs to complete and check the files of a journal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from journal.commands import command_help, terminal
from journal.commands.arguments import ChoiceParam, journal_argument, journal_folder
from journal.commands.path_arguments import PathParam
from journal.schemas import page_schemas

if TYPE_CHECKING:
    from journal.commands.export_place import ExportPlace


@command_help.command()
@journal_argument
@click.option(
    "--page",
    "name",
    type=ChoiceParam("page", tuple(page_schemas.TITLES)),
    help="day, week, month, year, undated or journal.  [default: day; with --to, all]",
)
@click.option("--to", "place", type=PathParam(), metavar="PATH", help="The file or folder to write.")
def schema(folder: str | None, name: str | None, place: ExportPlace | None) -> None:
    """Print the JSON Schema (draft 2020-12) of a kind of page, or write those of all to a folder.

    An editor that knows JSON Schema completes the keys of a TOML file with it, says what each is for, and marks what is
    wrong. With FOLDER, only the habits, challenges, categories and places of that journal are right.

    \b
    duskbook schema --to my-journal/.schema
    duskbook schema my-journal --page day
    """
    from journal.folder import reading

    own = None if folder is None else reading.read_settings(journal_folder(folder, "schema"))
    if place is None:
        text = page_schemas.text(page_schemas.schemas(own)[name or "day"])
        terminal.print_data(terminal.json_escaped(text.rstrip("\n")))
        return
    from journal.commands import export_place
    from journal.commands.export_group import print_files

    files = page_schemas.files(own)
    chosen = {page_schemas.file_name(name)} if name else set(files)
    print_files(export_place.put_all(place, "", {file: data for file, data in files.items() if file in chosen}))
