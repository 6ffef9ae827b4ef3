"""Which habits go with which moods: a difference with its interval a row, strong where it is clear."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import polars as pl

from journal.charts.axis import steps
from journal.charts.figure import Figure
from journal.charts.sheet import LABEL, NARROW, SMALL, TEXT, WIDE, Drawing, Sheet, text_width
from journal.charts.theme import PAGE
from journal.charts.wording import NINETY_FIVE, joined
from journal.measures.link_wording import habit_link
from journal.wording import listed, plural

Row = dict[str, Any]
_NAMED = 4  # a title with more names than this is a list, not a title
_COLUMNS = ("habit", "lag_days", "n_done", "n_missed", "mean_done", "mean_missed", "difference",
            "low", "high", "superiority", "p", "q", "clear")  # fmt: skip


def draw(links: pl.DataFrame, names: Mapping[str, str], *, quantity: str = "mood", key: str = "links-chart") -> Figure:
    """Differences in mood between days with a habit and without it, the same day and later.

    In: the frame of `measures.links.links`; `names` maps a habit to what it is called. Clear links come first, the
    widest on top, then habits in the order of `names`; those with too few days are named below. Out: a Figure; its
    table has habit (its name) and the columns of `links` from lag_days to clear.
    """
    rows = [{**row, "name": names.get(row["habit"], row["habit"])} for row in links.iter_rows(named=True)]
    told = [row for row in rows if row["difference"] is not None]
    groups = _groups(told, list(names))
    few = _few(rows, told)
    title = _title(told, rows, quantity)
    lags = list(dict.fromkeys(sorted(row["lag_days"] for row in told)))
    said = " ".join(habit_link(row, row["name"], what=quantity, pairs=len(told)) for row in told if row["clear"])
    return Figure(
        key=key,
        title=title,
        subtitle=_subtitle(told, quantity),
        alt=joined([f"A row a habit, differences with intervals. {title}.", said, few], " "),
        wide=_wide(groups, lags, few, quantity, len(told)),
        narrow=_narrow(groups, few, quantity, len(told)),
        table=links.with_columns(pl.Series("habit", [row["name"] for row in rows], dtype=pl.String)).select(*_COLUMNS),
    )


def _groups(told: list[Row], order: list[str]) -> list[list[Row]]:
    """The rows of each habit by lag; habits with a clear link first."""
    by_habit: dict[str, list[Row]] = {}
    for row in told:
        by_habit.setdefault(row["habit"], []).append(row)

    def place(habit: str) -> tuple[bool, float, int]:
        clear = [abs(row["difference"]) for row in by_habit[habit] if row["clear"]]
        return not clear, -max(clear, default=0.0), order.index(habit) if habit in order else len(order)

    return [sorted(by_habit[habit], key=lambda row: row["lag_days"]) for habit in sorted(by_habit, key=place)]


def _lag_words(days: int) -> str:
    return {0: "same day", 1: "next day"}.get(days, f"{days} days later")


def _title(told: list[Row], rows: list[Row], quantity: str) -> str:
    """No more than the rows that are clear: how they go, and that nothing else is."""
    if not told:
        return f"Too few days to tell what goes with {quantity}" if rows else f"No habit to set beside {quantity}"
    clear = sorted((row for row in told if row["clear"]), key=lambda row: -abs(row["difference"]))
    if not clear:
        most = max(row["n_done"] + row["n_missed"] for row in told)
        return f"No link with {quantity} is clear in these {plural(most, 'day')}"
    groups: dict[tuple[int, bool], list[str]] = {}
    for row in clear[:_NAMED]:
        groups.setdefault((row["lag_days"], row["difference"] > 0), []).append(row["name"])
    parts = []
    for (lag, better), who in sorted(groups.items(), key=lambda item: item[0][0]):
        goes = "goes" if len(who) == 1 else "go"
        when = "the same day" if lag == 0 else "the day after" if lag == 1 else f"{lag} days after"
        parts.append(f"{listed(who)} {goes} with {'higher' if better else 'lower'} {quantity} {when}")
    more = len(clear) - _NAMED
    rest = f"{more} more are clear" if more > 1 else "one more is clear" if more == 1 else ""
    nothing = "nothing else is clear" if len(clear) < len(told) and not rest else ""
    return joined([*parts, rest, nothing], "; ")


def _subtitle(told: list[Row], quantity: str) -> str:
    if not told:
        return "Each habit needs days with it and days without it, both with a mood, before anything can be said."
    pairs = plural(len(told), "comparison")
    lone = any(not row["clear"] and row["low"] is not None and row["low"] * row["high"] > 0 for row in told)
    return joined(
        [
            f"Mean {quantity} on days with it less that on days without, in points, with its {NINETY_FIVE} interval.",
            f"Strong: clear among all {pairs}." if len(told) > 1 else "",
            "A pale interval beside zero is one that chance alone may set there." if lone else "",
            "What goes together need not bring about the other; to know more, settle by lot on which days to do it.",
        ],
        " ",
    )


def _few(rows: list[Row], told: list[Row]) -> str:
    """Habits of which nothing can be told, with what they have and what they need."""
    seen = {row["habit"] for row in told}
    left = {row["habit"]: row for row in reversed(rows) if row["habit"] not in seen}
    if not left:
        return ""
    each = next(iter(left.values()))["needed"]
    said = [f"{row['name']} ({row['n_done']} with, {row['n_missed']} without)" for row in reversed(left.values())]
    return f"Too few days to tell: {', '.join(said)}; {each} of each are needed."


def _domain(groups: list[list[Row]]) -> list[float]:
    """Steps of an axis that holds every interval, and zero in its middle."""
    ends = [abs(v) for rows in groups for row in rows for v in (row["low"], row["high"], row["difference"])
            if v is not None]  # fmt: skip
    most = max([*ends, 0.1])
    half = steps(0, most, 3)
    return [-v for v in reversed(half[1:])] + half


def signed(value: float) -> str:
    """A difference with its sign, minus as a minus.

    >>> signed(0.56), signed(-0.24), signed(0.02)
    ('+0.6', '−0.2', '0.0')
    """
    text = f"{abs(value):.1f}"
    return text if text == "0.0" else f"{'+' if value > 0 else '−'}{text}"


def _step_word(value: float) -> str:
    return "0" if value == 0 else f"{'+' if value > 0 else '−'}{abs(value):g}"


def _hover(row: Row, quantity: str, pairs: int) -> str:
    told = habit_link(row, row["name"], what=quantity, pairs=pairs)
    if row["low"] is None:
        return told
    size, low, high = (f"{row[k]:+.2f}".replace("-", "−") for k in ("difference", "low", "high"))
    return f"{told} Difference {size}, {NINETY_FIVE} interval {low} to {high}."


def _panel(
    sheet: Sheet,
    placed: list[tuple[Row, float]],
    ticks: list[float],
    *,
    left: float,
    right: float,
    quantity: str,
    pairs: int,
    beyond: float = 4,
) -> None:
    """The rows of one lag at their heights: interval, dot, and the size in words where it is clear."""

    def x(value: float) -> float:
        return left + (value - ticks[0]) / (ticks[-1] - ticks[0]) * (right - left)

    for clear, colour, weight, radius in ((False, PAGE.quiet, 1.8, 3.4), (True, PAGE.accent, 3.4, 5.5)):
        here = [(row, y) for row, y in placed if bool(row["clear"]) is clear]
        sheet.rules(
            [
                {"x": x(row["low"]), "y": y, "x2": x(row["high"]), "y2": y}
                for row, y in here if row["low"] is not None and row["high"] is not None
            ],
            stroke=colour, stroke_width=weight, name="clear intervals" if clear else "intervals",
        )  # fmt: skip
        sheet.dots(
            [{"x": x(row["difference"]), "y": y} for row, y in here],
            radius=radius, fill=colour, name="clear" if clear else "unclear",
        )  # fmt: skip
        if not clear:
            continue
        for row, y in here:
            text = signed(row["difference"])
            end = x(row["high"] if row["high"] is not None else row["difference"]) + 8
            start = x(row["low"] if row["low"] is not None else row["difference"]) - 8
            fits = end + text_width(text, TEXT) <= right + beyond
            sheet.texts(
                [{"x": end if fits else start, "y": y, "text": text}],
                bold=True, align="left" if fits else "right", name="sizes",
            )  # fmt: skip
    sheet.rects(
        [
            {"x": left, "y": y - 9, "x2": right, "y2": y + 9, "label": _hover(row, quantity, pairs)}
            for row, y in placed
        ],
        name="hover",
    )  # fmt: skip


def _axis(
    sheet: Sheet,
    ticks: list[float],
    *,
    left: float,
    right: float,
    top: float,
    bottom: float,
    worded: bool = True,
) -> None:
    across = [(v, left + (v - ticks[0]) / (ticks[-1] - ticks[0]) * (right - left)) for v in ticks]
    sheet.rules(
        [{"x": x, "y": top, "x2": x, "y2": bottom} for v, x in across if v != 0], stroke=PAGE.line, name="steps"
    )
    sheet.rules(
        [{"x": x, "y": top, "x2": x, "y2": bottom} for v, x in across if v == 0],
        stroke=PAGE.quiet, stroke_width=1.4, name="zero",
    )  # fmt: skip
    sheet.texts(
        [{"x": x, "y": bottom + 12, "text": _step_word(v)} for v, x in across if worded],
        size=SMALL, colour=PAGE.muted, align="center", name="steps",
    )  # fmt: skip


def _wide(groups: list[list[Row]], lags: list[int], few: str, quantity: str, pairs: int) -> Drawing:
    sheet = Sheet(WIDE)
    step, top = 29.0, 46.0
    label = min(210.0, 18 + max((text_width(rows[0]["name"], LABEL) for rows in groups), default=60))
    counts, gap = 84.0, 26.0
    panel = (WIDE - label - gap * max(0, len(lags) - 1)) / max(1, len(lags)) - counts
    bottom = top + len(groups) * step
    middles = [top + (i + 0.5) * step for i in range(len(groups))]
    ticks = _domain(groups)
    sheet.rules(
        [{"x": 0, "y": y + step / 2, "x2": WIDE, "y2": y + step / 2} for y in middles[:-1]],
        stroke=PAGE.line, name="lines",
    )  # fmt: skip
    sheet.texts(
        [
            {"x": 0, "y": y, "text": rows[0]["name"], "label": rows[0]["name"]}
            for rows, y in zip(groups, middles, strict=True)
        ],
        size=LABEL, limit=label - 14, name="habits",
    )  # fmt: skip
    for nth, lag in enumerate(lags):
        left = label + nth * (panel + counts + gap)
        right = left + panel
        placed = [(row, y) for rows, y in zip(groups, middles, strict=True) for row in rows if row["lag_days"] == lag]
        _axis(sheet, ticks, left=left + 10, right=right - 10, top=top - 8, bottom=bottom)
        _panel(sheet, placed, ticks, left=left + 10, right=right - 10, quantity=quantity, pairs=pairs)
        sheet.texts([{"x": left + 10, "y": 10, "text": _heading(lag, quantity)}], size=TEXT, bold=True, name="lags")
        sheet.texts(
            [{"x": right + 34, "y": 28, "text": "with"}, {"x": right + 82, "y": 28, "text": "without"}],
            size=SMALL, colour=PAGE.muted, align="right", name="count heads",
        )  # fmt: skip
        sheet.texts(
            [
                {"x": right + at, "y": y, "text": str(row[side])}
                for row, y in placed for side, at in (("n_done", 34), ("n_missed", 82))
            ],
            size=TEXT, colour=PAGE.muted, align="right", name="counts",
        )  # fmt: skip
    return sheet.drawing(_foot(sheet, few, bottom + (30 if groups else -20)))


def _heading(lag: int, quantity: str) -> str:
    return f"{quantity.capitalize()} the {_lag_words(lag)}" if lag < 2 else f"{quantity.capitalize()} {_lag_words(lag)}"


def _narrow(groups: list[list[Row]], few: str, quantity: str, pairs: int) -> Drawing:
    """A block a habit: its name, then a line a lag with the days behind it."""
    sheet = Sheet(NARROW)
    left, right, line = 66.0, NARROW - 76, 20.0
    ticks, y = _domain(groups), 26.0
    few_ticks = ticks[:: 2 if len(ticks) > 5 else 1]
    placed: list[tuple[Row, float]] = []
    for rows in groups:
        name = rows[0]["name"]
        sheet.texts([{"x": 0, "y": y, "text": name, "label": name}], size=LABEL, limit=NARROW, name="habits")
        y += line
        for row in rows:
            placed.append((row, y))
            y += line
        last = rows is groups[-1]
        ends = (y - line * (len(rows) + 0.5), y - line / 2)
        _axis(sheet, few_ticks, left=left, right=right, top=ends[0], bottom=ends[1], worded=last)
        y += 8
    if groups:
        sheet.texts(
            [{"x": NARROW, "y": 8, "text": "days with, without"}],
            size=SMALL, colour=PAGE.muted, align="right", name="count heads",
        )  # fmt: skip
    _panel(sheet, placed, ticks, left=left, right=right, quantity=quantity, pairs=pairs, beyond=26)
    sheet.texts(
        [{"x": 0, "y": at, "text": _lag_words(row["lag_days"])} for row, at in placed],
        size=SMALL, colour=PAGE.muted, name="lags",
    )  # fmt: skip
    sheet.texts(
        [{"x": NARROW, "y": at, "text": f"{row['n_done']}, {row['n_missed']}"} for row, at in placed],
        size=SMALL, colour=PAGE.muted, align="right", name="counts",
    )  # fmt: skip
    return sheet.drawing(_foot(sheet, few, y + (16 if groups else -16)))


def _foot(sheet: Sheet, text: str, y: float) -> float:
    """A quiet sentence over as many lines as it needs; returns the height to end at."""
    line = ""
    for word in text.split():
        if line and text_width(f"{line} {word}", SMALL) > sheet.width:
            sheet.texts([{"x": 0, "y": y, "text": line}], size=SMALL, colour=PAGE.muted, name="too few")
            line, y = word, y + 16
        else:
            line = f"{line} {word}".strip()
    sheet.texts([{"x": 0, "y": y, "text": line}] if line else [], size=SMALL, colour=PAGE.muted, name="too few")
    return max(20.0, y + (12 if line else -2))
