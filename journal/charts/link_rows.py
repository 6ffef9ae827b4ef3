"""Rows of links: one estimate with its interval per row and lag. Clear ones are emphasised, others are quiet.

`links_chart` draws links with habits, `correlates_chart` links with measured quantities.
"""

from __future__ import annotations

import msgspec
import polars as pl

from journal.charts import link_titles, quantities
from journal.charts.axis import steps
from journal.charts.canvas import LABEL, NARROW, SMALL, TEXT, WIDE, Canvas, Drawing, text_width
from journal.charts.figure import Figure
from journal.charts.theme import PAGE
from journal.language import digits
from journal.language.catalogue import _
from journal.wording import numbers


class Link(msgspec.Struct, frozen=True, kw_only=True):
    """One estimate: its subject, the lag of mood in days, its size with the interval, the formatted counts behind it,
    and its hover text."""

    key: str
    name: str
    lag: int
    size: float
    low: float | None
    high: float | None
    clear: bool
    counts: tuple[str, ...]
    label: str


class Links(msgspec.Struct, frozen=True, kw_only=True):
    """The content of a drawing. `heads` are the headings of the counts, `narrow_head` the one for all of them, `places`
    the decimals of a size, `few` a sentence on the subjects with too few days."""

    rows: list[Link]
    heads: tuple[str, ...]
    narrow_head: str
    places: int
    quantity: str
    few: str

    @property
    def lags(self) -> list[int]:
        return sorted({row.lag for row in self.rows})

    def groups(self) -> list[list[Link]]:
        """Rows grouped by key and sorted by lag. Keys with a clear link come first, the largest on top."""
        by_key: dict[str, list[Link]] = {}
        for row in self.rows:
            by_key.setdefault(row.key, []).append(row)

        def place(key: str) -> tuple[bool, float]:
            clear = [abs(row.size) for row in by_key[key] if row.clear]
            return not clear, -max(clear, default=0.0)

        return [sorted(by_key[key], key=lambda row: row.lag) for key in sorted(by_key, key=place)]


def figure(
    shown: Links, *, key: str, title: str, a_row: str, measured: str, caution: str, nothing: str, pairs: int,
    strong: str, table: pl.DataFrame,
) -> Figure:  # fmt: skip
    """The figure of both drawings. Its subtitle is `measured`, `strong` (of emphasis) and `caution`, or `nothing`."""
    subtitle = numbers.joined([measured, link_titles.strength(shown.rows, pairs, strong), caution], " ")
    return Figure(
        key=key,
        title=title,
        subtitle=subtitle if shown.rows else nothing,
        alt=numbers.joined([f"{a_row} {title}.", *(row.label for row in shown.rows if row.clear), shown.few], " "),
        wide=wide(shown),
        narrow=narrow(shown),
        table=table,
    )


def _domain(rows: list[Link]) -> list[float]:
    """Ticks of an axis that covers every interval and has zero in the middle."""
    ends = [abs(v) for row in rows for v in (row.low, row.high, row.size) if v is not None]
    most = max([*ends, 0.1])
    half = steps(0, most, 3)
    return [-v for v in reversed(half[1:])] + half


def signed(value: float, places: int = 1) -> str:
    """A number with its sign, using U+2212 for minus.

    >>> signed(0.56), signed(-0.24), signed(0.02), signed(0.02, 2)
    ('+0.6', '−0.2', '0.0', '+0.02')
    """
    text = f"{abs(value):.{places}f}"
    sign = "" if not float(text) else "+" if value > 0 else "−"
    return sign + digits.signed(text)


def _step_word(value: float) -> str:
    return "0" if value == 0 else f"{'+' if value > 0 else '−'}{digits.signed(f'{abs(value):g}')}"


def _panel(
    sheet: Canvas,
    placed: list[tuple[Link, float]],
    ticks: list[float],
    *,
    left: float,
    right: float,
    places: int,
    beyond: float = 4,
) -> None:
    """Draw the rows of one lag: interval, dot, and the size as text for clear ones."""

    def x(value: float) -> float:
        return left + (value - ticks[0]) / (ticks[-1] - ticks[0]) * (right - left)

    for clear, colour, weight, radius in ((False, PAGE.quiet, 1.8, 3.4), (True, PAGE.accent, 3.4, 5.5)):
        here = [(row, y) for row, y in placed if row.clear is clear]
        sheet.rules(
            [
                {"x": x(row.low), "y": y, "x2": x(row.high), "y2": y}
                for row, y in here if row.low is not None and row.high is not None
            ],
            stroke=colour, stroke_width=weight, name="clear intervals" if clear else "intervals",
        )  # fmt: skip
        sheet.dots(
            [{"x": x(row.size), "y": y} for row, y in here],
            radius=radius, fill=colour, name="clear" if clear else "unclear",
        )  # fmt: skip
        if not clear:
            continue
        for row, y in here:
            text = signed(row.size, places)
            end = x(row.size if row.high is None else row.high) + 8
            start = x(row.size if row.low is None else row.low) - 8
            fits = end + text_width(text, TEXT) <= right + beyond
            sheet.texts(
                [{"x": end if fits else start, "y": y, "text": text}],
                bold=True, align="left" if fits else "right", name="sizes",
            )  # fmt: skip
    sheet.rects(
        [{"x": left, "y": y - 9, "x2": right, "y2": y + 9, "label": row.label} for row, y in placed], name="hover"
    )


def _axis(
    sheet: Canvas,
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


def wide(links: Links) -> Drawing:
    """One row per name and one panel per lag, with the counts beside it."""
    sheet, groups, lags = Canvas(WIDE), links.groups(), links.lags
    step, top = 29.0, 46.0
    label = min(210.0, 18 + max((text_width(rows[0].name, LABEL) for rows in groups), default=60))
    count = max(48.0, 10 + max(text_width(head, SMALL) for head in links.heads))
    counts, gap = 36.0 + count * (len(links.heads) - 1), 26.0
    panel = (WIDE - label - gap * max(0, len(lags) - 1)) / max(1, len(lags)) - counts
    bottom = top + len(groups) * step
    middles = [top + (i + 0.5) * step for i in range(len(groups))]
    ticks = _domain(links.rows)
    sheet.rules(
        [{"x": 0, "y": y + step / 2, "x2": WIDE, "y2": y + step / 2} for y in middles[:-1]],
        stroke=PAGE.line, name="lines",
    )  # fmt: skip
    sheet.texts(
        [
            {"x": 0, "y": y, "text": rows[0].name, "label": rows[0].name}
            for rows, y in zip(groups, middles, strict=True)
        ],
        size=LABEL, limit=label - 14, name="names",
    )  # fmt: skip
    for nth, lag in enumerate(lags):
        left = label + nth * (panel + counts + gap)
        right = left + panel
        placed = [(row, y) for rows, y in zip(groups, middles, strict=True) for row in rows if row.lag == lag]
        _axis(sheet, ticks, left=left + 10, right=right - 10, top=top - 8, bottom=bottom)
        _panel(sheet, placed, ticks, left=left + 10, right=right - 10, places=links.places)
        sheet.texts(
            [{"x": left + 10, "y": 10, "text": _heading(lag, links.quantity)}], size=TEXT, bold=True, name="lags"
        )
        ends = [right + 34 + count * place for place in range(len(links.heads))]
        sheet.texts(
            [{"x": x, "y": 28, "text": text} for x, text in zip(ends, links.heads, strict=True)],
            size=SMALL, colour=PAGE.muted, align="right", name="count heads",
        )  # fmt: skip
        sheet.texts(
            [
                {"x": x, "y": y, "text": text}
                for row, y in placed for x, text in zip(ends, row.counts, strict=True)
            ],
            size=TEXT, colour=PAGE.muted, align="right", name="counts",
        )  # fmt: skip
    return sheet.drawing(_foot(sheet, links.few, bottom + (30 if groups else -20)))


def _lag_words(days: int) -> str:
    if days < 2:
        return _("next day") if days else _("same day")
    return _("{count} days later", count=days)


def _heading(lag: int, quantity: str) -> str:
    name = quantities.heading(quantity)
    if lag < 2:
        return _("{quantity} the next day", quantity=name) if lag else _("{quantity} the same day", quantity=name)
    return _("{quantity} {count} days later", quantity=name, count=lag)


def narrow(links: Links) -> Drawing:
    """One block per name with one line per lag, followed by the counts."""
    sheet, groups = Canvas(NARROW), links.groups()
    left = max(66.0, 10 + max((text_width(_lag_words(lag), SMALL) for lag in links.lags), default=0))
    right, line = NARROW - 76, 20.0
    ticks, y = _domain(links.rows), 26.0
    few_ticks = ticks if len(ticks) <= 5 else [ticks[0], 0, ticks[-1]]
    placed: list[tuple[Link, float]] = []
    for rows in groups:
        name = rows[0].name
        sheet.texts([{"x": 0, "y": y, "text": name, "label": name}], size=LABEL, limit=NARROW, name="names")
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
            [{"x": NARROW, "y": 8, "text": links.narrow_head}],
            size=SMALL, colour=PAGE.muted, align="right", name="count heads",
        )  # fmt: skip
    _panel(sheet, placed, ticks, left=left, right=right, places=links.places, beyond=26)
    sheet.texts(
        [{"x": 0, "y": at, "text": _lag_words(row.lag)} for row, at in placed],
        size=SMALL, colour=PAGE.muted, name="lags",
    )  # fmt: skip
    sheet.texts(
        [{"x": NARROW, "y": at, "text": ", ".join(row.counts)} for row, at in placed],
        size=SMALL, colour=PAGE.muted, align="right", name="counts",
    )  # fmt: skip
    return sheet.drawing(_foot(sheet, links.few, y + (16 if groups else -16)))


def _foot(sheet: Canvas, text: str, y: float) -> float:
    """Draw a quiet sentence over as many lines as it needs. Returns the y below it."""
    line = ""
    for word in text.split():
        if line and text_width(f"{line} {word}", SMALL) > sheet.width:
            sheet.texts([{"x": 0, "y": y, "text": line}], size=SMALL, colour=PAGE.muted, name="too few")
            line, y = word, y + 16
        else:
            line = f"{line} {word}".strip()
    sheet.texts([{"x": 0, "y": y, "text": line}] if line else [], size=SMALL, colour=PAGE.muted, name="too few")
    return max(20.0, y + (12 if line else -2))
