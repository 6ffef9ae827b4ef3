"""What a name most likely means that resembles that of a page, and is none.

Only names are looked at, by their shape. Programs that synchronise folders, editors and mail each have their own
additions to a name, and new ones come; every addition to the name of a page makes a copy of that page.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from journal.folder import file_names
from journal.folder.file_names import SETTINGS_NAME, UNDATED_NAME, Stray, StrayKind

_TOML = ".toml"
_BACKUP = re.compile(r"~|\.bak")
_PARTIAL = re.compile(r"\.[a-z]*(?:part|partial|tmp|temp|download)(?:[0-9]*)", re.IGNORECASE)
_ENDING = re.compile(r"\.(?:tml|tom|tolm|tmol|otml|toml[a-z0-9]|tooml|tomml)", re.IGNORECASE)
_SLIP_BEHIND = re.compile(r"\.|[a-z0-9]|\.(?:txt|text|toml|tml)", re.IGNORECASE)
_OF_EDITOR = re.compile(r"\.sw[a-z]|(\..*)?\.(writing|replaced)", re.IGNORECASE)
"""Endings of hidden files that editors, and Duskbook itself, keep beside a page while they write it."""


def stray(name: str) -> Stray | None:
    """Return what a file that is neither a page nor journal.toml nor undated.toml means, None if nothing of a journal.

    >>> stray("2025-03-14 (1).toml"), stray("10.05.2025.toml").meant, stray("2025–05–10.toml").meant
    (Stray(kind='copy', meant=('2025-03-14.toml',)), ('2025-05-10.toml',), ('2025-05-10.toml',))
    >>> stray("2025-05-10.toml.txt").kind, stray("03-05-2025.toml").meant, stray("2025-03-14-bench.jpg")
    ('misspelt', ('2025-05-03.toml', '2025-03-05.toml'), None)
    """
    plain = _plain(name)
    if plain.startswith("."):
        return _hidden(plain[1:])
    at = plain.lower().find(_TOML)
    if at >= 0:
        stem, behind = plain[:at], plain[at + len(_TOML) :]
        means = _of_stem(stem.strip(". "))
    elif ending := re.search(r"\.[^.]*$", plain):
        stem, behind = plain[: ending.start()], ""
        is_slip, is_text = _ENDING.fullmatch(ending[0]), ending[0].lower() == ".txt"
        means = _of_stem(stem) if is_slip or (is_text and _is_dated(stem)) else None
    else:
        behind = ""
        means = _of_stem(plain) if _is_dated(plain) else None
    if means is None:
        return None
    if behind and not _SLIP_BEHIND.fullmatch(behind):
        kind: StrayKind = "copy"
        if _BACKUP.fullmatch(behind):
            kind = "backup"
        elif _PARTIAL.fullmatch(behind):
            kind = "placeholder"
        return Stray(kind, means.meant)
    return means


def _is_page(stem: str) -> bool:
    return file_names.period(stem) is not None


def _is_dated(stem: str) -> bool:
    return _is_page(stem) and "-" in stem  # a year alone may be any number


def _hidden(name: str) -> Stray | None:
    """Return what a name behind a leading point means: a page, or one of the other two files, and a further ending."""
    stem, is_toml, ending = name.partition(_TOML)
    if not (is_toml and ending.startswith(".")) or _OF_EDITOR.fullmatch(ending):
        return None
    is_ours = _is_page(stem) or f"{stem}{_TOML}" in (SETTINGS_NAME, UNDATED_NAME)
    return Stray("placeholder", (f"{stem}{_TOML}",)) if is_ours else None


@cache
def _dashes() -> dict[int, str]:
    return dict.fromkeys((*range(8208, 8214), 8722, 65112, 8259, 173), "-")


def _plain(name: str) -> str:
    """Return a name with plain digits, hyphens and spaces, and without signs that are not seen."""
    if name.isascii():
        return name.strip()
    folded = unicodedata.normalize("NFKC", name.translate(_dashes()))
    return "".join(c for c in folded if unicodedata.category(c) != "Cf").strip()


_LOOSE_DAY = re.compile(r"([0-9]{4})([-_. ]?)([0-9]{1,2})\2([0-9]{1,2})(?![0-9])")
_DAY_LAST_YEAR = re.compile(r"([0-9]{1,2})([-_. ])([0-9]{1,2})\2([0-9]{4})(?![0-9])")
_RUN_TOGETHER = re.compile(r"([0-9]{2})([0-9]{2})([0-9]{4})(?![0-9])")
_LOOSE_WEEK = re.compile(r"([0-9]{4})[-_. ]?[wW]([0-9]{1,2})(?![0-9])")
_LOOSE_MONTH = re.compile(r"([0-9]{4})[-_.]([0-9]{1,2})(?![-_.]?[0-9])")
_YEAR = re.compile(r"([0-9]{4})(?![-_.]?[0-9])")
_COPY_OF = re.compile(r"(?:.*[^0-9A-Za-z])?(?=[0-9]{4}-(?:[0-9]{2}-[0-9]{2}|W[0-9]{2})(?![0-9]))", re.DOTALL)


def _of_stem(stem: str) -> Stray | None:
    """Return what a name without its ending means."""
    if (fixed := _fixed(stem)) is not None:
        return fixed
    for start in (0, before.end() if (before := _COPY_OF.match(stem)) else 0):
        for keys, end in _readings(stem[start:]):
            meant = tuple(dict.fromkeys(f"{key}{_TOML}" for key in keys if _is_page(key)))
            if meant:
                return Stray("copy" if start or stem[start + end :].strip() else "misspelt", meant)
    return None


def _fixed(stem: str) -> Stray | None:
    """Return a copy of journal.toml or undated.toml: its name with an addition, or in other letters."""
    for name in (SETTINGS_NAME, UNDATED_NAME):
        own, low = name.removesuffix(_TOML), stem.lower()
        if low == own:
            return Stray("misspelt", (name,))
        words = re.split(r"[^0-9a-z]+", low)
        if words[0] == own or (own in words and "copy" in words):
            return Stray("copy", (name,))
    return None


def _readings(text: str) -> list[tuple[list[str], int]]:
    """Return what the start of a text may be as keys of pages, each with the position where it ends.

    They are all of one kind, so that a day that does not exist is not taken for its month.
    """
    days: list[tuple[list[str], int]] = []
    if day := _LOOSE_DAY.match(text):
        days.append(([_key(day[1], day[3], day[4])], day.end()))
    if day := _DAY_LAST_YEAR.match(text):
        orders = [_key(day[4], day[3], day[1])]
        # With points the day comes first. Otherwise it may be the month.
        orders += [] if day[2] == "." and _is_page(orders[0]) else [_key(day[4], day[1], day[3])]
        days.append((orders, day.end()))
    if day := _RUN_TOGETHER.match(text):
        days.append(([_key(day[3], day[2], day[1]), _key(day[3], day[1], day[2])], day.end()))
    if days:
        return days
    if week := _LOOSE_WEEK.match(text):
        return [([f"{week[1]}-W{int(week[2]):02d}"], week.end())]
    if month := _LOOSE_MONTH.match(text):
        return [([f"{month[1]}-{int(month[2]):02d}"], month.end())]
    year = _YEAR.match(text)
    return [([year[1]], year.end())] if year else []


def _key(year: str, month: str, day: str) -> str:
    return f"{year}-{int(month):02d}-{int(day):02d}"
