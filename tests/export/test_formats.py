"""The list of formats: each has a writer, and the command and the year page have exactly these formats."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from types import MappingProxyType

import click
import pytest
from click.testing import CliRunner

import journal
from journal import Journal, periods
from journal.cli import duskbook
from journal.commands.export_group import retrospective
from journal.export import formats
from journal.export.export_cache import Asked, Edition
from journal.export.formats import FORMATS, OWNER, RETROSPECTIVE, ExportFormat, ExportOutput
from journal.pages.book_widget import YearBook
from tests.test_style import PROJECT


@pytest.fixture(scope="module")
def example() -> Journal:
    return journal.open(PROJECT / "example_year", today=periods.year(2025).last, cache=False)


@pytest.mark.parametrize("key", [key for key, one in FORMATS.items() if one.writer])
def test_a_writer_is_a_function_of_its_module(key: str) -> None:
    module, _, function = FORMATS[key].writer.rpartition(".")
    assert callable(getattr(import_module(f"journal.export.{module}"), function))


def test_only_formats_with_a_preview_have_no_writer() -> None:
    assert [key for key, one in FORMATS.items() if not one.writer] == ["sheets"]
    assert {one.preview for one in FORMATS.values()} == {None, "book", "sheets"}


def test_formats_and_titles_are_unique() -> None:
    assert not RETROSPECTIVE.keys() & OWNER.keys()
    assert len({one.title for one in FORMATS.values()}) == len(FORMATS) == len(RETROSPECTIVE) + len(OWNER)


def test_a_file_name_has_the_reader_except_for_the_owner() -> None:
    names = [FORMATS["pdf"].file_name(2025, reader) for reader in ("me", "friend", "anyone")]
    assert names == [f"retrospective-2025{of}.pdf" for of in ("", "-for-friend", "-for-anyone")]
    assert FORMATS["calendar"].file_name(2025) == "calendar-2025.ics"


def test_the_command_takes_the_formats_of_the_list() -> None:
    (option,) = [one for one in retrospective.params if one.name == "form"]
    assert isinstance(option, click.Option)
    assert option.help == (
        "html, one file for any browser; pdf, a book; png, the year and each month as pictures.  [default: html]"
    )
    said = CliRunner().invoke(duskbook, ["export", "retrospective", "--format", "zip"]).output
    assert 'there is no format "zip"; write html, pdf or png' in said


def test_the_page_accepts_only_formats_of_the_list(example: Journal) -> None:
    offered = [one["kind"] for one in YearBook(example, periods.year(2025)).offer["files"]]
    assert offered == list(FORMATS)
    with pytest.raises(ValueError, match='there is no format "exe"'):
        Asked(year=2025, kind="exe")


@pytest.mark.parametrize("data", [b"words", {"one.md": b"1", "two.md": b"2"}, {}], ids=["file", "folder", "nothing"])
def test_one_file_stays_several_become_a_zip_and_none_is_none(
    example: Journal, monkeypatch: pytest.MonkeyPatch, data: bytes | Mapping[str, bytes]
) -> None:
    media = "text/plain" if isinstance(data, bytes) else formats.ZIP
    new = ExportFormat("New", "New.", "new-{year}", writer="text.write", media=media)
    monkeypatch.setattr(ExportFormat, "write", lambda *_: ExportOutput(data))
    monkeypatch.setattr("journal.export.export_cache.FORMATS", MappingProxyType({**FORMATS, "text": new}))
    made = Edition(example).file(Asked(year=2025, kind="text"), lambda doing: None)
    assert (made.name if made else None) == {bytes: "new-2025", dict: "new-2025.zip" if data else None}[type(data)]
