"""The documents are true: their commands run and print what stands there, their Python runs, and their tables have a
row for each command, option, measure, setting and key, and no other row.

`python -m tests.test_documents` writes what the commands print now into README.md and the manual.
"""

from __future__ import annotations

import json
import re
import shlex
import tomllib
import typing
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import click
import msgspec
import pytest
from click.testing import CliRunner

from journal import Journal
from journal.cli import duskbook
from journal.commands import man_page, terminal, usage_errors
from journal.commands.field_options import LOGGED, option_name
from journal.commands.show_catalogue import MEASURES
from journal.entry import (
    Answer,
    Appointment,
    Clock,
    DecisionDates,
    Entry,
    Hours,
    Review,
    Task,
    UndatedTask,
    Weather,
)
from journal.export.audience import Audience
from journal.export.formats import RETROSPECTIVE
from journal.settings import Settings
from tests import api_page, documents
from tests.documents import DEVELOPERS, EVERY, FOR_READERS, MANUAL, PROJECT, README, blocks, section, shown_commands

SET_UP_AND_RUN = (
    "python3 -m venv .venv && .venv/bin/pip install -e . && .venv/bin/duskbook week example_year",
    "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest",
)
LONGEST = 9_000  # bytes of README.md and of DEVELOPERS.md: who meets the project reads them whole
CUT = "..."  # a last line of its own: more follows
PAGE_OF = {path.stem: documents.text(path) for path in MANUAL}
WHOLE_MANUAL = "\n".join(PAGE_OF.values())
RUN = [(path, line, output) for path in FOR_READERS for line, output in shown_commands(documents.text(path))]


def printed(line: str) -> str:
    """What a command prints, run in the project's folder."""
    name, *arguments = shlex.split(line)
    assert name == "duskbook"
    result = CliRunner().invoke(duskbook, arguments, prog_name=name)
    # A checkout of version control is readable by others, depending on where and how it was made.
    told = [line for line in result.stderr.splitlines() if not line.startswith("Note: other users of this machine can")]
    assert (result.exit_code, told) == (0, []), result.output
    return str(result.stdout)


def cut_alike(output: str, like: str) -> str:
    """As many lines as the document shows, where it leaves off before the end."""
    kept = like.splitlines()
    return "\n".join([*output.splitlines()[: len(kept) - 1], CUT]) + "\n" if kept and kept[-1] == CUT else output


@pytest.fixture(autouse=True)
def in_the_project(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(PROJECT)
    monkeypatch.delenv("DUSKBOOK_FOLDER", raising=False)


def test_the_two_commands_stand_there_each_on_one_line() -> None:
    lines = [line for block in blocks("sh", documents.text(README)) for line in block.body.splitlines()]
    for command in SET_UP_AND_RUN:
        assert command in lines


@pytest.mark.parametrize("path", [README, DEVELOPERS], ids=documents.name)
def test_what_is_read_first_is_short(path: Path) -> None:
    assert path.stat().st_size <= LONGEST


# What runs ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("path", "line", "output"), RUN, ids=[f"{path.name}: {line}" for path, line, _ in RUN])
def test_a_command_prints_what_stands_below_it(path: Path, line: str, output: str) -> None:
    assert output, "a console block shows what comes out"
    assert cut_alike(printed(line), output) == output, documents.name(path)


def test_commands_are_shown_in_the_readme_and_the_manual() -> None:
    assert {path.name for path, _, _ in RUN} >= {"README.md", "commands.md", "measures.md", "exports.md", "imports.md"}


@pytest.mark.parametrize("path", FOR_READERS, ids=documents.name)
def test_the_python_runs(path: Path) -> None:
    names: dict[str, object] = {}
    found = blocks("python", documents.text(path))
    assert found or path.stem != "python"
    for block in found:
        exec(compile(block.body, path.name, "exec"), names)


@pytest.mark.parametrize("path", FOR_READERS, ids=documents.name)
def test_the_pages_of_a_journal_that_it_shows_can_be_read(path: Path) -> None:
    found = blocks("toml", documents.text(path))
    assert found or path.stem != "folder"
    for block in found:
        assert tomllib.loads(block.body)


def test_the_problem_that_is_quoted_is_what_check_says(tmp_path: Path) -> None:
    (tmp_path / "2025").mkdir()
    (tmp_path / "journal.toml").write_text(
        'title = "Small"\n[[places]]\nkey = "home"\nname = "Ljubljana"\nlatitude = 46.05\nlongitude = 14.51\n'
        'timezone = "Europe/Ljubljana"\n',
        encoding="utf-8",
    )
    page = "mood = 4\n" + "\n" * 9 + '[hours.actual]\nsleep = ["7ish"]\n'
    (tmp_path / "2025" / "2025-03-04.toml").write_text(page, encoding="utf-8")
    result = CliRunner().invoke(duskbook, ["check", str(tmp_path)])
    assert result.exit_code == 1
    assert f"\n{result.stdout}" in PAGE_OF["folder"]


# Commands and options ----------------------------------------------------------------------------------------


def commands(group: click.Group = duskbook, before: str = "") -> Iterator[tuple[str, click.Command]]:
    """Every command by its name, those of groups among them: "export text"."""
    every = group.every() if isinstance(group, usage_errors.DuskbookCommands) else group.commands
    for name, command in every.items():
        if isinstance(command, click.Group):
            yield from commands(command, f"{before}{name} ")
        else:
            yield before + name, command


def option_cell(option: click.Option, context: click.Context) -> str:
    """The first cell of an option's row: `--mood N`, or `--share`, `--no-share`."""
    value = "" if option.is_flag else f" {option.make_metavar(context)}"
    names = [name for name in (*option.opts, *option.secondary_opts) if name.startswith("--")]
    return ", ".join(f"`{name}{value}`" for name in names)


def described() -> dict[str, list[str]]:
    """The first cells of the options' table below each heading "duskbook evening, week": by command."""
    found: dict[str, list[str]] = {}
    for text in PAGE_OF.values():
        for _, title in documents.headings(text):
            if title.startswith("duskbook "):
                group, _, names = title.removeprefix("duskbook ").rpartition(" ") if "," not in title else ("", "", "")
                every = [f"{group} {names}".strip()] if names else title.removeprefix("duskbook ").split(", ")
                for name in every:
                    assert name not in found, f"{name} is described twice"
                    found[name] = [row[0] for row in documents.table("option", section(title, text))]
    return found


def test_every_command_has_a_section_with_its_options_and_no_others() -> None:
    context = click.Context(duskbook)
    existing = {
        name: [option_cell(one, context) for one in command.params if isinstance(one, click.Option)]
        for name, command in commands()
    }
    # The fields of a day have one row together: their keys stand in folder.md, which has a test of its own.
    of_fields = {option_name(field) for field in LOGGED}
    plain = [cell for cell in existing["log"] if cell.strip("`").split()[0] not in of_fields]
    assert len(plain) == len(existing["log"]) - len(LOGGED)
    existing["log"] = [plain[0], "`--FIELD VALUE`", *plain[1:]]
    assert described() == existing


@pytest.mark.parametrize("page", ["commands", "exports", "imports"])
def test_the_tables_of_commands_have_every_command(page: str) -> None:
    named = [re.findall(r"duskbook (\w+(?: [a-z]+)?)", row[0])[0] for row in documents.table("command", PAGE_OF[page])]
    if page == "commands":
        assert named == list(duskbook.every())
    else:
        group = duskbook.every()[page.removesuffix("s")]
        assert isinstance(group, click.Group)
        assert {name.partition(" ")[2] for name in named} == set(group.commands)


def test_the_readme_names_every_command() -> None:
    cells = " ".join(row[1] for row in documents.table("you want to", documents.text(README)))
    assert set(re.findall(r"`(\w+)`", cells)) == set(duskbook.every())


@pytest.mark.parametrize("path", FOR_READERS, ids=documents.name)
def test_no_command_or_option_is_there_that_does_not_exist(path: Path) -> None:
    known = {option for _, command in commands() for p in command.params for option in (*p.opts, *p.secondary_opts)}
    for line in re.findall(r"duskbook ((?:\w+)[^`\n]*)", documents.text(path)):
        name, *rest = line.split()
        if {"example_year", "FOLDER", "my-journal"} & set(rest):
            assert name in (*duskbook.every(), *duskbook.unlisted), line
            assert {part for part in rest if part.startswith("--")} <= known, line


def test_every_exit_code_is_there() -> None:
    codes = {
        usage_errors.FINE, usage_errors.PROBLEMS, usage_errors.WRONG_USAGE, usage_errors.FAULT,
        usage_errors.INTERRUPTED, terminal.UNREAD,
    }  # fmt: skip
    assert [int(row[0]) for row in documents.table("code", PAGE_OF["commands"])] == sorted(codes)


def test_every_format_and_reader_of_a_retrospective_is_there() -> None:
    exports = PAGE_OF["exports"]
    assert [row[0] for row in documents.table("format", exports)] == [f"`{key}`" for key in RETROSPECTIVE]
    assert [row[0] for row in documents.table("reader", exports)] == [f"`{key}`" for key in get_args(Audience)]


# Measures and keys -------------------------------------------------------------------------------------------


def measure_rows() -> str:
    """The rows of the manual's table of measures."""
    rows = []
    for name, measure in MEASURES.items():
        keys = ", ".join(measure.keys)
        by_day = f"; by day also {', '.join(measure.by_day_keys)}" if measure.by_day_keys else ""
        by_day += f"; by any other {', '.join(measure.summed_keys)}" if measure.summed_keys else ""
        rows.append(f"| `{name}` | {measure.row} | {', '.join(measure.by) or '-'} | {keys}{by_day} |")
    return "\n".join(rows) + "\n"


MEASURES_HEAD = "| MEASURE | a row is | by | keys |\n|---|---|---|---|\n"


def test_every_measure_is_there_with_its_periods_and_keys_and_no_other() -> None:
    assert f"{MEASURES_HEAD}{measure_rows()}\n" in PAGE_OF["measures"]


def test_every_attribute_of_an_opened_journal_is_there_and_no_other() -> None:
    named = [row[0] for row in documents.table("attribute", PAGE_OF["python"])]
    assert named == [f"`{field}`" for field in Journal.__struct_fields__]


# Settings and keys of pages ----------------------------------------------------------------------------------


def value_cell(value: object) -> str:
    """A default as the manual has it: as TOML, or in a word."""
    if value is msgspec.NODEFAULT:
        return "required"
    if value in (None, "", ()):
        return "none"
    return f"`{toml(value)}`"


def toml(value: object) -> str:
    if isinstance(value, tuple):
        return f"[{', '.join(map(toml, value))}]"
    if isinstance(value, Clock):
        return f'"{value.minute // 60:02d}:{value.minute % 60:02d}"'
    return f"{value:g}" if isinstance(value, float) else json.dumps(value, default=str)


def keys_of(kind: type[msgspec.Struct], example: msgspec.Struct | None = None) -> list[tuple[str, str]]:
    """The keys of a table of a file, with their defaults; of the values of an example where there is one."""
    found = []
    for field in msgspec.structs.fields(kind):
        default: object = field.default if field.default_factory is msgspec.NODEFAULT else field.default_factory()
        found.append((f"`{field.encode_name}`", value_cell(getattr(example, field.name) if example else default)))
    return found


def settings_tables() -> dict[str, list[tuple[str, str]]]:
    """What the manual has to say of journal.toml: keys and defaults, by the title of their section."""
    top: list[tuple[str, str]] = []
    found = {"Settings": top}
    types = typing.get_type_hints(Settings)
    for field in msgspec.structs.fields(Settings):
        kind: Any = types[field.name]
        inner = get_args(kind)[0] if typing.get_origin(kind) is tuple else None
        if isinstance(kind, type) and issubclass(kind, msgspec.Struct):
            found[f"`[{field.encode_name}]`"] = keys_of(kind, field.default)
        elif isinstance(inner, type) and issubclass(inner, msgspec.Struct):
            found[f"`[[{field.encode_name}]]`"] = keys_of(inner)
        elif typing.get_origin(kind) is not dict:
            top.append((f"`{field.encode_name}`", value_cell(field.default)))
    return found


@pytest.mark.parametrize("title", settings_tables())
def test_every_setting_is_there_with_its_default_and_no_other(title: str) -> None:
    settings = PAGE_OF["folder"][PAGE_OF["folder"].index("\n## Settings\n") :]
    rows = documents.table("key", section(title, settings))
    assert sorted((row[0], row[1]) for row in rows) == sorted(settings_tables()[title])
    assert all(len(row) == 3 and row[2] for row in rows), "each with a word on what it does"


def test_no_section_describes_a_setting_that_does_not_exist() -> None:
    titles = {title for _, title in documents.headings(section("Settings", PAGE_OF["folder"]))}
    assert titles == {title for title in settings_tables() if title != "Settings"} | {"`[hours]`"}


@pytest.mark.parametrize(
    ("title", "kind"),
    [
        ("A day", Entry),
        ("`[weather]`", Weather),
        ("`[hours]`", Hours),
        ("`[[appointments]]`", Appointment),
        ("`[[tasks]]`", Task),
        ("A week, a month, a year", Review),
        ("`[[reflection]]`", Answer),
        ("`[decision_dates]`", DecisionDates),
        ("Undated tasks", UndatedTask),
    ],
)
def test_every_key_of_a_page_is_there_and_no_other(title: str, kind: type[msgspec.Struct]) -> None:
    pages = PAGE_OF["folder"].partition("\n## Settings\n")[0]
    named = [row[0] for row in documents.table("key", section(title, pages))]
    assert sorted(named) == sorted(key for key, _ in keys_of(kind))


# Links -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", EVERY, ids=documents.name)
def test_links_and_pictures_lead_somewhere(path: Path) -> None:
    for words, target in documents.links(documents.text(path)):
        if target.startswith("https://"):
            continue
        file, _, place = target.partition("#")
        there = (path.parent / file).resolve() if file else path
        assert there.exists(), target
        if place:
            assert place in {documents.slug(title) for _, title in documents.headings(documents.text(there))}, target
        if target.endswith(".png"):
            assert len(words) > 40, "a picture says in words what it shows"


@pytest.mark.parametrize("path", EVERY, ids=documents.name)
def test_a_heading_comes_once(path: Path) -> None:
    found = [documents.slug(title) for level, title in documents.headings(documents.text(path)) if level <= 2]
    assert len(found) == len(set(found))


def renewed(text: str) -> str:
    """A document with what its commands print now."""
    for line, output in shown_commands(text):
        text = text.replace(f"$ {line}\n{output}", f"$ {line}\n{cut_alike(printed(line), output)}")
    before, head, after = text.partition(MEASURES_HEAD)
    return before + head + measure_rows() + after[after.index("\n\n") + 1 :] if head else text


if __name__ == "__main__":
    for document in FOR_READERS:
        document.write_text(renewed(documents.text(document)), encoding="utf-8")
    api_page.FILE.write_text(api_page.page(), encoding="utf-8")
    man_page.FILE.write_text(man_page.page(duskbook), encoding="utf-8")
