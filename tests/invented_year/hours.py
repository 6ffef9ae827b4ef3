"""The 24-hour strip: the plan of the evening before, and the actual hours.

Times are minutes since midnight, in multiples of five. Within a layer no spans overlap and none crosses midnight. A
night is the evening part of one day and the morning part of the next.
"""

from __future__ import annotations

import random

from tests.invented_year.marks import SCREEN_LIMIT
from tests.invented_year.meetings import has_lesson, rehearses
from tests.invented_year.story import FLU, TRAVEL, Day, Spans, date, stream

MIDNIGHT = 1440


def clock(text: str) -> int:
    return int(text[:2]) * 60 + int(text[3:])


def fives(minutes: float) -> int:
    return 5 * round(minutes / 5)


class Strip:
    """Successive spans from waking to bed."""

    def __init__(self, wake: int, bed: int) -> None:
        self.spans: Spans = {}
        self.cursor = wake
        self.last = min(bed, MIDNIGHT) - 10

    def lay(self, category: str, start: float, minutes: float) -> None:
        """Add a span at its start time, or later if that time is taken; skip it if it no longer fits."""
        begin = max(fives(start), self.cursor)
        end = begin + fives(minutes)
        if end <= self.last and end > begin:
            self.spans.setdefault(category, []).append((begin, end))
            self.cursor = end


def _with_sleep(spans: Spans, asleep_from: int, wake: int, bed: int) -> Spans:
    """The spans, sleep first: the morning part (from 0, or later after a late night) and the evening part."""
    nights = [(asleep_from, wake)] + ([(bed, MIDNIGHT)] if bed < MIDNIGHT else [])
    return {"sleep": nights + spans.pop("sleep", [])} | spans if nights else spans


def planned(day: Day, rng: random.Random) -> Spans:
    """The usual strip of the weekday, with the exceptions that are known the evening before."""
    summer = date(6, 23) <= day.date <= date(8, 31)
    wake, bed = {"work": ("06:15", "22:30"), "saturday": ("07:30", "23:00"), "sunday": ("07:30", "22:30")}[day.kind]
    end_of_work = clock("17:00") + rng.choice([0, 0, 0, 0, -30, 30])
    errand, visit, music = rng.random() < 0.3, rng.random() < 0.35, rng.random() < 0.75
    if day.flu and day.date != FLU[0]:
        wake, bed = "08:00", "21:30"
    strip = Strip(clock(wake), clock(bed))
    if day.flu and day.date != FLU[0]:
        pass  # planned in bed: only sleep
    elif day.trip:
        strip.lay("morning", clock(wake), 60)
        strip.lay("workshop", clock("10:00"), 180)
        strip.lay("workshop", clock("14:00"), 120)
        strip.lay("people", clock("18:30"), 120)
    elif day.date == TRAVEL:
        strip.lay("morning", clock(wake), 60)
        strip.lay("errands", clock("08:30"), 390)
    elif day.works or day.date == FLU[0]:
        strip.lay("morning", clock(wake), 75)
        strip.lay("workshop", clock("08:00" if summer else "09:00"), 210)
        strip.lay("workshop", clock("12:30" if summer else "13:30"), end_of_work - clock("13:30"))
        strip.lay("outside", clock("17:30"), 60)
        if has_lesson(day):
            strip.lay("music", clock("18:00"), 45)
        elif rehearses(day):
            strip.lay("music", clock("19:30"), 90)
        elif music:
            strip.lay("music", clock("19:00"), 45)
        if errand and not rehearses(day):
            strip.lay("errands", clock("20:00"), 45)
        elif visit and not rehearses(day):
            strip.lay("people", clock("20:00"), 90)
    elif day.kind == "saturday":
        strip.lay("morning", clock(wake), 90)
        strip.lay("errands", clock("10:00"), 150)
        strip.lay("people", clock("15:00"), 180)
    else:
        strip.lay("morning", clock(wake), 90)
        strip.lay("outside", clock("10:00"), 120)
        strip.lay("people", clock("15:00"), 120)
    return _with_sleep(strip.spans, 0, clock(wake), clock(bed))


def _bed(day: Day, rng: random.Random) -> int:
    """The time of falling asleep, in minutes since midnight (1440 or more is after midnight)."""
    base = {4: 23 * 60 + 15, 5: 23 * 60 + 20}.get(day.date.weekday(), 22 * 60 + 40)
    screen = day.marks.get("screen")
    late = 25 if isinstance(screen, int) and screen > SCREEN_LIMIT else 0
    if day.flu:
        base, late = 21 * 60 + 20, 0
    if day.date == date(12, 31):
        return MIDNIGHT + 40
    return fives(base + late + rng.gauss(0, 22))


def _wake(day: Day, bed_before: int, rng: random.Random) -> int:
    base = {"work": 6 * 60 + 15, "saturday": 7 * 60 + 20, "sunday": 7 * 60 + 35}[day.kind]
    if day.flu:
        base = 8 * 60 + 10
    if day.date == TRAVEL:
        base = 5 * 60 + 30
    wake = fives(base + rng.gauss(0, 14) + 0.25 * (bed_before - clock("22:50")))
    return max(wake, bed_before - MIDNIGHT + 300)  # at least five hours of sleep


def _morning_and_walk(day: Day, strip: Strip, wake: int, rng: random.Random) -> bool:
    """Add the first hours; return whether the walk was before work."""
    strip.lay("morning", wake + rng.choice([0, 5, 5, 10]), 60 + rng.gauss(5, 10))
    early = day.marks.get("walk") is True and day.works and rng.random() < 0.3
    if early:
        strip.lay("outside", clock("07:45"), 40 + rng.gauss(0, 6))
    return early


def _working(day: Day, strip: Strip, wake: int, rng: random.Random) -> None:
    walked = _morning_and_walk(day, strip, wake, rng)
    summer = date(6, 23) <= day.date <= date(8, 31)
    start = clock("08:00" if summer else "09:00") + rng.gauss(0, 12)
    lunch = start + 215 + rng.gauss(0, 20)
    strip.lay("workshop", start, lunch - start)
    back = lunch + 50 + rng.gauss(0, 10)
    strip.lay("workshop", back, max(60, 205 + rng.gauss(5, 35)))
    if rng.random() < 0.35:
        strip.lay("errands", strip.cursor + 10, 25 + rng.random() * 40)
    if day.marks.get("walk") is True and not walked:
        strip.lay("outside", strip.cursor + 15, 45 + rng.gauss(0, 8))
    if day.marks.get("swim") is True:
        strip.lay("outside", strip.cursor + 10, 60 + rng.gauss(0, 8))
    if has_lesson(day):
        strip.lay("music", clock("18:00"), 45)
    if rehearses(day):
        strip.lay("music", clock("19:30"), 90)
    elif day.marks.get("practise") is True:
        strip.lay("music", clock("19:00") + rng.gauss(0, 15), 35 + rng.gauss(0, 7))
    if not rehearses(day) and rng.random() < 0.45:
        strip.lay("people", strip.cursor + 15, 60 + rng.random() * 60)


def _free(day: Day, strip: Strip, wake: int, rng: random.Random) -> None:
    strip.lay("morning", wake + rng.choice([0, 5, 10, 15]), 80 + rng.gauss(0, 12))
    saturday = day.kind == "saturday"
    if saturday:
        strip.lay("errands", clock("10:00") + rng.gauss(0, 12), 130 + rng.gauss(0, 25))
    if day.marks.get("walk") is True:
        strip.lay("outside", strip.cursor + 25, (55 if saturday else 100) + rng.gauss(0, 15))
    if day.marks.get("swim") is True:
        strip.lay("outside", strip.cursor + 20, 70 + rng.gauss(0, 10))
    if rng.random() < 0.25:
        strip.lay("errands", clock("14:00") + rng.gauss(0, 10), 50 + rng.gauss(0, 15))
    if rng.random() < 0.8:
        strip.lay("people", clock("15:15") + rng.gauss(0, 20), 120 + rng.gauss(0, 30))
    if day.marks.get("practise") is True or rng.random() < 0.2:
        strip.lay("music", clock("19:00") + rng.gauss(0, 20), 40 + rng.gauss(0, 8))


def _elsewhere(day: Day, strip: Strip, wake: int, rng: random.Random) -> None:
    """Add the day in bed with the flu, on the way, or in Edinburgh."""
    if day.flu:
        strip.lay("morning", wake + 20, 45)
        strip.lay("sleep", clock("14:00") + rng.gauss(0, 15), 80 + rng.gauss(0, 15))
        return
    strip.lay("morning", wake, 60)
    if day.date == TRAVEL:
        strip.lay("errands", clock("08:30"), 470)
        return
    if day.marks.get("swim") is True:
        strip.lay("outside", strip.cursor + 10, 70)
    if day.date == date(9, 28):
        strip.lay("errands", clock("11:00"), 520)
        return
    strip.lay("workshop", clock("10:00"), 170 + rng.gauss(0, 15))
    strip.lay("workshop", clock("14:00"), 110 + rng.gauss(0, 20))
    if day.marks.get("walk") is True:
        strip.lay("outside", strip.cursor + 20, 70 + rng.gauss(0, 10))
    strip.lay("people", clock("18:45") + rng.gauss(0, 10), 110 + rng.gauss(0, 20))


def add_hours(days: list[Day]) -> None:
    """Set the planned and actual hours of every written day. The blank week has only two plans."""
    plans, nights, course = stream("planned hours"), stream("nights"), stream("course of the day")
    bed_before = MIDNIGHT + 50  # awake at New Year
    for day in days:
        wake, bed = _wake(day, bed_before, nights), _bed(day, nights)
        plan = planned(day, plans)
        if day.written:
            day.planned = plan
        if not day.blank:
            strip = Strip(wake, bed)
            if day.flu or day.trip or day.date == TRAVEL:
                _elsewhere(day, strip, wake, course)
            elif day.kind == "work":
                _working(day, strip, wake, course)
            else:
                _free(day, strip, wake, course)
            asleep_from = max(bed_before - MIDNIGHT, 0)
            if bed - MIDNIGHT > wake:
                raise ValueError(f"{day.date}: awake through a whole night")
            day.actual = _with_sleep(strip.spans, asleep_from, wake, bed)
        bed_before = bed
