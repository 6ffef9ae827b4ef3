"""The colours of Duskbook: literal for light and dark, and as CSS custom properties for pages.

    Palette      one set of colours, by role
    PAPER        the light set, literal
    DUSK         the dark set, literal
    FORCED       the set of a system whose reader has chosen the colours: CSS system colours
    PAGE         the same roles as CSS custom properties, so that a drawing on a page follows the system's theme
    css_variables()   the block that defines those properties; style.css begins with it

Mood runs from night to daylight. CIE L* of its five steps with normal / protan / deutan / tritan vision is
19 36 52 72 89 / 19 36 49 69 88 / 18 36 53 74 90 / 19 36 52 72 88, so the order also holds in greyscale print. Energy
has the same lightness in one hue (19 37 54 71 89, within 3 of that in any vision), so that a year of energy is not
mistaken for a year of mood.

The properties have a prefix because marimo's page has its own ``--card``, ``--muted`` and ``--accent``.
"""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

PREFIX = "--dusk-"


class Palette(msgspec.Struct, frozen=True, kw_only=True):
    """One set of colours. A text colour has at least 4.5:1 against `paper`, `card`, `wash` and `day`, a mark
    colour 3:1 against the first three.

    Text: `ink`, `muted`, `accent`. Marks: `ink`, `accent`, `quiet`, `blank`. `line` and the bands `wash` (weekend)
    and `day` (daylight) only group and never carry information alone. `on_accent` and `on_quiet` are texts on these
    colours. `mood` and `energy` go from low to high. If a step has less than 3:1 against the card, its `_edge` is an
    outline that has 3:1; otherwise the edge is the step's own colour.
    """

    paper: str
    card: str
    ink: str
    muted: str
    line: str
    accent: str
    on_accent: str
    quiet: str
    on_quiet: str
    blank: str
    wash: str
    day: str
    mood: tuple[str, str, str, str, str]
    mood_edge: tuple[str, str, str, str, str]
    energy: tuple[str, str, str, str, str]
    energy_edge: tuple[str, str, str, str, str]

    def named(self) -> Iterator[tuple[str, str]]:
        """Every colour with its name. A step of a scale is named like "mood-1".

        >>> list(PAPER.named())[12:14]
        [('mood-1', '#2B2A4C'), ('mood-2', '#5E4B7B')]
        """
        for field in self.__struct_fields__:
            value = getattr(self, field)
            name = field.replace("_", "-")
            if isinstance(value, str):
                yield name, value
            else:
                yield from ((f"{name}-{step}", colour) for step, colour in enumerate(value, start=1))

    def steps(self, quantity: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Fills and outlines of a five-step scale, low to high. "energy" has its own, any other quantity has mood's.

        >>> PAPER.steps("mood")[0][4]
        '#F6DE9E'
        """
        if quantity == "energy":
            return self.energy, self.energy_edge
        return self.mood, self.mood_edge


_MOOD = ("#2B2A4C", "#5E4B7B", "#A9687F", "#E2A46E", "#F6DE9E")
_ENERGY = ("#033341", "#005F6F", "#2A8E98", "#6CBCBA", "#B8EADF")

PAPER = Palette(
    paper="#FBF8F2",
    card="#FFFFFF",
    ink="#23263B",
    muted="#65697F",
    line="#E4DDD0",
    accent="#1F6F78",
    on_accent="#FFFFFF",
    quiet="#7C8196",
    on_quiet="#000000",
    blank="#7C8196",
    wash="#F3ECDF",
    day="#FFF3D6",
    mood=_MOOD,
    mood_edge=(*_MOOD[:3], "#A96C35", "#8F7B36"),
    energy=_ENERGY,
    energy_edge=(*_ENERGY[:3], "#3D8C8C", "#5C918A"),
)

DUSK = Palette(
    paper="#1A1B2A",
    card="#232538",
    ink="#ECE8DF",
    muted="#A9ACC0",
    line="#3A3D55",
    accent="#6CC0C4",
    on_accent="#14222A",
    quiet="#8F94B0",
    on_quiet="#000000",
    blank="#8F94B0",
    wash="#2C2F47",
    day="#38364A",
    mood=_MOOD,
    mood_edge=("#8583B4", "#9A86BC", *_MOOD[2:]),
    energy=_ENERGY,
    energy_edge=("#3E8FA5", "#3392A3", *_ENERGY[2:]),
)

FORCED = Palette(
    paper="Canvas",
    card="Canvas",
    ink="CanvasText",
    muted="CanvasText",
    line="CanvasText",
    accent="Highlight",
    on_accent="HighlightText",
    quiet="CanvasText",
    on_quiet="Canvas",
    blank="CanvasText",
    wash="Canvas",
    day="Canvas",
    mood=("CanvasText",) * 5,
    mood_edge=("CanvasText",) * 5,
    energy=("CanvasText",) * 5,
    energy_edge=("CanvasText",) * 5,
)
"""The keywords of CSS Color 4, section 6.2. They have no steps: those of a scale differ by height (`_levels`)."""


def _as_property(name: str) -> str:
    return f"var({PREFIX}{name})"


def _page() -> Palette:
    properties: dict[str, str | list[str]] = {}
    for field in Palette.__struct_fields__:
        name = field.replace("_", "-")
        scale = not isinstance(getattr(PAPER, field), str)
        properties[field] = [_as_property(f"{name}-{step}") for step in range(1, 6)] if scale else _as_property(name)
    return msgspec.convert(properties, Palette)


PAGE = _page()

# The lines of a chart stay weaker than its marks. An outline shows its bands, whose tint is the colour of the page.
_GROUPS = """\
  svg [stroke="var(--dusk-line)"] { stroke: GrayText; }
  svg :is([fill="var(--dusk-wash)"], [fill="var(--dusk-day)"]) { stroke: GrayText; stroke-width: 1px; }
"""


def _levels() -> str:
    """The steps of a scale as bars, a fifth of the field higher at each. A field keeps its place and its hover text."""
    rules = []
    for step in range(1, 6):
        fills = ", ".join(f'[fill="{_as_property(f"{scale}-{step}")}"]' for scale in ("mood", "energy"))
        rules.append(f"  svg :is({fills}) {{ clip-path: inset({100 - 20 * step}% 0 0) fill-box; }}\n")
    return "".join(rules)


def css_variables() -> str:
    """The first block of style.css: every colour as a custom property, light, and dark if the system is dark.

    With forced colours they are the system's, and what a chart tells by a hue alone gets a form.

    >>> print(css_variables().splitlines()[2])
      --dusk-paper: #FBF8F2;
    """

    def block(palette: Palette, indent: str) -> str:
        return "".join(f"{indent}{PREFIX}{name}: {colour};\n" for name, colour in palette.named())

    return (
        ":root {\n  color-scheme: light dark;\n" + block(PAPER, "  ") + "}\n\n"
        "@media (prefers-color-scheme: dark) {\n  :root {\n" + block(DUSK, "    ") + "  }\n}\n\n"
        "@media (forced-colors: active) {\n  :root {\n"
        + block(FORCED, "    ")
        + "  }\n"
        + _levels()
        + _GROUPS
        + "}\n\n"
        # Print uses the light colours, whatever the screen shows.
        "@media print {\n  :root {\n    color-scheme: light;\n" + block(PAPER, "    ") + "  }\n}\n"
    )


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours "#RRGGBB", 1 to 21 (WCAG 2.2, relative luminance and contrast ratio).

    >>> round(contrast("#767676", "#FFFFFF"), 2)
    4.54
    """
    darker, lighter = sorted((_luminance(first), _luminance(second)))
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return float(0.2126 * r + 0.7152 * g + 0.0722 * b)


def step(value: float, low: float, high: float) -> int:
    """The index, 0 to 4, of the colour nearest to a value on a scale. Halves round up. Values outside are clipped.

    >>> [step(v, 1, 5) for v in (1, 3, 3.5, 5)], [step(v, 1, 10) for v in (1, 2, 3, 9, 10)]
    ([0, 2, 3, 4], [0, 0, 1, 4, 4])
    """
    share = (value - low) / (high - low) if high > low else 0.5
    return min(4, max(0, int(share * 4 + 0.5)))
