"""Altair's charts without a network: as pictures drawn by vl-convert on this machine."""

from __future__ import annotations

from functools import cache

import altair

RENDERER = "svg"
"""Altair's own renderer with vl-convert: an SVG for every front end that shows pictures."""

_LOADING = ("default", "html", "colab", "kaggle", "zeppelin", "olli")
"""The renderers of altair whose output loads Vega from a network when it is shown."""


@cache
def show_without_network() -> None:
    """Let altair show charts as pictures, if its renderer would load scripts from a network.

    It happens once: a renderer that is enabled afterwards stays.
    """
    if altair.renderers.active in _LOADING:
        altair.renderers.enable(RENDERER)
