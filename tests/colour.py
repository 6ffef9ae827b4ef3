"""Colour arithmetic that only the tests need: CIE lightness and how a colour looks with a colour deficiency.

Matrices: Machado, Oliveira & Fernandes 2009, "A physiologically-based model for simulation of color vision
deficiency", IEEE TVCG 15:1291-1298, supplementary tables, severity 1.0, applied to linear sRGB. Protan and deutan
are held to the family cvd-matrix of the references; tritan is from memory and held to the family cvd-simulate.
"""

from __future__ import annotations

Rgb = tuple[float, float, float]
Matrix = tuple[Rgb, Rgb, Rgb]

MACHADO: dict[str, Matrix] = {
    "normal": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protan": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deutan": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritan": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
SIGHTS = tuple(MACHADO)


def linear(colour: str) -> Rgb:
    """Linear sRGB, 0 to 1, of "#RRGGBB" (IEC 61966-2-1)."""
    r, g, b = (_linear_channel(int(colour[i : i + 2], 16) / 255) for i in (1, 3, 5))
    return r, g, b


def _linear_channel(c: float) -> float:
    return c / 12.92 if c <= 0.04045 else float(((c + 0.055) / 1.055) ** 2.4)


def _encoded_channel(c: float) -> float:
    return 12.92 * c if c <= 0.0031308 else float(1.055 * c ** (1 / 2.4) - 0.055)


def seen(colour: str, sight: str) -> Rgb:
    """Linear sRGB, clipped to 0..1, of a colour as somebody with that sight sees it."""
    rgb = linear(colour)
    r, g, b = (min(1.0, max(0.0, sum(m * c for m, c in zip(row, rgb, strict=True)))) for row in MACHADO[sight])
    return r, g, b


def seen_rgb8(colour: str, sight: str) -> Rgb:
    """The same, encoded, 0 to 255 and not rounded."""
    r, g, b = (255 * _encoded_channel(c) for c in seen(colour, sight))
    return r, g, b


def lightness(colour: str, sight: str = "normal") -> float:
    """CIE L*, 0 to 100, from the relative luminance (white D65)."""
    r, g, b = seen(colour, sight)
    y = 0.2126 * r + 0.7152 * g + 0.0722 * b
    return 116 * y ** (1 / 3) - 16 if y > 216 / 24389 else 24389 / 27 * y
