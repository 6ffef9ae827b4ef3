"""The ornament of a day: a Turk's head knot, the plaited ring of a thread that crosses over and under itself.

    of(date)         its parameters
    svg(ornament)    its drawing, 100 by 100

It depends only on the date. Monday's ring has five bights (outer turns), Tuesday's six, and so on to Sunday's eleven,
so that consecutive days differ. A digest of the date selects the other parameters. A Turk's head of `leads` and
`bights` is one thread if the two have no common divisor (Ashley, The Ashley Book of Knots, 1944, no. 1303, from
memory). Only those are drawn.
"""

from __future__ import annotations

import cmath
import datetime as dt
import hashlib
import math
from collections.abc import Callable, Iterator, Sequence
from typing import Literal, TypeVar

import msgspec

Thread = Literal["plain", "ply", "stitched", "solid"]
Middle = Literal["eye", "star", "rosette", "beads", "open"]
Border = Literal["none", "holes", "stitches", "scallops"]
_Option = TypeVar("_Option")

_LEADS = (3, 4, 5)  # with two leads and few bights the crossings are too flat to tell over from under
_THREADS: tuple[Thread, ...] = ("plain", "ply", "stitched", "solid")
_MIDDLES: tuple[Middle, ...] = ("eye", "star", "rosette", "beads", "open")
_BORDERS: tuple[Border, ...] = ("none", "holes", "stitches", "scallops")
_TURNS = (-0.05, 0.0, 0.07)  # below 1/9, so that the thread runs from bight to bight without turning back
_MONDAY_BIGHTS = 5
_STAR_BIGHTS = 7  # stars of five and six points have meanings of their own

_INK, _GROUND = "#23263B", "#FFFFFF"
_HAIR = 0.9  # drawing units; 2/3 pt if the ornament is 25 mm wide
_CENTRE = 50.0
_OUTER = 37.0  # of the centre line of the thread; the border lies outside
_INNER = {3: (13.0, 19.0), 4: (11.0, 15.0), 5: (9.5, 12.0)}  # radius for a deep and a shallow ring, by leads
_GAP = 1.3  # gap in the lower thread on either side of the upper one
_STEPS = 14  # curves per bight; at most 0.02 units from the exact line


class Ornament(msgspec.Struct, frozen=True, kw_only=True):
    """The parameters. `turn` makes the bights round (0), broad (negative) or pointed (positive); `shallow` narrows the
    ring."""

    bights: int
    leads: int
    turn: float
    shallow: bool
    thread: Thread
    middle: Middle
    border: Border


def of(date: dt.date) -> Ornament:
    """The ornament of a day.

    >>> friday = of(dt.date(2025, 3, 14))
    >>> friday == of(dt.date(2025, 3, 14)), friday.bights, friday == of(dt.date(2025, 3, 21))
    (True, 9, False)
    """
    bights = _MONDAY_BIGHTS + date.weekday()
    picks = iter(hashlib.blake2b(date.isoformat().encode(), digest_size=8).digest())

    def pick(options: Sequence[_Option]) -> _Option:
        return options[next(picks) % len(options)]

    return Ornament(
        bights=bights,
        leads=pick([leads for leads in _LEADS if math.gcd(leads, bights) == 1]),
        turn=pick(_TURNS),
        shallow=pick((False, True)),
        thread=pick(_THREADS),
        middle=pick([middle for middle in _MIDDLES if middle != "star" or bights >= _STAR_BIGHTS]),
        border=pick(_BORDERS),
    )


def svg(ornament: Ornament) -> str:
    """The drawing in ink on white, an SVG of 100 by 100 units.

    >>> drawn = svg(of(dt.date(2025, 3, 14)))
    >>> drawn[:47], drawn == svg(of(dt.date(2025, 3, 14)))
    ('<svg xmlns="http://www.w3.org/2000/svg" viewBox', True)
    """
    parts = [*_plait(_Ring(ornament)), *_middle(ornament), *_border(ornament)]
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" width="100" height="100" fill="none" '
        f'stroke-linejoin="round">{"".join(parts)}</svg>'
    )


class _Ring:
    """The centre line of the thread: `leads` times round, in and out `bights` times. t is the angle (0 is up)."""

    def __init__(self, ornament: Ornament) -> None:
        self.ornament = ornament
        self.bights, self.leads = ornament.bights, ornament.leads
        self.inner = _INNER[ornament.leads][ornament.shallow]
        self.radius, self.swing = (_OUTER + self.inner) / 2, (_OUTER - self.inner) / 2
        # The widest thread that leaves gaps between neighbours at the inner crossings.
        self.width = min(4.6, 0.40 * math.tau * self.inner / ornament.bights, 1.1 * self.swing / (ornament.leads - 0.5))
        self.length = math.tau * ornament.leads

    def at(self, t: float) -> complex:
        u, turn = self.bights * t / self.leads, self.ornament.turn
        r = self.radius + self.swing * (math.cos(u) + turn * math.cos(3 * u)) / (1 + turn)
        return complex(_CENTRE, _CENTRE) + r * cmath.rect(1, t - math.pi / 2)

    def crossings(self) -> Iterator[tuple[float, float]]:
        """The parameters (over, under) of each crossing. Over and under alternate along the thread."""
        for j in range(1, self.leads):
            for m in range(self.bights):
                here = math.pi * m * self.leads / self.bights
                times = here - math.pi * j, here + math.pi * j
                u = self.bights * times[0] / self.leads
                row = round(math.acos(math.cos(u)) / math.pi * self.leads)  # counted from the outer edge, starting at 1
                inwards = math.sin(u) > 0
                first_over = inwards == (row % 2 == 1)
                yield times if first_over else (times[1], times[0])


def _curve(at: Callable[[float], complex], start: float, end: float, steps: int) -> str:
    """A path along a curve, of cubics with its tangents at both ends."""
    size = (end - start) / steps

    def slope(t: float) -> complex:
        return (at(t + 1e-5) - at(t - 1e-5)) / 2e-5

    commands = [f"M{_point(at(start))}"]
    for nth in range(steps):
        left, right = start + nth * size, start + (nth + 1) * size
        handles = at(left) + slope(left) * size / 3, at(right) - slope(right) * size / 3, at(right)
        commands.append(f"C{' '.join(map(_point, handles))}")
    return "".join(commands)


def _point(z: complex) -> str:
    return f"{z.real:.2f},{z.imag:.2f}"


def _line(path: str, width: float, colour: str = _INK, *, round_ends: bool = False) -> str:
    cap = ' stroke-linecap="round"' if round_ends else ""
    return f'<path d="{path}" stroke="{colour}" stroke-width="{width:.2f}"{cap}/>'


def _circle(at: complex, radius: float, *, filled: bool = False) -> str:
    look = f'fill="{_INK}"' if filled else f'stroke="{_INK}" stroke-width="{_HAIR}"'
    return f'<circle cx="{at.real:.2f}" cy="{at.imag:.2f}" r="{radius:.2f}" {look}/>'


def _polar(radius: float, angle: float) -> complex:
    """The point at a distance from the centre and an angle (0 is up)."""
    return complex(_CENTRE, _CENTRE) + cmath.rect(radius, angle - math.pi / 2)


def _plait(ring: _Ring) -> Iterator[str]:
    """The thread, then at each crossing the upper piece again."""
    yield from _thread(ring, _curve(ring.at, 0, ring.length, _STEPS * ring.bights) + "Z")
    passed = []
    for over, under in ring.crossings():
        passed += [over % ring.length, under % ring.length]
        upper, lower = ((ring.at(t + 1e-5) - ring.at(t - 1e-5)) / 2e-5 for t in (over, under))
        sine = abs((upper.conjugate() * lower).imag) / abs(upper) / abs(lower)
        half = (ring.width / 2 + _GAP) * 1.25 / max(sine, 0.5) / abs(upper)
        piece = _curve(ring.at, over - half, over + half, 2)
        yield _line(piece, ring.width + 2 * _GAP, _GROUND)
        yield from _thread(ring, piece)
    if ring.ornament.thread == "stitched":
        passed.sort()
        for left, right in zip(passed, [*passed[1:], passed[0] + ring.length], strict=True):
            middle, reach = (left + right) / 2, (right - left) * 0.2
            yield _line(_curve(ring.at, middle - reach, middle + reach, 1), _HAIR, round_ends=True)


def _thread(ring: _Ring, path: str) -> Iterator[str]:
    if ring.ornament.thread == "solid":
        yield _line(path, ring.width * 0.62)
        return
    yield _line(path, ring.width)
    yield _line(path, ring.width - 2 * _HAIR, _GROUND)
    if ring.ornament.thread == "ply":
        yield _line(path, _HAIR * 0.7)


def _middle(ornament: Ornament) -> Iterator[str]:
    """The figure inside the ring."""
    ring = _Ring(ornament)
    room = ring.inner - ring.width / 2 - 2
    turns = [math.tau * nth / ornament.bights for nth in range(ornament.bights)]
    if ornament.middle == "eye":
        yield _circle(_polar(0, 0), room * 0.5)
        yield _circle(_polar(0, 0), room * 0.16, filled=True)
    elif ornament.middle == "star":
        step = next(step for step in range((ornament.bights - 1) // 2, 0, -1) if math.gcd(step, ornament.bights) == 1)
        corners = [_polar(room * 0.9, turns[nth * step % ornament.bights]) for nth in range(ornament.bights)]
        yield _line("M" + "L".join(map(_point, corners)) + "Z", _HAIR * 0.8)
    elif ornament.middle == "rosette":
        for turn in turns:
            aside = math.pi / ornament.bights * 0.9
            left, right, tip = _polar(room * 0.75, turn - aside), _polar(room * 0.75, turn + aside), _polar(room, turn)
            base = _polar(room * 0.18, turn)
            yield _line(f"M{_point(base)}Q{_point(left)} {_point(tip)}Q{_point(right)} {_point(base)}Z", _HAIR * 0.8)
    elif ornament.middle == "beads":
        for turn in turns:
            yield _circle(_polar(room * 0.66, turn), min(1.1, room * 0.1), filled=True)
        yield _circle(_polar(0, 0), room * 0.28)


def _border(ornament: Ornament) -> Iterator[str]:
    """The border around the ring."""
    n = ornament.bights
    if ornament.border == "holes":
        for nth in range(n):
            yield _circle(_polar(43.5, math.tau * (nth + 0.5) / n), 1.5)
    elif ornament.border == "stitches":
        count = n * max(2, round(30 / n))
        for nth in range(count):
            middle, reach = math.tau * (nth + 0.5) / count, math.tau / count * 0.3
            yield _line(_curve(lambda t: _polar(45.5, t), middle - reach, middle + reach, 1), _HAIR, round_ends=True)
    elif ornament.border == "scallops":
        yield _line(_curve(lambda t: _polar(45 + 1.3 * math.cos(2 * n * t), t), 0, math.tau, 10 * n) + "Z", _HAIR)
