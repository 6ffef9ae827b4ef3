"""Completion of ranked tasks against unranked ones."""

from __future__ import annotations

import polars as pl

from journal.call_arguments import checked
from journal.charts import shares
from journal.charts.canvas import LABEL, NARROW, SMALL, TEXT, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.frames import Row
from journal.language.catalogue import _, _n
from journal.wording import numbers

_WIDE = 640


@checked
def draw(by_rank: pl.DataFrame, *, key: str = "ranked-share") -> Figure:
    """Shares done of ranked and of unranked tasks, with their intervals.

    In: the frame of `tasks.by_rank`. Out: a Figure; its table is that frame. The title claims a difference only if its
    interval excludes zero.
    """
    rows = [row for row in by_rank.iter_rows(named=True) if row["tasks"]]
    title = _title(rows)
    return Figure(
        key=key,
        title=title,
        subtitle=_(
            "Share done, with its {level} interval, of tasks that ever had a rank and of others; those that were "
            "dropped or still wait count as not done. Only ranks given by lot could tell what a rank does.",
            level=numbers.NINETY_FIVE,
        ),
        alt=numbers.joined([_("Two shares with intervals."), f"{title}.", _alt(rows)], " "),
        wide=_rows(rows, _WIDE),
        narrow=_rows(rows, NARROW),
        table=by_rank,
    )


def _name(row: Row) -> str:
    return _("Ranked") if row["ranked"] else _("Without a rank")


def _title(rows: list[Row]) -> str:
    if not rows:
        return _("No task can be counted yet")
    if len(rows) == 1:
        counts = {"done": rows[0]["done"], "tasks": rows[0]["tasks"]}
        if rows[0]["ranked"]:
            return _("Every task so far had a rank: {done} of {tasks} are done", **counts)
        return _("No task so far had a rank: {done} of {tasks} are done", **counts)
    rates = {"ranked": numbers.percent(rows[0]["rate"]), "others": numbers.percent(rows[1]["rate"])}
    low, high = rows[0]["difference_low"], rows[0]["difference_high"]
    if low > 0:
        return _("Ranked tasks are done more often, also because they were chosen: {ranked} against {others}", **rates)
    if high < 0:
        return _("Ranked tasks, chosen for a reason, are done less often: {ranked} against {others}", **rates)
    return _("No clear difference: {ranked} of ranked tasks are done, {others} of others", **rates)


def _count_text(row: Row) -> str:
    return _n("{done} of {count} task", "{done} of {count} tasks", row["tasks"], done=numbers.number(row["done"]))


def _alt(rows: list[Row]) -> str:
    parts = [
        _(
            "{tasks}: {count}, {share}, interval {interval}",
            tasks=_name(row),
            count=_count_text(row),
            share=numbers.percent(row["rate"]),
            interval=numbers.interval(row["low"], row["high"]),
        )
        for row in rows
    ]
    return "; ".join(parts) + "." if parts else ""


def _rows(rows: list[Row], width: float) -> Drawing:
    sheet, wide = Canvas(width), width > NARROW
    names = max((text_width(_name(row), LABEL) for row in rows), default=0) * 1.05
    counts = max((text_width(_count_text(row), TEXT) for row in rows), default=0) * 1.05
    left, right = (max(130.0, names + 20), width - max(130.0, counts + 20)) if wide else (14.0, width - 18)
    step, above = (36.0, 0.0) if wide else (52.0, 22.0)
    bottom = 8 + len(rows) * step

    def x(share: float) -> float:
        return left + share * (right - left)

    middles = [8 + n * step + above + (step - above) / 2 for n in range(len(rows))]
    if rows:
        spans = [(8.0, bottom)] if wide else [(y - 11, y + 11) for y in middles]
        sheet.rules(
            [{"x": x(s), "y": a, "x2": x(s), "y2": b} for s in (0, 0.25, 0.5, 0.75, 1) for a, b in spans],
            stroke=PAGE.line, name="axis",
        )  # fmt: skip
        ticks = ((0, "0"), (0.5, "50"), (1, numbers.percent(1)))
        sheet.texts(
            [{"x": x(share), "y": bottom + 13, "text": text} for share, text in ticks],
            size=SMALL, colour=PAGE.muted, align="center", name="shares",
        )  # fmt: skip
    words = [(row, y if wide else y - 24) for row, y in zip(rows, middles, strict=True)]
    sheet.texts([{"x": 0, "y": y, "text": _name(row)} for row, y in words], size=LABEL, name="names")
    sheet.texts(
        [{"x": width, "y": y, "text": _count_text(row)} for row, y in words], size=TEXT, align="right", name="counts"
    )
    placed = list(zip(rows, middles, strict=True))
    sheet.rules(
        [{"x": x(row["low"]), "y": y, "x2": x(row["high"]), "y2": y} for row, y in placed],
        stroke=PAGE.quiet, stroke_width=2.2, name="intervals",
    )  # fmt: skip
    sheet.dots([{"x": x(row["rate"]), "y": y} for row, y in placed], radius=5, fill=PAGE.accent, name="rates")
    sheet.rects(
        [
            {
                "x": left, "y": y - 12, "x2": right, "y2": y + 12,
                "label": f"{_name(row)}: {_count_text(row)}, {shares.with_interval(row)}",
            }
            for row, y in placed
        ],
        name="hover",
    )  # fmt: skip
    return sheet.drawing(bottom + 22 if rows else 20)
