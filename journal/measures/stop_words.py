"""Words that say little by themselves, of each language a journal may have, and the language of a line.

People write in two languages, so each line is taken by itself: its language is the one that has more of its words among
its stop words (short function words tell languages apart best: Grefenstette, G. (1995), Comparing two language
identification schemes; from memory). Where two have as many, the line is in the language of the journal.

German: the list of the Snowball project, and words of this project. English: of this project. Each file says how it was
made.
"""

from __future__ import annotations

import functools
import importlib.resources
from collections.abc import Mapping

import polars as pl

FILES: Mapping[str, tuple[str, ...]] = {
    "en": ("stop_words_english.txt",),
    "de": ("stop_words_snowball_german.txt", "stop_words_german.txt"),
}
"""The files of each language, beside this module."""


@functools.cache
def stop_words(language: str = "en") -> frozenset[str]:
    """The stop words of a language, by its code; none of an unknown one.

    >>> "the" in stop_words(), "paper" in stop_words(), "und" in stop_words("de")
    (True, False, True)
    """
    return frozenset(word for name in FILES.get(language, ()) for word in read(name))


def read(name: str) -> list[str]:
    """The words of a file, in its order."""
    text = importlib.resources.files("journal.measures").joinpath(name).read_text("utf-8")
    return [word for line in text.splitlines() if not line.startswith("#") for word in line.split()]


def with_language(written: pl.DataFrame, *, language: str) -> pl.DataFrame:
    """The words of lines with the language of their line.

    In: a row per word, line (its line) and word (String), lower-cased; `language`, the code of the journal's language.
    Out: one column more, language (String, the code).

    >>> lines, words = ["die leimpresse hat gehalten", "the war film with anna", "leim"], pl.col("word")
    >>> frame = pl.DataFrame({"line": [0, 1, 2], "word": lines}).with_columns(words.str.split(" ")).explode("word")
    >>> with_language(frame, language="en").group_by("line", maintain_order=True).agg(pl.col("language").first()).rows()
    [(0, 'de'), (1, 'en'), (2, 'en')]
    """
    # Of equal counts the first is taken.
    codes = sorted(FILES, key=lambda code: code != language)
    counts = [pl.col("word").is_in(list(stop_words(code))).sum().over("line") for code in codes]
    most = pl.concat_list(counts).list.arg_max()
    return written.with_columns(language=most.replace_strict(dict(enumerate(codes)), return_dtype=pl.String))


def is_stop_word() -> pl.Expr:
    """Whether the word of a row of `with_language` is a stop word of its line's language.

    >>> frame = pl.DataFrame({"word": ["war", "war"], "language": ["en", "de"]})
    >>> frame.select(is_stop_word()).to_series().to_list()
    [False, True]
    """
    return pl.any_horizontal(
        (pl.col("language") == code) & pl.col("word").is_in(list(stop_words(code))) for code in FILES
    )
