"""The chapter of a month: numbers, habits, mood, challenges, lines, done tasks, reflection, decisions."""

from __future__ import annotations

from typing import Any

import polars as pl

from journal.charts import month_grid
from journal.export import day_photos
from journal.export.chapters.overview import FEWEST_RATED, quiet
from journal.export.document import Block, Facts, Line, Lines, Picture, Reflection, ReflectionAnswer
from journal.export.year_data import YearData
from journal.language.catalogue import N_, _, _n, _p
from journal.measures import challenges, completion, coverage, mood, streaks
from journal.periods import Period
from journal.sections import habit_cards, mood_cards
from journal.wording import entries, numbers

LINES = {"memory": N_("To remember"), "gratitude": N_("Grateful for"), "note": N_("Notes")}
"""The titles of the written lines, by kind, in their order."""


def blocks(subject: YearData, month: Period) -> list[Block]:
    """The chapter of a month of the year."""
    settings, lived = subject.settings, subject.cut(subject.lived, month)
    written = subject.past(subject.tables.days, month)["written"].any()
    own_reflection = reflection(subject, month)
    if not written and not own_reflection:
        return []
    blocks: list[Block] = [Facts(title=_("The month in numbers"), facts=tuple(_facts(subject, month, lived)))]
    blocks += _grid(subject, month)
    if lived["mood"].count() >= FEWEST_RATED:
        blocks.append(
            Picture(figure=mood_cards.line_drawn(subject.days, lived, settings, month, key=f"mood-line-{month.key}"))
        )
        blocks += quiet(subject, lived)
    blocks += _challenge(subject, month)
    lines = subject.cut(subject.lines, month)
    photos = day_photos.blocks(
        subject.past(subject.tables.pictures, month), lines.filter(kind="memory"), subject.photos
    )
    for kind, title in LINES.items():
        blocks += written_lines(lines, kind, _(title))
        if kind == "memory":
            blocks += [block for block in photos if not block.plate]
    blocks += _done(subject, month)
    blocks += own_reflection
    return [*blocks, *_decided(subject, month), *(block for block in photos if block.plate)]


def _facts(subject: YearData, month: Period, lived: pl.DataFrame) -> list[tuple[str, str]]:
    scale = subject.settings.mood
    logged = coverage.coverage(lived, week_starts=subject.week_starts)
    facts = [(_("Days logged"), numbers.of(row["logged"], row["days"])) for row in _rows(logged)]
    for row in _rows(mood.summary(lived, low=scale.low, high=scale.high, week_starts=subject.week_starts)):
        if row["n"]:
            mean = numbers.mean(row["mean"])
            over = _n("{mean} over {count} day", "{mean} over {count} days", row["n"], mean=mean)
            facts.append((_("Mood, mean"), over))
            high, low = (round(row["n"] * row[share]) for share in ("high_share", "low_share"))
            facts.append((_("High and low days"), _("{high} and {low}", high=high, low=low)))
    tasks = subject.past(subject.tables.tasks, month)
    counts = {status: tasks.filter(status=status).height for status in ("done", "carried", "dropped")}
    if tasks.height:
        ends = {status: numbers.number(count) for status, count in counts.items()}
        facts.append((_("Tasks"), _("{done} done, {carried} times carried, {dropped} dropped", **ends)))
    return facts


def _grid(subject: YearData, month: Period) -> list[Block]:
    """The grid of habits with their rates, and their streaks at the end of the month."""
    states = subject.cut(subject.states, month)
    if states.is_empty():
        return []
    until = min(subject.today, month.last)
    occasions = subject.occasions
    running = streaks.streaks(occasions.filter(pl.col("to") <= month.last), today=until, blank=subject.settings.blank)
    in_force = running.filter(pl.col("habit").is_in(states["habit"].unique().implode()))
    drawn = month_grid.draw(
        states,
        completion.rates(subject.cut(occasions, month), week_starts=subject.week_starts, known=subject.book.dependence),
        in_force,
        month,
        subject.names,
        today=subject.today,
        streak_heading=_("streak now") if subject.today in month else _("streak at the end"),
        key=f"month-grid-{month.key}",
    )
    return [Picture(figure=drawn)]


def _challenge(subject: YearData, month: Period) -> list[Block]:
    ticked = challenges.totals(subject.tables.ticks, today=min(subject.today, month.last))
    rows = habit_cards.challenge_rows(ticked, month, subject.settings)
    if not rows:
        return []
    title = _("Challenge") if len(rows) == 1 else _("Challenges")
    blocks: list[Block] = [Facts(title=title, facts=tuple(rows))]
    own = ticked.filter((pl.col("from") <= month.last) & (pl.col("to") >= month.first))
    drawn = habit_cards.challenge_days_drawn(
        subject.tables, own, month, subject.settings, subject.today, key=f"challenge-days-{month.key}"
    )
    return [*blocks, Picture(figure=drawn)] if drawn else blocks


def written_lines(frame: pl.DataFrame, kind: str, title: str) -> list[Block]:
    """The lines of a kind; empty without any. In: the frame of `lines.lines`."""
    lines = tuple(Line(date=row["date"], text=row["text"]) for row in _rows(frame.filter(kind=kind)))
    return [Lines(title=title, kind=kind, lines=lines)] if lines else []


def _done(subject: YearData, month: Period) -> list[Block]:
    """Done tasks, each title once with its first day. If any was ranked, only the ranked ones."""
    done = subject.past(subject.tables.tasks, month).filter(
        pl.col("status") == "done", pl.col("title").str.strip_chars() != ""
    )
    ranked = done.filter(pl.col("rank").is_not_null())
    shown = ranked if ranked.height else done
    titles = shown.group_by("title", maintain_order=True).agg(pl.col("date").min(), pl.len().alias("times"))
    lines = tuple(
        Line(date=row["date"], text=_titled(row["title"], row["times"]))
        for row in _rows(titles.sort("date", maintain_order=True))
    )
    if not lines:
        return []
    title = _p("tasks of a month", "Done")
    if ranked.height:
        counts = {"ranked": numbers.number(ranked.height), "done": numbers.number(done.height)}
        title = _("Done, of those that came first: {ranked} of {done}", **counts)
    return [Lines(title=title, kind="done", lines=lines)]


def _titled(title: str, times: int) -> str:
    return _("{title}, {count} times", title=title, count=numbers.number(times)) if times > 1 else title


def reflection(subject: YearData, period: Period, title: str | None = None) -> list[Block]:
    """The reflection of a period, by default with a title of its own; empty without one. Notes have no prompt."""
    here = subject.tables.reflections.filter(kind=period.kind, period=period.key).sort("position")
    answers = tuple(
        ReflectionAnswer(prompt=row["prompt"], text=row["answer"]) for row in _rows(here) if row["answer"].strip()
    )
    return [Reflection(title=_("Looking back") if title is None else title, answers=answers)] if answers else []


def _decided(subject: YearData, month: Period) -> list[Block]:
    """The decisions of a month: the habits to keep, change, rest or drop."""
    here = subject.tables.decisions.filter(period=month.key).group_by("decision", maintain_order=True).agg("habit")
    facts = tuple(
        (numbers.begun(entries.decision(row["decision"])), ", ".join(map(subject.settings.habit_name, row["habit"])))
        for row in _rows(here)
    )
    return [Facts(title=_("Decided"), facts=facts)] if facts else []


def _rows(frame: pl.DataFrame) -> list[dict[str, Any]]:
    return list(frame.iter_rows(named=True))
