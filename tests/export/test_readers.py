"""The files of `duskbook export retrospective` for a friend and for anyone, searched for every word they may not see:
the bytes of the files, all that is packed in them, their names, and what is printed meanwhile.

A picture is searched as the document that it is drawn from, which has all of its text, and as a file for what is
written beside the pixels.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from functools import cache
from typing import get_args

import pytest

import journal
from journal import Journal
from journal.commands import retrospective
from journal.commands.export_place import ExportPlace
from journal.export.audience import Audience, seen_by
from journal.export.year_document import contents
from tests.export.leaking import Secret, found, leaks
from tests.export.planted import READERS, TODAY, YEAR, planted

Garden = tuple[Journal, dict[str, Secret]]
Seen = Callable[[str, Audience], frozenset[str]]


@pytest.fixture(scope="module")
def garden(tmp_path_factory: pytest.TempPathFactory) -> Garden:
    folder, secrets = planted(tmp_path_factory.mktemp("planted"))
    return journal.open(folder, today=TODAY, cache=False), secrets


@pytest.fixture(scope="module")
def seen(garden: Garden, tmp_path_factory: pytest.TempPathFactory) -> Seen:
    """The words in the files of an export and their names. Each export is made and searched once."""
    book, secrets = garden

    @cache
    def words(form: str, reader: Audience) -> frozenset[str]:
        folder = tmp_path_factory.mktemp("out")
        place = ExportPlace(folder / "pictures" if form == "png" else folder, True)
        made = retrospective.make(book, year=YEAR, form=form, reader=reader, named=(), paper=None, place=place)
        assert made
        parts = [part for one in made for part in (one.path.name.encode(), one.path.read_bytes())]
        return frozenset(word for part in parts for word in found(part, secrets))

    return words


def fields(words: Collection[str], secrets: Mapping[str, Secret]) -> set[str]:
    return {secrets[word].field for word in words}


# Pictures take longest to make, and have no text for either reader.
@pytest.mark.parametrize(
    ("form", "reader"),
    [("html", "friend"), ("html", "anyone"), ("pdf", "friend"), ("pdf", "anyone"), ("png", "anyone")],
)
def test_no_private_word_is_in_the_files(form: str, reader: Audience, seen: Seen, garden: Garden) -> None:
    secrets = garden[1]
    assert fields([word for word in seen(form, reader) if reader not in secrets[word].readers], secrets) == set()


@pytest.mark.parametrize("reader", ["friend", "anyone"])
def test_no_private_word_is_in_the_input_of_the_templates(reader: Audience, garden: Garden) -> None:
    book, secrets = garden
    assert leaks(repr(contents(seen_by(book, reader), YEAR)).encode(), secrets, reader) == []


@pytest.mark.parametrize("form", ["html", "pdf"])
def test_permitted_words_are_there(form: str, seen: Seen, garden: Garden) -> None:
    """Otherwise the search above could pass on empty or unreadable files."""
    mine, friends, anyones = (fields(seen(form, reader), garden[1]) for reader in get_args(Audience))
    assert {"Entry.gratitude[]", "Entry.memory", "Review.reflection[].answer", "Settings.title"} <= mine
    told = {"Entry.memory, shared", "Settings.habits[].name", "Settings.categories[].name", "Settings.title"}
    assert told <= friends <= {field for field, readers in READERS.items() if "friend" in readers}
    assert anyones == set()


def test_only_the_named_habit_keeps_its_name(garden: Garden) -> None:
    book, secrets = garden
    first = book.settings.habits[0]
    document = contents(seen_by(book, "anyone", named=(first.key,)), YEAR)
    assert first.name in repr(document)
    assert found(repr(document).encode(), secrets) <= {first.key, first.name}
