"""Parses the answers that `duskbook start` gets about a habit: when it is due, and its target."""

from __future__ import annotations

import difflib
import re
from typing import Any

from journal import recurrence
from journal.commands import schedule_words
from journal.commands.usage_errors import did_you_mean
from journal.language.catalogue import N_, _
from journal.language.languages import ENGLISH
from journal.language.spoken import spoken
from journal.settings import WEEKDAYS
from journal.wording import numbers, typed_numbers

_CODES = {day: day[:2].upper() for day in WEEKDAYS}
_ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "last": -1}
_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_MOST = {"week": 7, "month": 28}
_GREATEST_INTERVAL = 366

_NTH = r"(?:\d+(?:st|nd|rd|th)|first|second|third|fourth|fifth|last)"
_EVERY = r"(?:every|each)"
_OF_MONTH = r"(?: (?:of|in) (?:the|a|each|every) month| a month| (?:each|every) month)?"
_APART = r"(\d+(?:st|nd|rd|th)?|other|second|third|fourth|fifth)"
_DAYS_APART = re.compile(rf"{_EVERY} {_APART} days?")
_WEEKS_APART = re.compile(rf"{_EVERY} (?:{_APART} )?weeks?(?: (?:on )?(.+))?")
_OTHER_DAY = re.compile(rf"{_EVERY} (?:other|second|2nd) (.+)")
_ON_DAYS = re.compile(rf"(?:{_EVERY} |on )?(.+)")
_MONTH_DAYS = re.compile(
    rf"(?:{_EVERY} |on )?(?:the )?({_NTH}(?:(?:, and |, | and | )(?:the )?{_NTH})*)(?: day)?{_OF_MONTH}"
)
_MONTH_WEEKDAY = re.compile(rf"({_EVERY} |on )?(?:the )?({_NTH}) ([a-z]+)({_OF_MONTH})")
_QUOTA = re.compile(r"(\d+) ?(?:x|times|days)? ?(?:a|per|each|every|in a|/) ?(day|week|month)")
_AMOUNT = re.compile(r"(?:(at least|at most)\s+)?(\d+(?:[.,]\d+)?)\s*(.*)")

_REMEDY = N_('write e.g. "every day", "mo we fr", "3 a week", "every other friday" or "on the 1st"')
_REMEDIES = (  # for answers that mean something, but not one thing
    (re.compile(rf"monthly|{_EVERY} month"), N_('write "once a month", or its day: "on the 1st"')),
    (
        re.compile(rf"yearly|{_EVERY} year|1 times (?:a|per|in a) year"),
        N_('write its day: "FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=14"'),
    ),
    (re.compile(r"(?P<number>\d+)(?: ?x| times)?"), N_('write "{number} a week" or "{number} a month"')),
)
_WORDS = (
    *WEEKDAYS, *(f"{day}s" for day in WEEKDAYS), *_ORDINALS, *_NUMBERS,
    "every", "each", "other", "day", "days", "daily", "weekdays", "weekends", "week", "weeks", "month",
    "once", "twice", "times",
)  # fmt: skip


def when(answer: str) -> dict[str, Any]:
    """The keys of a habit's schedule.

    >>> when("every day"), when("mo we fr"), when("twice a week")
    ({'every': 'FREQ=DAILY'}, {'every': 'FREQ=WEEKLY;BYDAY=MO,WE,FR'}, {'times': 2, 'per': 'week'})
    >>> [when(text)["every"] for text in ("every 3 days", "every other Friday", "every two weeks on mo")]
    ['FREQ=DAILY;INTERVAL=3', 'FREQ=WEEKLY;INTERVAL=2;BYDAY=FR', 'FREQ=WEEKLY;INTERVAL=2;BYDAY=MO']
    >>> [when(text)["every"] for text in ("on the 1st", "last friday", "FREQ=YEARLY")]
    ['FREQ=MONTHLY;BYMONTHDAY=1', 'FREQ=MONTHLY;BYDAY=-1FR', 'FREQ=YEARLY']

    Every other week is counted from the week of the habit's first day. Raises ValueError with a remedy for anything
    else.
    """
    if answer.lower().startswith("freq="):
        return {"every": _checked(answer.upper())}
    text = _plain(answer)
    keys = _quota(text) or _rule(text)
    if keys is None:
        raise ValueError(_('"{answer}" is not a schedule; {remedy}', answer=answer, remedy=_remedy(answer, text)))
    return keys


def _remedy(answer: str, text: str) -> str:
    for meant, remedy in _REMEDIES:
        if match := meant.fullmatch(text):
            return _(remedy, **match.groupdict())
    corrected = _corrected(answer, text)
    return did_you_mean(corrected) if corrected else _(_REMEDY)


def how_much(answer: str) -> dict[str, Any]:
    """The keys of a counted habit; empty for a yes-or-no habit.

    >>> how_much("20 pages"), how_much("at most 2 cups"), how_much("")
    ({'target': 20, 'unit': 'pages', 'aim': 'at least'}, {'target': 2, 'unit': 'cups', 'aim': 'at most'}, {})

    Raises ValueError with a remedy for anything else.
    """
    if not answer:
        return {}
    amount = _AMOUNT.fullmatch(schedule_words.aim(answer))
    if amount is None:
        raise ValueError(_('"{answer}" has no number; write e.g. "20 pages", or nothing for yes or no', answer=answer))
    number = typed_numbers.read(amount[2])
    return {
        "target": int(number) if number.is_integer() else number,
        "unit": amount[3],
        "aim": amount[1] or "at least",
    }


def _plain(answer: str) -> str:
    """The answer in small letters, with digits for numbers and single spaces.

    >>> _plain(" Three times   a week. "), _plain("Once a month")
    ('3 times a week', '1 times a month')
    """
    words = re.findall(r"[^\s,./]+|[,/]", schedule_words.english(answer.lower()))
    numbers = {word: str(number) for number, word in enumerate(_NUMBERS, start=1)}
    plain = [numbers.get(word, {"once": "1 times", "twice": "2 times"}.get(word, word)) for word in words]
    return " ".join(plain).replace(" ,", ",")


def _quota(text: str) -> dict[str, Any] | None:
    quota = _QUOTA.fullmatch(text)
    if quota is None:
        return None
    times, per = int(quota[1]), quota[2]
    if per == "day":
        raise ValueError(_('a day has one mark; write "every day" here, and how many at the next question'))
    if not 1 <= times <= _MOST[per]:
        refusal = _('a month can have 1 to {most} times; write e.g. "3 a month"')
        if per == "week":
            refusal = _('a week can have 1 to {most} times; write e.g. "3 a week"')
        raise ValueError(refusal.format(most=_MOST[per]))
    return {"times": times, "per": per}


def _rule(text: str) -> dict[str, Any] | None:
    rule = _daily(text) or _weekly(text) or _monthly(text)
    return {"every": _checked(rule)} if rule else None


def _daily(text: str) -> str:
    if text in ("every day", "each day", "daily", "every 1 day"):
        return "FREQ=DAILY"
    apart = _DAYS_APART.fullmatch(text)
    return f"FREQ=DAILY{_interval(apart[1])}" if apart else ""


def _weekly(text: str) -> str:
    if text == "weekly":
        return "FREQ=WEEKLY"
    if apart := _WEEKS_APART.fullmatch(text):
        days = _days(apart[2]) if apart[2] else ""
        if apart[2] and not days:
            return ""
        return f"FREQ=WEEKLY{_interval(apart[1])}{f';BYDAY={days}' if days else ''}"
    if (other := _OTHER_DAY.fullmatch(text)) and (days := _days(other[1])):
        return f"FREQ=WEEKLY;INTERVAL=2;BYDAY={days}"
    on_days = _ON_DAYS.fullmatch(text)
    return f"FREQ=WEEKLY;BYDAY={days}" if on_days and (days := _days(on_days[1])) else ""


def _monthly(text: str) -> str:
    if days := _MONTH_DAYS.fullmatch(text):
        found = sorted({_nth(word) for word in re.findall(_NTH, days[1])}, key=lambda day: (day < 0, day))
        if not all(day == -1 or 1 <= day <= 31 for day in found):
            raise ValueError(
                _('a month has days from the 1st to the 31st; write e.g. "on the 1st", or "on the last day"')
            )
        return f"FREQ=MONTHLY;BYMONTHDAY={','.join(map(str, found))}"
    if (weekday := _MONTH_WEEKDAY.fullmatch(text)) and (code := _code(weekday[3])):
        every, nth, day, of_month = weekday.groups()
        number = _nth(nth)
        if spoken() is not ENGLISH:  # what was typed has become English
            nth, day = numbers.ordinal(number), spoken().weekdays[list(_CODES.values()).index(code)]
        if not -1 <= number <= 5:
            raise ValueError(_('a month has no {nth} {day}; write e.g. "last {day}"', nth=nth, day=day))
        if every and every.startswith(("every", "each")) and number > 1 and not of_month:
            refusal = _('write "{nth} {day} of the month", or "every {number} weeks on {day}"')
            raise ValueError(refusal.format(nth=nth, day=day, number=number))
        return f"FREQ=MONTHLY;BYDAY={number}{code}"
    return ""


def _interval(text: str | None) -> str:
    """The part of a rule for "every 3 ..." and "every other ..."; empty for every one."""
    number = 1 if text is None else 2 if text == "other" else int(text) if text.isdigit() else _nth(text)
    if not 1 <= number <= _GREATEST_INTERVAL:
        refusal = _('"every {number}" cannot be; write a number from 1 to {most}')
        raise ValueError(refusal.format(number=number, most=_GREATEST_INTERVAL))
    return f";INTERVAL={number}" if number > 1 else ""


def _nth(word: str) -> int:
    return _ORDINALS[word] if word in _ORDINALS else int(word[:-2])


def _days(text: str) -> str:
    """The weekday codes of a list of days: "MO,WE" for "mo we" and "Monday, Wednesday". Empty if one is no weekday.

    >>> _days("weekends"), _days("mo-we"), _days("monday to friday"), _days("mo blue")
    ('SA,SU', 'MO,TU,WE', 'MO,TU,WE,TH,FR', '')
    """
    codes = list(_CODES.values())
    found: set[str] = set()
    for part in re.split(r",|\band\b", re.sub(r"\s*(?:-|\bto\b)\s*", "-", text.replace("weekdays", "mo-fr"))):
        for word in part.replace("weekends", "sa su").replace("weekend", "sa su").replace("weekday", "mo-fr").split():
            first, _dash, last = word.partition("-")
            start, end = _code(first), _code(last or first)
            if not (start and end):
                return ""
            span = (codes.index(end) - codes.index(start)) % 7
            found |= {codes[(codes.index(start) + i) % 7] for i in range(span + 1)}
    return ",".join(code for code in codes if code in found)


def _code(word: str) -> str:
    """The weekday code of a word: MO for "mo", "mon", "monday" and "mondays". Empty if it is not a weekday."""
    stem = word.removesuffix("s") if word.endswith("days") else word
    return next((code for day, code in _CODES.items() if len(stem) >= 2 and day.startswith(stem)), "")


def _corrected(answer: str, text: str) -> str:
    """The schedule with its misspelt words corrected, or "" if that makes none. `text` is the plain answer."""
    everyday = schedule_words.known()
    typed = " ".join(answer.lower().split()) if everyday else text
    words = []
    for word in typed.split():
        stem, comma = word.rstrip(","), "," if word.endswith(",") else ""
        is_known = stem in (everyday or _WORDS) or _code(stem) or not stem.isalpha() or len(stem) < 4
        close = [] if is_known else difflib.get_close_matches(stem, everyday or _WORDS, n=1, cutoff=0.75)
        words.append((close[0] if close else stem) + comma)
    corrected = " ".join(words)
    try:
        plain = _plain(corrected)
        return corrected if corrected != typed and (_quota(plain) or _rule(plain)) else ""
    except ValueError:
        return ""


def _checked(rule: str) -> str:
    recurrence.parse(rule)  # RuleError is a ValueError with its own remedy
    return rule
