"""A figure: two drawings of one subject with texts and a table, and its output as SVG, PNG or altair chart.

A page contains `Figure.svg` in both sizes (the style sheet shows one of them), `title` above and `table` folded below.
For assistive technology the SVG is one image: `alt` describes it and the table has every number. The hundreds of marks
inside are hidden from the accessibility tree and keep only a hover text.
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

from journal.charts import kept_drawings
from journal.charts.canvas import Drawing, writable
from journal.charts.text_layer import SVG, lettered, lifted
from journal.charts.theme import PAGE, PAPER, Palette

if TYPE_CHECKING:
    from altair import LayerChart

Size = Literal["wide", "narrow"]

_XLINK = "http://www.w3.org/1999/xlink"
_NUMBER = re.compile(r"-?\d+\.\d{3,}(?:e-?\d+)?")
_REFERENCE = re.compile(r"url\(#([^)]*)\)")
# A colour attribute inside a tag. ">" is escaped in text, so text typed by the user does not match.
_COLOUR = re.compile(r'( (?:fill|stroke)=)"(var\([^"]*\))"(?=[^<>]*>)')
_DRAWN = 512  # cached drawings: a year page has about 30, of about 50 kB each, so some pages of some years fit


class Half(msgspec.Struct, frozen=True, kw_only=True):
    """One of two drawings for facing pages. `part` names what it shows ("January to June")."""

    part: str
    drawing: Drawing


class Figure(msgspec.Struct, frozen=True, kw_only=True):
    """`key` names the figure on its page and must be unique there; `alt` is its text alternative.

    `wide` is at most 980 px, for pages of 720 px and more; `narrow` is at most 340 px. `table` has the plotted numbers.
    `halves` are the drawings for two facing pages, empty if the figure cannot be split.
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
        """One of the two drawings as an altair chart, to change further.

        It shows itself as an SVG drawn on this machine, and so does what is made of it: altair's own default
        loads Vega from a network, and is exchanged the first time (`offline_charts`).
        """
        import altair  # noqa: PLC0415  takes 0.25 s, and no page needs it

        from journal.charts import offline_charts  # noqa: PLC0415  imports altair too

        offline_charts.show_without_network()
        spec = painted(self._drawing(size), palette)
        bare = {**spec, "layer": [{**layer, "data": {"values": []}} for layer in spec["layer"]]}
        chart = altair.LayerChart.from_dict(bare, validate=False)
        for drawn, layer in zip(chart.layer, spec["layer"], strict=True):
            drawn.data = altair.InlineData(values=layer["data"]["values"])
        return chart

    def __repr__(self) -> str:
        return f"<Figure {self.key!r}: {self.title}>"

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
        """The bytes of an image file, with the title drawn inside on the palette's paper colour.

        A PNG has `scale` x `ppi` / 72 pixels per pixel of the drawing, and its metadata has `ppi`. Characters that
        neither Liberation Sans nor any installed font has are missing from a PNG; an SVG keeps them.
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
        """Jupyter's display: an SVG on paper colour, with the title inside."""
        return {"image/svg+xml": self.image(format="svg").decode(), "text/plain": f"{self.title}. {self.alt}"}


def svg(drawing: Drawing, *, key: str, alt_text: str, palette: Palette = PAGE) -> str:
    """A drawing as an SVG element that shrinks to its container and never grows beyond its own size.

    Its ids are unique to `key`. The bytes are the same on every call. ``label`` fields of marks become ``<title>``
    children. The accessibility tree contains only the image with `alt_text`. Another palette recolours the cached
    drawing instead of rendering it again.
    """
    markup = _drawn(drawing, key, alt_text, fluid=True)
    return markup if palette == PAGE else _recoloured(markup, palette)


def painted(drawing: Drawing, palette: Palette) -> dict[str, Any]:
    """The Vega-Lite specification of a drawing in the colours of a palette. Data values are not changed."""
    names = _palette_map(palette)

    def paint(part: Any) -> Any:
        if isinstance(part, dict):
            return {k: v if k in {"values", "datasets"} else paint(v) for k, v in part.items()}
        if isinstance(part, list):
            return [paint(item) for item in part]
        return names.get(part, part) if isinstance(part, str) else part

    spec: Drawing = paint(drawing)
    return spec


def _palette_map(palette: Palette) -> dict[str, str]:
    """Map each colour of `PAGE` to that of a palette."""
    return dict(zip((colour for _, colour in PAGE.named()), (colour for _, colour in palette.named()), strict=True))


def _recoloured(markup: str, palette: Palette) -> str:
    names = _palette_map(palette)
    return _COLOUR.sub(lambda m: f'{m[1]}"{names.get(m[2], m[2])}"', markup)


def _drawn(spec: Drawing, key: str, alt_text: str, *, fluid: bool) -> str:
    bare, words = lifted(spec)
    return _finished(json.dumps(bare), words, key, alt_text, fluid=fluid)


@lru_cache(maxsize=_DRAWN)
def _finished(spec: str, words: tuple[str | None, ...], key: str, alt_text: str, *, fluid: bool) -> str:
    parts = (spec, json.dumps(words), key, alt_text, repr(fluid))
    kept = kept_drawings.load(parts)
    if kept is None:
        kept = _drawn_anew(spec, words, key, alt_text, fluid=fluid)
        kept_drawings.save(parts, kept)
    return kept


def _drawn_anew(spec: str, words: tuple[str | None, ...], key: str, alt_text: str, *, fluid: bool) -> str:
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
    """Vega's SVG, with the texts put back that were kept from Vega."""
    ElementTree.register_namespace("", SVG)
    ElementTree.register_namespace("xlink", _XLINK)
    root = ElementTree.fromstring(vl_convert.vegalite_to_svg(spec))
    lettered(root, words)
    return root


def _quieten(element: ElementTree.Element) -> None:
    """Drop Vega's classes and roles, turn a mark's label into hover text, and shorten long numbers."""
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
        if element.text:  # the text of a text element stays before its hover text
            title.tail, element.text = element.text, None


def _rename_ids(root: ElementTree.Element, key: str) -> None:
    """Number ids from 1 in each figure. Vega numbers them across the whole process."""
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
