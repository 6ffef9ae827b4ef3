"""Invented pictures for tests: a workbench, drawn from a seed."""

from __future__ import annotations

import io
import random
from typing import Any

from PIL import Image, ImageDraw

_WALL, _WOOD, _PAPERS = (
    "#cdbfa7",
    ("#8a6746", "#7a593b", "#9b7651"),
    ("#1f6f78", "#a9687f", "#e2a46e", "#5e4b7b", "#f1e6cf"),
)


def bench(seed: int, width: int = 480, height: int = 360, mode: str = "RGB") -> Image.Image:
    """A workbench with stacks of paper and tools on hooks."""
    draws = random.Random(seed)
    picture = Image.new("RGB", (width, height), _WALL)
    pen = ImageDraw.Draw(picture)
    top = height * 5 // 8
    for x in range(0, width, max(1, width // 12)):
        pen.rectangle((x, top, x + width // 12, height), fill=draws.choice(_WOOD))
    for x in range(width // 10, width, width // 6):
        length = draws.randint(height // 8, height // 3)
        pen.line((x, height // 12, x, height // 12 + length), fill="#4a4f5a", width=max(2, width // 60))
        pen.ellipse((x - width // 40, height // 16, x + width // 40, height // 16 + width // 20), outline="#23263b")
    for _ in range(5):
        x, layers = draws.randint(0, width * 5 // 6), draws.randint(2, 7)
        for layer in range(layers):
            y = top - layer * height // 40
            pen.rectangle((x, y - height // 40, x + width // 7, y), fill=draws.choice(_PAPERS), outline="#23263b")
    return picture.convert(mode)


def encoded(picture: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
    """The bytes of a picture in a format."""
    file = io.BytesIO()
    picture.save(file, kind, **options)
    return file.getvalue()


def jpeg(seed: int, width: int = 480, height: int = 360, **options: Any) -> bytes:
    """A drawn workbench as JPEG."""
    return encoded(bench(seed, width, height), "JPEG", **{"quality": 80} | options)
