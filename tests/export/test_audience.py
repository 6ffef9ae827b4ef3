"""What each reader may see of the example year: the removed data, and that no other number changes."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import get_args

import msgspec
import polars as pl
import pytest
from polars.testing import assert_frame_equal

import journal
from journal import Journal
from journal.entry import Undated
from journal.errors import UsageError
from journal.export.audience import Audience, seen_by
from journal.measures import completion, findings, hours, mood, states, tasks
from journal.periods import parse
from journal.settings import Settings
from journal.sun import rise_set
from journal.tables import build, record

TODAY = dt.date(2025, 12, 31)
READERS: tuple[Audience, ...] = get_args(Audience)


@pytest.fixture(scope="module")
def book() -> Journal:
    return journal.open("example_year", today=TODAY, cache=False)


@pytest.fixture(scope="module")
def seen(book: Journal) -> dict[Audience, Journal]:
    return {reader: seen_by(book, reader) for reader in READERS}


def whole(book: Journal) -> str:
    """A whole journal as one text. Text is compared, since NaN equals nothing."""
    parts = {name: getattr(book.tables, name) for name in book.tables.__struct_fields__}
    tables = {
        name: part.write_ndjson() if isinstance(part, pl.DataFrame) else str(part) for name, part in parts.items()
    }
    return repr((book.folder, book.settings, book.today, tables, book.undated, book.problems))


FOLLOWS = ("lived", "states", "occasions", "sleeps", "nights", "regularity_pairs")


def facts_of(journal: Journal) -> list[pl.DataFrame]:
    """All frames of the facts."""
    facts = journal.facts
    names = "states dependence every_occasion occasions days nights pairs hours tasks lives"
    return [getattr(facts, name) for name in names.split()]


@pytest.mark.parametrize("reader", ["friend", "anyone"])
def test_computed_frames_come_from_the_reduced_tables(book: Journal, reader: Audience) -> None:
    """Frames that were computed for the owner before are not passed on."""
    for name in (*FOLLOWS, "facts"):
        getattr(book, name)
    cut = seen_by(book, reader)
    assert vars(cut) == {}
    anew = Journal(Path(), cut.settings, cut.today, cut.tables, Undated(), ())
    for name in FOLLOWS:
        assert_frame_equal(getattr(cut, name), getattr(anew, name))
    told = [getattr(cut, name) for name in FOLLOWS] + facts_of(cut)
    said = "\n".join(frame.write_ndjson() for frame in told)
    titles = {title for title in book.tables.tasks.get_column("title") if title}
    places = {place for place in book.tables.days.get_column("place") if place}
    assert len(titles) > 50 and len(places) > 0
    gone = titles | places | set(book.settings.zones.values())
    if reader == "anyone":
        gone |= {f'"{key}"' for key in book.settings.habit_keys}
        gone |= {f'"{c.key}"' for c in book.settings.categories if c.key != "sleep" and not c.work}
    assert {word for word in gone if word in said} == set()
    mine = "\n".join(f.write_ndjson() for f in facts_of(book)) + book.sleeps.write_ndjson()
    assert {word for word in gone if word in mine} == gone, "each of these can be seen where it was not cut"


def test_the_owner_sees_everything(book: Journal, seen: dict[Audience, Journal]) -> None:
    assert seen["me"] is book


@pytest.mark.parametrize("reader", READERS)
def test_reducing_twice_for_a_reader_changes_nothing(reader: Audience, seen: dict[Audience, Journal]) -> None:
    assert whole(seen_by(seen[reader], reader)) == whole(seen[reader])


def test_reducing_for_a_friend_first_changes_nothing_for_anyone(seen: dict[Audience, Journal]) -> None:
    assert whole(seen_by(seen["friend"], "anyone")) == whole(seen["anyone"])


@pytest.mark.parametrize("reader", ["friend", "anyone"])
def test_no_number_changes(reader: Audience, book: Journal, seen: dict[Audience, Journal]) -> None:
    other = seen[reader]
    assert_frame_equal(other.nights, book.nights)
    lives, theirs = (tasks.lives(one.tables.tasks, today=TODAY) for one in (book, other))
    assert_frame_equal(theirs.drop("title", "id"), lives.drop("title", "id"))
    assert_frame_equal(tasks.waiting(theirs), tasks.waiting(lives))
    scale = book.settings.mood
    moods = [
        mood.summary(one.tables.days, by="month", low=scale.low, high=scale.high, week_starts="monday")
        for one in (book, other)
    ]
    assert_frame_equal(*moods)
    rates = [
        completion.rates(
            states.occasions(states.states(one.marks, today=TODAY), today=TODAY, week_starts="monday"),
            week_starts="monday",
        ).drop("habit")
        for one in (book, other)
    ]
    assert_frame_equal(*rates)
    spent = [
        hours.totals(one.tables.hours, week_starts="monday").sort(pl.all().exclude("category")).drop("category")
        for one in (book, other)
    ]
    assert_frame_equal(*spent)


def test_findings_are_the_same_under_other_names(book: Journal, seen: dict[Audience, Journal]) -> None:
    pages = [parse("2025", week_starts="monday"), parse("2025-11", week_starts="monday")]
    mine, friends, anyones = (findings.findings(one.facts, pages) for one in seen.values())
    assert_frame_equal(friends, mine)
    assert anyones.get_column("n").to_list() == mine.get_column("n").to_list()
    names = [habit.name for habit in book.settings.habits]
    assert not [text for text in anyones.get_column("text") if any(name in text for name in names)]


@pytest.mark.parametrize("reader", ["friend", "anyone"])
def test_no_place_is_left(reader: Audience, seen: dict[Audience, Journal]) -> None:
    other = seen[reader]
    days = other.tables.days
    assert days.select("place", "sky", "high", "low").null_count().row(0) == (days.height,) * 4
    assert rise_set.for_journal(days, other.settings, TODAY, TODAY).is_empty()
    (place,) = other.settings.places
    assert (place.key, place.name) == ("home", "Home")
    # Clock changes of 2025 in the European Union: Directive 2000/84/EC, last Sundays of March and October at 1:00 UTC.
    assert place.timezone == (
        "changes 2025-03-30T02:00:00+03600 2025-10-26T03:00:00-03600"
        # The evenings before and at the end of five days in another time zone have nights on record.
        " journey:2025-09-23-03600 journey:2025-09-29+03600"
    )


def test_a_friend_reads_only_the_shared_memories(book: Journal, seen: dict[Audience, Journal]) -> None:
    tables = seen["friend"].tables
    shared = book.tables.lines.filter("shared").get_column("text").to_list()
    assert tables.lines.get_column("text").to_list() == shared
    assert tables.lines.get_column("kind").unique().to_list() in ([], ["memory"])
    assert tables.appointments.is_empty() and tables.reflections.is_empty() and tables.decisions.is_empty()
    assert set(tables.tasks.get_column("title")) == {""}


def test_anyone_sees_letters_and_two_roles_as_names(seen: dict[Audience, Journal]) -> None:
    settings = seen["anyone"].settings
    assert settings.title == "Journal"
    assert [(key, settings.habit_name(key)) for key in settings.habit_keys][:2] == [
        ("habit-a", "Habit A"),
        ("habit-b", "Habit B"),
    ]
    assert {habit.unit for habit in settings.habits} == {""}
    assert settings.mood.words == settings.energy.words == ()
    names = [category.name for category in settings.categories]
    assert names[:4] == ["Sleep", "Category A", "Work", "Category B"]
    assert set(seen["anyone"].tables.hours.get_column("category")) <= {category.key for category in settings.categories}
    assert set(seen["anyone"].tables.marks.get_column("habit")) <= set(settings.habit_keys)
    assert seen["anyone"].tables.lines.is_empty()


def test_colours_and_order_stay(book: Journal, seen: dict[Audience, Journal]) -> None:
    pairs = zip(book.settings.categories, seen["anyone"].settings.categories, strict=True)
    assert all(
        book.settings.colour(one.key) == seen["anyone"].settings.colour(other.key) and one.work == other.work
        for one, other in pairs
    )


def test_a_named_habit_keeps_its_name_and_the_letters_of_the_others_stay(
    book: Journal, seen: dict[Audience, Journal]
) -> None:
    key = book.settings.habit_keys[1]
    settings = seen_by(book, "anyone", named=[key]).settings
    expected = list(seen["anyone"].settings.habit_keys)
    expected[1] = key
    assert list(settings.habit_keys) == expected
    assert settings.habit_name(key) == book.settings.habit_name(key)


def test_a_named_habit_called_like_a_letter_keeps_it_alone(book: Journal) -> None:
    first, second, *rest = book.settings.habits
    sly = msgspec.structs.replace(first, key="habit-b", name="Habit C")
    odd = msgspec.structs.replace(book.settings, habits=(sly, second, *rest))
    marks = book.tables.marks.with_columns(pl.col("habit").replace({first.key: "habit-b"}))
    other = msgspec.structs.replace(book, settings=odd, tables=msgspec.structs.replace(book.tables, marks=marks))
    seen = seen_by(other, "anyone", named=["habit-b"])
    keys = seen.settings.habit_keys
    assert len(set(keys)) == len(keys)
    assert keys[:3] == ("habit-b", "habit-d", "habit-e")
    assert whole(seen_by(seen, "anyone", named=["habit-b"])) == whole(seen)


def test_a_habit_and_a_category_may_share_a_key(book: Journal) -> None:
    sleep_key = book.settings.asleep
    first, *rest = book.settings.habits
    same = msgspec.structs.replace(first, key="workshop")
    odd = msgspec.structs.replace(book, settings=msgspec.structs.replace(book.settings, habits=(same, *rest)))
    seen = seen_by(odd, "anyone", named=["workshop"])
    assert "workshop" in seen.settings.habit_keys
    assert "workshop" not in {category.key for category in seen.settings.categories}
    assert sleep_key == "sleep"


@pytest.mark.parametrize("reader", READERS)
def test_an_unknown_name_is_rejected(reader: Audience, book: Journal) -> None:
    with pytest.raises(UsageError, match=r'there is no habit "wlak" to name; write "walk"'):
        seen_by(book, reader, named=["wlak"])


def test_an_empty_journal_can_be_reduced() -> None:
    day = dt.date(2024, 2, 29)
    settings = Settings(title="Empty", places=(), categories=())
    empty = Journal(Path("mine"), settings, day, build(record([]), settings, day), Undated(), ())
    for reader in READERS:
        assert seen_by(empty, reader).tables.days.height == empty.tables.days.height
