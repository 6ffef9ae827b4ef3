"""README.md is true: its commands run and print what stands there, its Python runs, and no command or key is missing.

`python -m tests.test_readme` writes what they print now into README.md.
"""

from __future__ import annotations

import re
import shlex
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import click
import pytest
from click.testing import CliRunner

from journal.cli import duskbook
from journal.commands.show_catalogue import MEASURES

PROJECT = Path(__file__).parents[1]
README = PROJECT / "README.md"
TEXT = README.read_text(encoding="utf-8")

SET_UP_AND_RUN = (
    "python3 -m venv .venv && .venv/bin/pip install -e . && .venv/bin/duskbook week example_year",
    "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest",
)
CUT = "..."  # a last line of its own: more follows


class Block(NamedTuple):
    """A fenced block: what the fence says it is, and what it holds."""

    language: str
    body: str


def blocks(language: str, text: str = TEXT) -> list[Block]:
    fences = re.findall(r"^```(\w*)\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    return [Block(*fence) for fence in fences if fence[0] == language]


def shown_commands(text: str = TEXT) -> Iterator[tuple[str, str]]:
    """Each command of a console block, with what stands below it."""
    for block in blocks("console", text):
        for part in re.split(r"^\$ ", block.body, flags=re.MULTILINE)[1:]:
            line, _, output = part.partition("\n")
            yield line, output


def printed(line: str) -> str:
    """What a command prints, run in the project's folder."""
    name, *arguments = shlex.split(line)
    assert name == "duskbook"
    result = CliRunner().invoke(duskbook, arguments, prog_name=name)
    assert (result.exit_code, result.stderr) == (0, ""), result.output
    return str(result.stdout)


def cut_alike(output: str, like: str) -> str:
    """As many lines as README shows, where it leaves off before the end."""
    kept = like.splitlines()
    return "\n".join([*output.splitlines()[: len(kept) - 1], CUT]) + "\n" if kept and kept[-1] == CUT else output


def measure_rows() -> str:
    """The rows of README's table of measures."""
    rows = []
    for name, measure in MEASURES.items():
        keys = ", ".join(measure.keys)
        by_day = f"; by day also {', '.join(measure.by_day_keys)}" if measure.by_day_keys else ""
        by_day += f"; by any other {', '.join(measure.summed_keys)}" if measure.summed_keys else ""
        rows.append(f"| `{name}` | {measure.row} | {', '.join(measure.by) or '-'} | {keys}{by_day} |")
    return "\n".join(rows) + "\n"


@pytest.fixture(autouse=True)
def in_the_project(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(PROJECT)
    monkeypatch.delenv("DUSKBOOK_FOLDER", raising=False)


def test_the_two_commands_stand_there_each_on_one_line() -> None:
    lines = [line for block in blocks("sh") for line in block.body.splitlines()]
    for command in SET_UP_AND_RUN:
        assert command in lines


@pytest.mark.parametrize(("line", "output"), list(shown_commands()))
def test_a_command_prints_what_stands_below_it(line: str, output: str) -> None:
    assert output, "a console block shows what comes out"
    assert cut_alike(printed(line), output) == output


def test_the_python_runs() -> None:
    names: dict[str, object] = {}
    found = blocks("python")
    assert found
    for block in found:
        exec(compile(block.body, "README.md", "exec"), names)


def commands(group: click.Group = duskbook, before: str = "") -> Iterator[tuple[str, click.Command]]:
    """Every command by its name, those of groups among them: "export text"."""
    for name, command in group.commands.items():
        yield before + name, command
        if isinstance(command, click.Group):
            yield from commands(command, f"{before}{name} ")


def test_every_command_and_option_is_there() -> None:
    context = click.Context(duskbook)
    for name, command in commands():
        assert f"`duskbook {name} " in TEXT
        for parameter in command.get_params(context):
            for option in parameter.opts:
                if option.startswith("--") and option != "--help":
                    assert option in TEXT, f"{name} {option}"


def test_no_command_or_option_is_there_that_does_not_exist() -> None:
    known = {option for _, command in commands() for p in command.params for option in p.opts}
    for line in re.findall(r"duskbook ((?:\w+)[^`\n]*)", TEXT):
        name, *rest = line.split()
        if "example_year" in rest or "FOLDER" in rest:
            assert name in duskbook.commands, line
            assert {part for part in rest if part.startswith("--")} <= known, line


def test_every_measure_is_there_with_its_periods_and_keys() -> None:
    assert measure_rows() in TEXT


def test_its_pages_can_be_read() -> None:
    for block in blocks("toml"):
        assert tomllib.loads(block.body)


def test_the_problem_it_quotes_is_what_check_says(tmp_path: Path) -> None:
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
    assert f"\n{result.stdout}" in TEXT


def test_its_links_and_pictures_lead_somewhere() -> None:
    for text, target in re.findall(r"\[([^\]]*)\]\(([^)]+)\)", TEXT):
        if not target.startswith("https://"):
            assert (PROJECT / target).exists(), target
        if target.endswith(".png"):
            assert len(text) > 40, "a picture says in words what it shows"


def renewed(text: str) -> str:
    """README.md with what its commands print now."""
    for line, output in shown_commands(text):
        text = text.replace(f"$ {line}\n{output}", f"$ {line}\n{cut_alike(printed(line), output)}")
    head = "| MEASURE | a row is | by | keys |\n|---|---|---|---|\n"
    before, table, after = text.partition(head)
    return before + table + measure_rows() + after[after.index("\n\n") + 1 :]


if __name__ == "__main__":
    README.write_text(renewed(TEXT), encoding="utf-8")
