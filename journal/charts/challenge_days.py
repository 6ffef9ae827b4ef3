"""Challenges day by day, aligned at their first days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

import polars as pl

from journal.call_arguments import checked
from journal.charts import shares
from journal.charts.canvas import LABEL, NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.marks import MarkCell, draw_key, draw_marks
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.language.catalogue import _, _n
from journal.wording import dates, numbers

_PER_LINE = 31  # days per line; most challenges fit on one line
_COLUMNS = ("challenge", "from", "to", "days", "ticks", "rate", "low", "high", "longest", "caught_up")


@checked
def draw(
    ticks: pl.DataFrame,
    totals: pl.DataFrame,
    names: Mapping[str, str],
    *,
    today: dt.date,
    key: str = "challenge-days",
) -> Figure:
    """A mark per day of every challenge that has begun, in the order of `totals`.

    In: `Tables.ticks` (challenge, date, ticked, and optionally caught_up, the later Date on which a tick was
    earned) with `logged` (Boolean) of the day, and the frame of `challenges.totals`; `names` maps a challenge's key to
    its name. A day without a tick is drawn as not done if it was logged, else as blank. Out: a
    Figure; its table has challenge (its name), from, to, days, ticks, rate, low, high, longest, caught_up.
    """
    rows = [{**row, "name": names.get(row["challenge"], row["challenge"])} for row in totals.iter_rows(named=True)]
    caught_up = pl.col("caught_up") if "caught_up" in ticks.columns else pl.lit(None, pl.Date)
    all_days = ticks.select("challenge", "date", "ticked", "logged", caught_up.alias("caught_up")).sort("date")
    for row in rows:
        days = all_days.filter(pl.col("challenge") == row["challenge"]).iter_rows(named=True)
        row["cells"] = [state(day, today) | {"date": day["date"]} for day in days]
    title = _title(rows)
    records = [{**row, "challenge": row["name"]} for row in rows]
    return Figure(
        key=key,
        title=title,
        subtitle=_("A mark a day, from each challenge's first day on.") if rows else "",
        alt=numbers.joined([_("Marks by day, a row a challenge."), f"{title}.", _alt(rows)], " "),
        wide=_wide(rows),
        narrow=_narrow(rows),
        table=pl.DataFrame(
            [{k: record[k] for k in _COLUMNS if k in record} for record in records],
            schema={k: v for k, v in totals.schema.items() if k in _COLUMNS},
        ),
    )


def state(day: Row, today: dt.date) -> Row:
    """The mark of a day of a challenge: its `shape`, and in words, `text`. In: a row of ticks, with `logged`."""
    caught_up, date = day["caught_up"], day["date"]
    if date > today:
        return {"shape": "pending", "text": _("still to come")}
    if day["ticked"] and (caught_up is None or caught_up <= today):
        if caught_up is not None and caught_up != date:
            return {"shape": "caught up", "text": _("caught up on {date}", date=dates.day(caught_up, weekday=False))}
        return {"shape": "done", "text": _("done")}
    if date == today and not day["ticked"]:
        return {"shape": "pending", "text": _("still to come")}
    if day["ticked"] is None and not day["logged"]:
        return {"shape": "blank", "text": _("not recorded")}
    return {"shape": "missed", "text": _("not done") if day["ticked"] is not None else _("logged without a tick")}


def _count_text(row: Row) -> str:
    if not row["days"]:
        return _("begins today")
    return numbers.of(row["ticks"], row["days"], "day")


def _title(rows: list[Row]) -> str:
    if not rows:
        return _("No challenge has begun")
    if len(rows) > 3:
        kept = [row for row in rows if row["rate"] is not None]
        best = max(kept, key=lambda row: (row["rate"], row["days"]), default=rows[0])
        return _(
            "{count} challenges; the fullest is {challenge}, {days}",
            count=len(rows),
            challenge=best["name"],
            days=_count_text(best),
        )
    return "; ".join(f"{row['name']}: {_count_text(row)}" for row in rows)


def _detail(row: Row) -> str:
    """The text below the count: the longest run, and the number of days caught up."""
    late = row.get("caught_up") or 0
    longest = row["longest"] or 0
    return numbers.joined(
        [
            _n("longest run {count} day", "longest run {count} days", longest) if longest > 1 else "",
            _("{count} caught up", count=late) if late else "",
        ]
    )


def _span(row: Row) -> str:
    return dates.stretch(row["from"], row["to"])


def _alt(rows: list[Row]) -> str:
    sentences = []
    for row in rows:
        known = row["rate"] is not None
        rate = numbers.percent(row["rate"]) if known else ""
        spread = shares.interval(row) if known else ""
        sentences.append(
            numbers.joined([f"{row['name']}, {_span(row)}: {_count_text(row)}", rate, spread, _detail(row)], ", ")
        )
    return "; ".join(sentences) + "." if sentences else ""


def _lines(row: Row) -> int:
    return max(1, -(-len(row["cells"]) // _PER_LINE))


def _cells(row: Row, *, left: float, top: float, pitch: float, line: float) -> list[MarkCell]:
    return [
        MarkCell(
            shape=day["shape"],
            x=left + (nth % _PER_LINE + 0.5) * pitch,
            y=top + nth // _PER_LINE * line,
            label=_(
                "{challenge}, {date}, day {number}: {state}",
                challenge=row["name"],
                date=dates.day(day["date"], weekday=False),
                number=nth + 1,
                state=day["text"],
            ),
        )
        for nth, day in enumerate(row["cells"])
    ]


def _heads(sheet: Canvas, rows: list[Row], *, left: float, pitch: float) -> None:
    longest = min(_PER_LINE, max((len(row["cells"]) for row in rows), default=0))
    sheet.texts(
        [{"x": left, "y": 9, "text": _("day {number}", number=1)}] if longest else [],
        size=SMALL,
        colour=PAGE.muted,
        name="days",
    )
    sheet.texts(
        [{"x": left + (day - 0.5) * pitch, "y": 9, "text": str(day)} for day in range(8, longest + 1, 7)],
        size=SMALL, colour=PAGE.muted, align="center", name="days",
    )  # fmt: skip


def _wide(rows: list[Row]) -> Drawing:
    sheet, line = Canvas(WIDE), 19.0
    label = min(
        210.0, 20 + max((max(text_width(r["name"], LABEL), text_width(_span(r), SMALL)) for r in rows), default=60)
    )
    beside = (max(text_width(_count_text(row), LABEL), text_width(_detail(row), SMALL)) for row in rows)
    pitch = min(18.2, (WIDE - label - 16 - max(beside, default=0)) / _PER_LINE)
    right, y = label + _PER_LINE * pitch, 24.0
    _heads(sheet, rows, left=label, pitch=pitch)
    cells: list[MarkCell] = []
    for nth, row in enumerate(rows):
        high = max(40.0, _lines(row) * line + 14)
        if nth:
            sheet.rules([{"x": 0, "y": y, "x2": WIDE, "y2": y}], stroke=PAGE.line, name="lines")
        cells += _cells(row, left=label, top=y + (20 if _lines(row) == 1 else 17), pitch=pitch, line=line)
        for x, heading, detail in ((0.0, row["name"], _span(row)), (right + 16, _count_text(row), _detail(row))):
            limit = label - 14 if x == 0 else WIDE - x
            sheet.texts(
                [{"x": x, "y": y + 13, "text": heading, "label": heading}], size=LABEL, limit=limit, name="names"
            )
            sheet.texts([{"x": x, "y": y + 29, "text": detail}] if detail else [], size=SMALL, colour=PAGE.muted,
                        limit=limit, name="more")  # fmt: skip
        y += high
    draw_marks(sheet, cells, width=13, height=13, pitch=(pitch, line))
    below = draw_key(sheet, [c.shape for c in cells], x=label if rows else 0, y=y + 16, size=12)
    return sheet.drawing(below + 4 if rows else 20)


def _fitted(parts: list[str], width: float) -> list[str]:
    """Texts in one line, or in one each if they do not fit beside each other."""
    line = numbers.joined(parts)
    return [line] if text_width(line, SMALL) <= width else [part for part in parts if part]


def _narrow(rows: list[Row]) -> Drawing:
    sheet, pitch, line, y = Canvas(NARROW), NARROW / _PER_LINE, 20.0, 20.0
    _heads(sheet, rows, left=0, pitch=pitch)
    cells: list[MarkCell] = []
    for row in rows:
        counts = _count_text(row)
        limit = NARROW - text_width(counts, TEXT) - 24
        sheet.texts([{"x": 0, "y": y + 10, "text": row["name"], "label": row["name"]}], size=LABEL, limit=limit,
                    name="names")  # fmt: skip
        sheet.texts([{"x": NARROW, "y": y + 10, "text": counts}], size=TEXT, align="right", name="counts")
        cells += _cells(row, left=0, top=y + 32, pitch=pitch, line=line)
        y += 32 + _lines(row) * line - 4
        for more in _fitted([_span(row), _detail(row)], NARROW):
            sheet.texts([{"x": 0, "y": y + 4, "text": more}], size=SMALL, colour=PAGE.muted, limit=NARROW, name="more")
            y += 16
        y += 10
    draw_marks(sheet, cells, width=8.4, height=14, pitch=(pitch, line))
    below = draw_key(sheet, [c.shape for c in cells], x=0, y=y + 8)
    return sheet.drawing(below + 4 if rows else 20)
