"""Reading pages: encodings, sizes, nesting and permissions; arbitrary bytes; and typed values after a round trip."""

from __future__ import annotations

import datetime as dt
import tempfile
import tomllib
from pathlib import Path
from typing import Any

import msgspec
import pytest
import rtoml
import tomlkit
from hypothesis import example, given, settings
from hypothesis import strategies as st

import journal
from journal.entry import Answer, Appointment, Clock, Entry, Hours, Review, Span, Task, Weather
from journal.errors import FolderError
from journal.folder import discover, reading, type_errors, typed_values
from tests.folder.journals import DAY, begin, no_permission, put, read, read_day

PAGE = 'mood = 4\nmemory = "Čaj."\n'
ENTRY = Entry(mood=4, memory="Čaj.")
OTHERS: dict[str, str | bytes] = {"2025/2025-03-03.toml": "mood = 3", "2025/2025-03-05.toml": "mood = 5"}


# --- Valid and invalid bytes


@pytest.mark.parametrize(
    "content",
    [
        PAGE.encode(),
        b"\xef\xbb\xbf" + PAGE.encode(),
        PAGE.replace("\n", "\r\n").encode(),
        b"\xef\xbb\xbf" + PAGE.replace("\n", "\r\n").encode(),
        PAGE.rstrip("\n").encode(),
    ],
    ids=["plain", "byte order mark", "CRLF", "both", "no last line end"],
)
def test_text_as_editors_save_it(tmp_path: Path, content: bytes) -> None:
    assert read_day(tmp_path, content) == (ENTRY, [])


def test_an_empty_page_is_a_page(tmp_path: Path) -> None:
    entry, (line,) = read_day(tmp_path, b"")
    assert (entry, line.partition(", got ")[0]) == (Entry(), "expected a page with something on it")
    assert read_day(tmp_path, b"# nothing yet\n") == (Entry(), [])


def test_columns_count_characters_after_a_byte_order_mark_and_in_any_script(tmp_path: Path) -> None:
    assert read_day(tmp_path, b"\xef\xbb\xbfmood = good")[1] == [
        '1:8: expected a value, got "good"; put text in quotes: "good"'
    ]
    assert read_day(tmp_path, 'weather = { sky = "žarek 🌤", high = "x" }')[1] == [
        '1:37: weather.high: expected a number, got "x"; write one without quotes, e.g. 4'
    ]
    assert read_day(tmp_path, 'weather = { sky = "žarek 🌤", high = "x" }\r\nmood = 9\r\n')[1][1].startswith(
        "2:8: mood:"
    )


UTF8 = 'save the file as "UTF-8" in your editor'
DEEP = "expected at most 80 tables and lists within each other, got more; take some out of the others"


@pytest.mark.parametrize(
    ("content", "line"),
    [
        (PAGE.encode("utf-16"), f"expected text in UTF-8, got UTF-16; {UTF8}"),
        (b"\xfe\xff" + PAGE.encode("utf-16-be"), f"expected text in UTF-8, got UTF-16; {UTF8}"),
        (b'mood = 4\nmemory = "caf\xe9"\n', f"2:14: expected text in UTF-8, got the byte 0xE9; {UTF8}"),
        ('memory = "č'.encode() + b'\xff"', f"1:12: expected text in UTF-8, got the byte 0xFF; {UTF8}"),
        (
            b'mood = 4\nmemory = "a\x00b"\n',
            "2:12: expected text, got a NUL byte; take it out, or bring back a copy of the file from before",
        ),
        (
            b"\x00" * 500,
            "1:1: expected text, got a NUL byte; take it out, or bring back a copy of the file from before",
        ),
        (
            PAGE.encode("utf-16-le"),
            "1:2: expected text, got a NUL byte; take it out, or bring back a copy of the file from before",
        ),
        (
            b"#" * 250_001,
            "expected at most 250,000 bytes, got 250,001 bytes, left unread; move the longest texts elsewhere",
        ),
        (b"a = " + b"[" * 5000 + b"]" * 5000, f"1:85: {DEEP}"),
        (b"a = " + b"[" * 5000, f"1:85: {DEEP}"),
        (b"a = " + b"{a = " * 5000 + b"1" + b"}" * 5000, f"1:405: {DEEP}"),
        (b".".join([b"a"] * 5000) + b" = 1", DEEP),
        (b"[" + b".".join([b"a"] * 5000) + b"]", DEEP),
    ],
    ids=lambda value: "" if isinstance(value, bytes) else str(value)[:40],
)
def test_an_unreadable_page_affects_only_its_own_day(tmp_path: Path, content: bytes, line: str) -> None:
    begin(tmp_path, pages=OTHERS)
    assert read_day(tmp_path, content) == (None, [line])
    assert list(read(tmp_path)[0]) == ["2025-03-03", "2025-03-05"]


def test_fifty_megabytes_are_refused_unread(tmp_path: Path) -> None:
    begin(tmp_path, pages=OTHERS)
    with put(tmp_path, DAY, b"").open("wb") as file:
        file.truncate(50_000_000)
    pages, problems = read(tmp_path)
    assert list(pages) == ["2025-03-03", "2025-03-05"]
    assert [problem.got for problem in problems] == ["50,000,000 bytes, left unread"]


def test_a_page_without_read_permission(open_path: Path) -> None:
    begin(open_path, pages=OTHERS | {DAY: PAGE})
    with no_permission(open_path / DAY):
        pages, problems = read(open_path)
    assert list(pages) == ["2025-03-03", "2025-03-05"]
    assert [str(problem) for problem in problems] == [
        f"{DAY}: expected a file that can be read, got no permission; let your user read it"
    ]


def test_a_page_deleted_or_grown_since_the_walk(tmp_path: Path) -> None:
    begin(tmp_path, pages=OTHERS)
    discovery = discover.find(tmp_path)
    names = reading.read_settings(tmp_path).known
    put(tmp_path, "2025/2025-03-03.toml", "mood = 3\nmemory = 'long'\n")
    (tmp_path / "2025/2025-03-05.toml").unlink()
    pages, problems = reading.read_pages(tmp_path, discovery.pages, names)
    assert [page.content for page in pages] == [Entry(mood=3, memory="long")]
    assert [problem.path for problem in problems] == ["2025/2025-03-05.toml"]


def test_a_thousand_problems_of_one_page_are_cut_short(tmp_path: Path) -> None:
    page = "mood = 4\n" + "\n".join(f"k{n} = 1" for n in range(1000))
    entry, problems = read_day(tmp_path, page)
    assert entry == Entry(mood=4)
    assert len(problems) == 51
    assert problems[0].startswith('2:1: k0: expected a key that is known here, got "k0"; ')
    assert "51:1: expected at most 50 problems, got 1,000; mend these first" in problems


# --- The folder and its settings


def refusal(folder: Path) -> str:
    with pytest.raises(FolderError) as error:
        journal.open(folder, today=dt.date(2025, 3, 14))
    return str(error.value)


def test_folders_that_are_not_a_journal(tmp_path: Path) -> None:
    empty, file, missing = tmp_path / "empty", tmp_path / "file", tmp_path / "missing"
    empty.mkdir()
    file.write_text("", encoding="utf-8")
    start = 'begin a journal with "duskbook start'
    assert refusal(empty) == f'there is no journal.toml in "{empty}"; {start} {empty}"'
    assert refusal(missing) == f'there is no folder "{missing}"; {start} {missing}"'
    assert refusal(file) == f'"{file}" is a file, and a journal is a folder; name the folder it is in'
    assert refusal(file / "below") == f'there is no folder "{file / "below"}"; {start} {file / "below"}"'
    assert list(empty.iterdir()) == []


def test_a_folder_without_read_permission(open_path: Path) -> None:
    begin(open_path)
    with no_permission(open_path):
        assert refusal(open_path).endswith("let your user read it")


@pytest.mark.parametrize("name", ["journal.toml", "undated.toml"])
def test_an_irregular_fixed_file_is_a_problem_and_the_rest_opens(tmp_path: Path, name: str) -> None:
    begin(tmp_path, pages={DAY: PAGE})
    (tmp_path / name).unlink(missing_ok=True)
    (tmp_path / name).mkdir()
    opened = journal.open(tmp_path, today=dt.date(2025, 3, 14), cache=False)
    assert [str(problem) for problem in opened.problems] == [
        f"{name}: expected a file, got a folder; move it away and put a file in its place"
    ]
    assert opened.tables.lines.get_column("text").to_list() == ["Čaj."]


# --- Arbitrary bytes


PIECES = [
    *[
        "mood",
        "energy",
        "[habits]",
        "[[habits]]",
        "[hours.planned]",
        "[[tasks]]",
        "[[appointments]]",
        "[weather]",
        "title",
        "rank",
        "since",
        "sleep",
    ],
    *[
        "walk",
        "read",
        "high",
        "low",
        "start",
        "end",
        "id",
        "took",
        "place",
        "=",
        "=",
        "=",
        ",",
        "[",
        "]",
        "{",
        "}",
        '"',
        "'",
        '"""',
        "#",
        ".",
        "\\",
        "\x00",
        "\ufeff",
        "é",
        "𝄞",
    ],
    *[
        "4",
        "-1",
        "0.5",
        "nan",
        "inf",
        "true",
        "2025-03-14",
        "08:30",
        '"08:30"',
        '["00:00-06:15"]',
        '"rest"',
        "99999999999999999999",
    ],
    *(" ", "\n", "\n", "\n\n", "\r\n", "\t", "habits.walk = true", 'a."b c".d = [1, {e = 2}]', "x = [[[]]]"),
]
"""Fragments of pages, valid and invalid. Any sequence of them resembles a page."""


ANY_PAGE = st.one_of(
    st.binary(max_size=200),
    st.text(max_size=200).map(str.encode),
    st.lists(st.sampled_from(PIECES), max_size=40).map(lambda bits: "".join(bits).encode()),
)


@given(
    ANY_PAGE, st.sampled_from(["2025/2025-03-04.toml", "2025-W11.toml", "2025-03.toml", "undated.toml", "journal.toml"])
)
@example(b"a = " + b"[" * 100, "journal.toml")
@settings(max_examples=400)
def test_arbitrary_bytes_affect_at_most_their_own_page(content: bytes, path: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        top = begin(Path(folder), pages=OTHERS)
        put(top, path, content)
        opened = journal.open(top, today=dt.date(2025, 3, 14), cache=False)
        moods = opened.tables.days.filter(opened.tables.days["logged"]).select("date", "mood").rows()
    if path != "journal.toml":  # a scale set there can make moods invalid
        assert {(dt.date(2025, 3, 3), 3.0), (dt.date(2025, 3, 5), 5.0)} <= set(moods)
    for problem in opened.problems:
        line = str(problem)
        assert path in (problem.path, "journal.toml")
        assert line.isprintable()
        assert "; " in line


# --- Types: round trips


TEXT = st.text(max_size=12)
CLOCKS = st.integers(0, 1440).map(Clock)
NUMBERS = st.one_of(st.integers(-(2**40), 2**40).map(float), st.floats(allow_nan=False, allow_infinity=False))
DATES = st.dates(min_value=dt.date(1900, 1, 1), max_value=dt.date(2100, 1, 1))
SPANS = st.tuples(st.integers(0, 1440), st.integers(0, 1440)).filter(lambda p: p[0] < p[1]).map(lambda p: Span(*p))


def optional(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


def texts() -> st.SearchStrategy[tuple[str, ...]]:
    return st.lists(TEXT, max_size=3).map(tuple)


def strips() -> st.SearchStrategy[dict[str, tuple[Span, ...]]]:
    return st.dictionaries(TEXT, st.lists(SPANS, max_size=3).map(tuple), max_size=3)


ENTRIES = st.builds(
    Entry,
    mood=optional(NUMBERS),
    energy=optional(NUMBERS),
    gratitude=texts(),
    memory=optional(TEXT),
    share=st.booleans(),
    notes=texts(),
    place=optional(TEXT),
    weather=optional(st.builds(Weather, sky=optional(TEXT), high=optional(NUMBERS), low=optional(NUMBERS))),
    habits=optional(st.dictionaries(TEXT, st.booleans() | st.integers(-9, 9) | NUMBERS | st.just("rest"), max_size=3)),
    challenges=st.dictionaries(TEXT, st.booleans(), max_size=3),
    hours=st.builds(Hours, planned=strips(), actual=strips()),
    appointments=st.lists(
        st.builds(Appointment, title=TEXT, start=optional(CLOCKS), end=optional(CLOCKS)), max_size=2
    ).map(tuple),
    tasks=st.lists(
        st.builds(
            Task,
            title=TEXT,
            status=st.sampled_from(["open", "done", "carried", "dropped"]),
            rank=optional(st.integers(-9, 9)),
            estimate=optional(NUMBERS),
            took=optional(NUMBERS),
            since=optional(DATES),
            id=optional(TEXT),
        ),
        max_size=2,
    ).map(tuple),
)
REVIEWS = st.builds(
    Review,
    reflection=st.lists(st.builds(Answer, prompt=TEXT, answer=TEXT), max_size=3).map(tuple),
    decisions=st.dictionaries(TEXT, st.sampled_from(["keep", "change", "rest", "drop"]), max_size=3),
    notes=texts(),
)


def written(value: Any) -> Any:
    """A typed value as the plain values that a file has."""
    match value:
        case Clock():
            return f"{value // 60:02d}:{value % 60:02d}"
        case Span():
            return f"{written(Clock(value.start_minute))}-{written(Clock(value.end_minute))}"
        case msgspec.Struct():
            fields = {name: getattr(value, name) for name in value.__struct_fields__}
            return {name: written(field) for name, field in fields.items() if field is not None}
        case dict():
            return {key: written(inner) for key, inner in value.items()}
        case tuple():
            return [written(inner) for inner in value]
        case _:
            return value


@given(st.one_of(ENTRIES, REVIEWS))
@settings(max_examples=150)
def test_written_values_come_back_typed(page: Entry | Review) -> None:
    values = written(page)
    assert typed_values.typed(rtoml.loads(tomlkit.dumps(values)), type(page)) == page
    # The type walk reports nothing and drops nothing.
    fit = type_errors.fitting(values, type(page))
    assert (fit.values, fit.faults, fit.stood) == (values, [], {})


WRITABLE = ["08:30", "00:00-06:15", "rest", "done", "keep", dt.date(2025, 1, 1), dt.datetime(2025, 1, 1), dt.time(8)]  # noqa: DTZ001
JUNK = st.recursive(
    st.booleans() | st.integers(-9, 9) | st.floats() | st.text(max_size=4) | st.sampled_from(WRITABLE),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(
                ["mood", "title", "tasks", "habits", "hours", "planned", "start", "rank", "x", "prompt", "notes"]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)


@given(
    st.dictionaries(st.sampled_from([*Entry.__struct_fields__, *Review.__struct_fields__, "x"]), JUNK),
    st.sampled_from([Entry, Review]),
)
def test_the_type_walk_agrees_with_msgspec(values: dict[str, Any], page: type[Entry | Review]) -> None:
    fit = type_errors.fitting(values, page)
    typed_values.typed(fit.values, page)  # msgspec accepts all valid values
    try:
        typed_values.typed(values, page)
    except (msgspec.ValidationError, ValueError):
        assert fit.faults
    else:
        assert fit.faults == []


# --- rtoml against the standard library's tomllib, on texts that both accept


@pytest.mark.parametrize(
    "source",
    [
        "a = 9223372036854775807\nb = -9223372036854775808",
        "a = 0x1F\nb = 0o17\nc = 0b101\nd = 1_000\ne = +1.5\nf = -0.0\ng = 6.02e23",
        "a = inf\nb = -inf",
        'a = "null"\nb = ""\nc = "None"\nd = "\\u0000\\U0001D11E\\t"',
        "a = '''\nx'y\n'''\nb = \"\"\"\\\n  x\n  y\"\"\"",
        "a = 2025-03-14\nb = 2025-03-14T08:30:00\nc = 08:30:00.123456\nd = 2025-03-14 08:30:00",
        'a.b.c = 1\na."d e".f = 2\n[g.h]\ni = 3\n[[g.j]]\nk = 4\n[[g.j]]\n[g.j.l]\nm = 5',
        "a = [1, [2, 'x'], {b = 3, c = [true]}]\nd = [\n  1, # one\n  2,\n]",
        "a = 1\r\nb = 2\r\n",
        "",
    ],
)
def test_rtoml_reads_as_tomllib_does(source: str) -> None:
    assert rtoml.loads(source) == tomllib.loads(source.replace("\r\n", "\n"))
    assert repr(rtoml.loads(source)) == repr(tomllib.loads(source))


def test_rtoml_never_reads_a_text_as_none() -> None:
    assert rtoml.loads('a = "null"\nb = "nan"') == {"a": "null", "b": "nan"}


@given(st.dictionaries(st.text(max_size=6), st.recursive(
    st.booleans() | st.integers(-(2**63), 2**63 - 1) | st.floats(allow_nan=False) | st.text(max_size=8) | st.dates()
    | st.times() | st.datetimes(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=8,
), max_size=4))  # fmt: skip
@settings(max_examples=150)
def test_rtoml_reads_whatever_tomlkit_writes_as_tomllib_does(values: dict[str, Any]) -> None:
    source = tomlkit.dumps(values)
    assert rtoml.loads(source) == tomllib.loads(source)
