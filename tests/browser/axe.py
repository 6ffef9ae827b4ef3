"""The rules of axe-core on an open page: what it can decide of WCAG 2.2 A and AA, and its best practices.

`violations(page)` looks at the page as it is, `everywhere(page)` at both widths in light, dark and forced colours. Only
the contrast depends on colours, so the other rules run once a width.

axe-core is the file of a wheel, run as a script of the test: it asks for nothing, and the page's policy stays as it is.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any, Literal

import axe_playwright_python
from playwright.sync_api import Page

WIDTHS = (1280, 390)
LOOKS: tuple[tuple[Literal["active", "none"], Literal["light", "dark"]], ...] = (
    ("none", "dark"),
    ("active", "dark"),
    ("active", "light"),
)

# Off in axe by default: one is experimental, one is of a level that WCAG 2.1 does not have.
ADDED = {"label-content-name-mismatch": {"enabled": True}, "target-size": {"enabled": True}}

# Of a long table a few rows are looked at, which are alike, and a drawing is one image: a year has 20,000 elements.
# Blocks of hours are as wide as their time. A press beside a narrow one is for it (`strip_rows.js`), which axe cannot
# see; and the place to draw is for keys, and lets every press through. What axe cannot decide of contrast, because of
# an image, a gradient or a drawn ground, counts too. Left out is text in drawings and on blocks (`charts/test_theme.py`
# computes it, `test_evening_access.py` measures that of blocks), single signs, and what lies partly below others.
RUN = """async (options) => {
  const taken = [...document.querySelectorAll('svg[role=img], .tabular tbody')].map((of) => {
    const rest = document.createDocumentFragment();
    rest.append(...[...of.children].slice(of.matches('svg') ? 0 : 5));
    return [of, rest];
  });
  const wanted = { resultTypes: ["violations", "incomplete"], preload: false, elementRef: true, ...options };
  const found = await axe.run(document, wanted).finally(() => taken.forEach(([of, rest]) => of.append(rest)));
  const isOfStrip = (id, element) => id === "target-size" && element.matches(".track .block, .track .cursor");
  const told = (id, { target, any, all, none }) =>
    `${id}: ${target.flat().at(-1)}: ${[...any, ...all, ...none].map(({ message }) => message).join("; ")}`;
  const isElsewhere = (id, element, why) =>
    id !== "color-contrast" || /too short|non-text|overlap|obscured/.test(why) ||
    element.matches("svg text, .block-name, .block-name *, [data-name]");
  const of = (results, isLeft) => results
    .flatMap(({ id, nodes }) => nodes.map((node) => [id, node.element, told(id, node)]))
    .filter((one) => !isLeft(...one)).map(([, , why]) => why);
  return [...of(found.violations, isOfStrip), ...of(found.incomplete, isElsewhere).map((one) => `undecided: ${one}`)];
}"""


@cache
def _script() -> str:
    return Path(axe_playwright_python.__file__).with_name("axe.min.js").read_text(encoding="utf-8")


def violations(page: Page, *only: str) -> list[str]:
    """Each violation with its rule, its element and its reason. `only` are the rules to run, all if there is none."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(_script())
    options: dict[str, Any] = {"runOnly": {"type": "rule", "values": list(only)}} if only else {"rules": ADDED}
    found: list[str] = page.evaluate(RUN, options)
    return found


def everywhere(page: Page) -> list[str]:
    """The violations at both widths, and of contrast in all colours. The page is left 1280 wide and light."""
    found = []
    for width in reversed(WIDTHS):
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme="light", forced_colors="none", reduced_motion="reduce")
        found += [f"{width}: {one}" for one in violations(page)]
        for forced, scheme in LOOKS:
            page.emulate_media(color_scheme=scheme, forced_colors=forced, reduced_motion="reduce")
            found += [f"{width}, {scheme}, {forced}: {one}" for one in violations(page, "color-contrast")]
    page.emulate_media(color_scheme="light", forced_colors="none", reduced_motion="reduce")
    return found
