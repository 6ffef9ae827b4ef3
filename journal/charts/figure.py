"""A figure: two drawings of one subject, its words and its numbers; and the way from a drawing to SVG, PNG or altair.

A page shows `Figure.svg` for its two widths (the style sheet picks one) with `title` above and `table` folded below.
The SVG is one picture to assistive technology: its `alt` says what it shows and the table carries every number,
so the hundreds of marks inside are hidden from the accessibility tree and keep only a hover text.
"""

from __future__ import annotations

import json
import re
import textwrap
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Literal
from xml.etree import ElementTree

import msgspec
import polars as pl
import vl_convert

from journal.charts.canvas import Drawing, writable
from journal.charts.text_layer import SVG, lettered, lifted
from journal.charts.theme import PAGE, PAPER, Palette

if TYPE_CHECKING:
    from altair import LayerChart

Size = Literal["wide", "narrow"]

_XLINK = "http://www.w3.org/1999/xlink"
_NUMBER = re.compile(r"-?\d+\.\d{3,}(?:e-?\d+)?")
_REFERENCE = re.compile(r"url\(#([^)]*)\)")
# A colour in a tag; in a text ">" is escaped, so what is typed there is none.
_COLOUR = re.compile(r'( (?:fill|stroke)=)"(var\([^"]*\))"(?=[^<>]*>)')
_DRAWN = 512  # one year page asks for about 30 drawings; a few pages of a few years stay in memory (about 50 kB each)


class Half(msgspec.Struct, frozen=True, kw_only=True):
    """One of two drawings for facing pages, and which part it shows ("January to June")."""

    part: str
    drawing: Drawing


class Figure(msgspec.Struct, frozen=True, kw_only=True):
    """`key` names the figure on its page and must be unique there; `alt` is its text alternative.

    `wide` is at most 980 px, for pages of 720 px and more, `narrow` at most 340 px; `table` has the numbers drawn.
    `halves` are the left and the right of two facing pages, where a figure can be cut so.
    """

    key: str
    title: str
    subtitle: str
    alt: str
    wide: Drawing
    narrow: Drawing
    table: pl.DataFrame
    halves: tuple[Half, ...] = ()

    def chart(self, size: Size = "wide", palette: Palette = PAPER) -> LayerChart:
        """One of the two drawings as an altair chart, to change or to combine with others."""
        import altair  # noqa: PLC0415  a quarter of a second that no page needs

        spec = painted(self._drawing(size), palette)
        bare = {**spec, "layer": [{**layer, "data": {"values": []}} for layer in spec["layer"]]}
        chart = altair.LayerChart.from_dict(bare, validate=False)
        for drawn, layer in zip(chart.layer, spec["layer"], strict=True):
            drawn.data = altair.InlineData(values=layer["data"]["values"])
        return chart

    def _drawing(self, size: Size) -> Drawing:
        return self.narrow if size == "narrow" else self.wide

    def svg(self, size: Size = "wide", palette: Palette = PAGE) -> str:
        """One of the two drawings as an inline SVG element."""
        return svg(self._drawing(size), key=f"{self.key}-{size}", alt_text=self.alt, palette=palette)

    def image(
        self,
        palette: Palette = PAPER,
        format: Literal["png", "svg"] = "png",
        *,
        size: Size = "wide",
        scale: float = 2,
        ppi: float = 72,
    ) -> bytes:
        """A file's bytes for use elsewhere, with the title drawn inside and the palette's paper behind.

        A PNG has `scale` x `ppi` / 72 of its pixels to one of the drawing, and says how many make an inch.

        A letter that neither Liberation Sans nor any font of the machine has is missing from a PNG; an SVG keeps it.
        """
        spec = painted(self._drawing(size), palette)
        letters = int(spec["width"] / 8.4)  # a bold 16 px letter of Liberation Sans is about 8.4 px wide on average
        title: dict[str, Any] = {
            "text": textwrap.wrap(writable(self.title), letters) or [""],
            "anchor": "start",
            "frame": "group",
            "fontSize": 16,
            "color": palette.ink,
            "offset": 14,
        }
        if self.subtitle:
            title |= {
                "subtitle": textwrap.wrap(writable(self.subtitle), int(letters * 1.3)),
                "subtitleFontSize": 12.5,
                "subtitleColor": palette.muted,
                "subtitlePadding": 6,
            }
        spec["title"] = title
        spec["config"] |= {"background": palette.paper, "padding": 20}
        if format == "png":
            bare, words = lifted(spec)
            drawn = ElementTree.tostring(_vega(json.dumps(bare), words), encoding="unicode")
            return bytes(vl_convert.svg_to_png(drawn, scale=scale, ppi=ppi))
        return _drawn(spec, f"{self.key}-{size}", self.alt, fluid=False).encode()

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, str]:
        """How Jupyter shows it: as a picture on paper, with the title inside."""
        return {"image/svg+xml": self.image(format="svg").decode(), "text/plain": f"{self.title}. {self.alt}"}


def svg(drawing: Drawing, *, key: str, alt_text: str, palette: Palette = PAGE) -> str:
    """A drawing as an SVG element that shrinks to its container and never grows over its own size.

    Ids inside are unique to `key` and the same on every call, so the bytes are too. ``label`` fields of marks
    become ``<title>`` children; nothing else is left for the accessibility tree but the picture with `alt_text`.
    What is drawn for a page is not drawn anew for another palette.
    """
    made = _drawn(drawing, key, alt_text, fluid=True)
    return made if palette == PAGE else _recoloured(made, palette)


def painted(drawing: Drawing, palette: Palette) -> dict[str, Any]:
    """The Vega-Lite specification of a drawing with the colours of a palette. Data is left as it is."""
    names = _named(palette)

    def paint(part: Any) -> Any:
        if isinstance(part, dict):
            return {k: v if k in {"values", "datasets"} else paint(v) for k, v in part.items()}
        if isinstance(part, list):
            return [paint(item) for item in part]
        return names.get(part, part) if isinstance(part, str) else part

    spec: Drawing = paint(drawing)
    return spec


def _named(palette: Palette) -> dict[str, str]:
    """What a palette has for each colour of the page."""
    return dict(zip((colour for _, colour in PAGE.named()), (colour for _, colour in palette.named()), strict=True))


def _recoloured(made: str, palette: Palette) -> str:
    names = _named(palette)
    return _COLOUR.sub(lambda found: f'{found[1]}"{names.get(found[2], found[2])}"', made)


def _drawn(spec: Drawing, key: str, alt_text: str, *, fluid: bool) -> str:
    bare, words = lifted(spec)
    return _finished(json.dumps(bare), words, key, alt_text, fluid=fluid)


@lru_cache(maxsize=_DRAWN)
def _finished(spec: str, words: tuple[str | None, ...], key: str, alt_text: str, *, fluid: bool) -> str:
    root = _vega(spec, words)
    _rename_ids(root, key)
    for parent in root.iter():
        for child in list(parent):
            if "background" in child.get("class", "") and child.get("fill") is None:
                parent.remove(child)  # an empty frame that Vega draws behind every group
            elif child.get("display") == "none":
                parent.remove(child)
    for element in root.iter():
        _quieten(element)
    width, height = root.attrib.pop("width"), root.attrib.pop("height")
    root.set("role", "img")
    root.set("aria-label", writable(alt_text))
    if fluid:
        root.set("style", f"display:block;width:100%;max-width:{width}px;height:auto")
    else:
        root.set("width", width)
        root.set("height", height)
    for child in root:
        child.set("aria-hidden", "true")
    return ElementTree.tostring(root, encoding="unicode")


def _vega(spec: str, words: tuple[str | None, ...]) -> ElementTree.Element:
    """What Vega draws, with the words that were kept from it."""
    ElementTree.register_namespace("", SVG)
    ElementTree.register_namespace("xlink", _XLINK)
    root = ElementTree.fromstring(vl_convert.vegalite_to_svg(spec))
    lettered(root, words)
    return root


def _quieten(element: ElementTree.Element) -> None:
    """Drops Vega's own classes and roles, keeps a mark's label as hover text, and shortens long numbers."""
    label = element.attrib.pop("aria-label", None)
    for attribute in ("class", "role", "aria-roledescription", "aria-hidden"):
        element.attrib.pop(attribute, None)
    for attribute in ("d", "transform"):
        if attribute in element.attrib:
            element.set(attribute, _NUMBER.sub(lambda m: f"{float(m[0]):.2f}", element.attrib[attribute]))
    if label:
        title = ElementTree.Element(f"{{{SVG}}}title")
        title.text = label
        element.insert(0, title)
        if element.text:  # the words of a text element stay before its hover text
            title.tail, element.text = element.text, None


def _rename_ids(root: ElementTree.Element, key: str) -> None:
    """Vega counts its ids up for as long as the process lives; here they count from one for each figure."""
    names: dict[str, str] = {}
    for element in root.iter():
        if "id" in element.attrib:
            names[element.attrib["id"]] = f"{key}-{len(names) + 1}"
            element.set("id", names[element.attrib["id"]])
    for element in root.iter():
        for attribute, value in element.attrib.items():
            if attribute in {"href", f"{{{_XLINK}}}href"} and value[:1] == "#":
                element.set(attribute, "#" + names.get(value[1:], value[1:]))
            elif "url(#" in value:
                renamed = _REFERENCE.sub(lambda m: f"url(#{names.get(m[1], m[1])})", value)
                element.set(attribute, renamed)
