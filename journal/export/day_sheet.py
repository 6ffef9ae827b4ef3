"""The paper sheet of a day: what is planned for it, and room to write the rest by hand."""

from __future__ import annotations

import datetime as dt

import msgspec

from journal import Journal
from journal.entry import Weather, minute_of_day
from journal.evening import tomorrow
from journal.evening.form_schema import AppointmentOffer
from journal.export import day_strip, ornament, sheet_texts
from journal.export.day_strip import DayStrip
from journal.language.catalogue import N_, _, _n
from journal.paper import day_layout, day_plan, month_plan
from journal.paper.day_layout import DayPart
from journal.paper.day_plan import DayPlan, PaperHabit, TaskLine
from journal.paper.layout import SIDE, SheetLayout
from journal.periods import containing
from journal.saving import base_pages
from journal.settings import Scale, Settings
from journal.sun import rise_set
from journal.wording import dates, numbers

_HOURS_FROM = {
    "page": N_("Hours: a line through each half hour; the bar below is what was planned"),
    "weekday": N_("Hours: a line through each half hour; the bar below is the usual of the weekday"),
    "usual": N_("Hours: a line through each half hour; the bar below is the usual"),
    "nothing": N_("Hours: a line through each half hour; nothing is planned yet"),
}


class TaskText(msgspec.Struct, frozen=True, kw_only=True):
    """The texts of a line for a task: its rank, the title, and a short detail. All are empty on a line to write on."""

    rank: str
    title: str
    detail: str


class HabitText(msgspec.Struct, frozen=True, kw_only=True):
    """The texts of a habit or challenge: its name, target or quota, prompt, and the numbers over its boxes."""

    name: str
    detail: str
    prompt: str
    kind: str
    labels: tuple[str, ...]


class DaySheetData(msgspec.Struct, frozen=True, kw_only=True):
    """All texts of the sheet, ready to print. `missing_tasks` counts those that no sheet has room for, which
    `more_tasks` says."""

    title: str
    part: str
    date: str
    sun: tuple[str, ...]
    weather: str
    hours_from: str
    strip: DayStrip
    categories: tuple[str, ...]
    appointments: tuple[tuple[str, str], ...]
    tasks: tuple[TaskText, ...]
    missing_tasks: int
    more_tasks: str
    habits: tuple[HabitText, ...]
    gratitude_lines: int
    mood: tuple[str, ...]
    energy: tuple[str, ...]


class DaySheet(msgspec.Struct, frozen=True, kw_only=True, tag="day"):
    """A sheet of a day: its texts, the text alternative of its strip, its ornament as SVG, and its layout."""

    words: DaySheetData
    alt: str
    ornament: str
    plan: DayPlan
    part: DayPart
    layout: SheetLayout

    def drawing(self) -> dict[str, object]:
        """The places of everything on it, for the template."""
        columns = self.part.columns
        return self.layout.drawing() | {
            "first": not self.part.number,
            "left": day_layout.LEFT,
            "right": day_layout.RIGHT,
            "middle": day_layout.MIDDLE,
            "habits-left": day_layout.HABITS_LEFT,
            "done-left": day_layout.DONE_LEFT,
            "carried-left": day_layout.CARRIED_LEFT,
            "side": SIDE,
            "top": columns.top,
            "bottom": columns.bottom,
            "task-row": day_layout.TASK_ROW,
            "task-rows": columns.task_rows,
            "tasks-top": day_layout.task_top(self.part, 0),
            "habits": [
                {"top": top, "boxes": day_layout.box_lefts(habit), "tall": habit.is_tall}
                for top, habit in zip(day_layout.habit_tops(self.part), self.part.habits, strict=True)
            ],
            "habit-row": day_layout.HABIT_ROW,
            "hours": {
                "top": day_layout.HOURS_TOP,
                "row": day_layout.HOURS_ROW,
                "left": day_layout.HOURS_LEFT,
                "width": day_layout.HALF_HOUR * day_layout.HALF_HOURS,
                "box": day_layout.HOUR_BOX[1],
            },
            "lines-bottom": day_layout.LINES_BOTTOM,
            "line": day_layout.LINE,
            "most-lines": day_layout.MOST_LINES,
            "remember-lines": day_layout.REMEMBER_LINES,
            "label": day_layout.LABEL,
            "scales-top": day_layout.SCALES_TOP,
            "scale-row": day_layout.SCALE_ROW,
            "steps-left": day_layout.STEPS_LEFT,
            "mood": day_layout.step_lefts(len(self.plan.mood.values)),
            "energy": day_layout.step_lefts(len(self.plan.energy.values)),
        }


def of(book: Journal, date: dt.date) -> list[DaySheet]:
    """The sheets of a day, from its page, the calendars, and the routines.

    There is one, unless the day has very many tasks or habits. Hours are those planned on the page, else the usual
    ones. Carried and dropped tasks are omitted.

    >>> import journal, pathlib, tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> _ = pathlib.Path(folder.name, "journal.toml").write_text('title = "Spine and thread"')
    >>> sheet, = of(journal.open(folder.name, today=dt.date(2025, 3, 13)), dt.date(2025, 3, 14))
    >>> sheet.words.title, sheet.words.date, sheet.words.hours_from
    ('Friday', '14 March 2025, week 11', 'Hours: a line through each half hour; nothing is planned yet')
    >>> folder.cleanup()
    """
    settings = book.settings
    entry, _base = base_pages.entry(book.files.pages.look(date.isoformat()), book.files.basis.known)
    calendar, _problems = tomorrow.calendar_of(book, date)
    set_times = tomorrow.appointments(entry, calendar, date)
    planned, hours_from = tomorrow.strip(entry, settings, date)
    plan = day_plan.of(book, date)
    drawn = day_strip.strip(planned, set_times, book.tables.days, settings, date, rows=plan.categories)
    timed = [(_time(appointment, settings), appointment.title) for appointment in set_times]
    names = {category.key: category.name for category in settings.categories}
    lines = day_plan.lines(day_plan.tasks(entry, settings, date), plan.ranks)
    parts = day_layout.parts(plan, lines)
    week = int(containing(date, "week", week_starts=settings.week_starts).key.rpartition("W")[2])
    missing = len(lines) - sum(len(part.lines or ()) for part in parts)
    whole = DaySheetData(
        title=dates.weekday(date.weekday()),
        part="",
        date=_("{day}, week {week}", day=dates.day(date, weekday=False, year=True), week=week),
        sun=_sun(book, date),
        weather=_weather(entry.weather or Weather(), settings),
        hours_from=_(_HOURS_FROM[hours_from]),
        strip=drawn,
        categories=tuple(names[key] for key in plan.categories),
        appointments=tuple(timed),
        tasks=(),
        missing_tasks=missing,
        more_tasks=_n("{count} more are on the page of the day.", "{count} more are on the page of the day.", missing),
        habits=(),
        gratitude_lines=settings.day.gratitude_lines,
        mood=plan.mood.labels or ends(settings.mood),
        energy=plan.energy.labels or ends(settings.energy),
    )
    return [
        DaySheet(
            words=msgspec.structs.replace(
                whole,
                part=sheet_texts.part(part.number, len(parts)),
                tasks=tuple(map(_task, part.lines or ())),
                habits=tuple(map(_habit, part.habits)),
            ),
            alt=_more_alt(whole)
            if part.number
            else day_strip.alt(drawn, dates.day(date), [f"{time} {title}" for time, title in timed]),
            ornament=ornament.svg(ornament.of(date)),
            plan=plan,
            part=part,
            layout=day_layout.of(plan, part),
        )
        for part in parts
    ]


def ends(scale: Scale) -> tuple[str, ...]:
    """The ends of a scale that has too many steps for boxes.

    >>> ends(Scale(low=0, high=100))
    ('0 to 100',)
    """
    return (_("{low} to {high}", low=numbers.number(scale.low), high=numbers.number(scale.high)),)


def _more_alt(words: DaySheetData) -> str:
    return _("More tasks and habits of {day}, {date}.", day=words.title, date=words.date)


def _task(line: TaskLine) -> TaskText:
    rank = "" if line.rank is None else str(line.rank)
    if line.task is None:
        return TaskText(rank=rank, title="", detail="")
    detail = ", ".join(filter(None, [line.task.repeats, _length(line.task.estimate)]))
    return TaskText(rank=rank, title=line.task.title, detail=detail)


def _habit(habit: PaperHabit) -> HabitText:
    return HabitText(
        name=habit.name,
        detail=habit.detail,
        prompt=habit.prompt,
        kind=habit.kind,
        labels=month_plan.labels(habit.values),
    )


def _sun(book: Journal, date: dt.date) -> tuple[str, ...]:
    """Sunrise and sunset, then the length of the day, at the place of the day; empty without a place."""
    rows = rise_set.for_journal(book.tables.days, book.settings, date, date)
    if not rows.height:
        return ()
    row = rows.row(0, named=True)
    pieces = rise_set.words(row, book.settings.clock)
    if row["state"] != "normal":
        return (" · ".join(pieces),)
    daylight = _("{time} of daylight", time=dates.minutes(row["day_minutes"]))
    return " · ".join(pieces[:2]), " · ".join([daylight, *pieces[2:]])


def _weather(weather: Weather, settings: Settings) -> str:
    """The weather in a line.

    >>> _weather(Weather(sky="cloudy", high=19, low=5), Settings(title="Small", places=(), temperature="F"))
    'Cloudy, 5 to 19 °F'
    """
    sky = (weather.sky or "").strip()
    return numbers.begun(numbers.joined([sky, _degrees(weather, settings.temperature)], ", "))


def _degrees(weather: Weather, unit: str) -> str:
    values = [numbers.number(value) for value in (weather.low, weather.high) if value is not None]
    if len(values) == 2:
        return _("{low} to {high} °{unit}", low=values[0], high=values[1], unit=unit)
    return f"{values[0]} °{unit}" if values else ""


def _time(appointment: AppointmentOffer, settings: Settings) -> str:
    if appointment.start is None:
        return _("all day")
    end = None if appointment.end is None else minute_of_day(appointment.end)
    return day_strip.span_text(minute_of_day(appointment.start), end, settings)


def _length(estimate: float | None) -> str:
    return "" if estimate is None else dates.minutes(estimate)
