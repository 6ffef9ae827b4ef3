"""Simulated photographs and scans of a sheet: perspective, curl, shadow, blur, noise and JPEG, all by a seed."""

from __future__ import annotations

import io
import math
import random
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from journal.paper import frame
from tests.paper.hand import Page

Matrix = NDArray[np.float64]


class Shot(NamedTuple):
    """How a picture is taken: megapixels, tilt and turn in degrees, curl in millimetres, blur in pixels, noise in
    levels, depth of the shadow, and JPEG quality. `fill` is the part of the picture's height that the sheet takes."""

    megapixels: float = 3.0
    tilt: float = 0.0
    toward: float = 0.0
    turn: float = 0.0
    curl: float = 0.0
    across: bool = True
    blur: float = 0.6
    noise: float = 2.0
    shadow: float = 0.0
    quality: int = 80
    fill: float = 0.85


def drawn(draw: random.Random) -> Shot:
    """A shot as it may come from a telephone: up to 25 degrees, 1.5 to 12 megapixels."""
    megapixels = draw.choice((1.5, 2, 3, 3, 5, 8, 12))
    per_side = math.sqrt(megapixels / 3)
    return Shot(
        megapixels=megapixels,
        tilt=draw.uniform(0, 25),
        toward=draw.uniform(0, 360),
        turn=draw.choice((0, 0, 0, 90, 180, 270)) + draw.gauss(0, 4),
        curl=draw.uniform(-5, 5),
        across=draw.random() < 0.7,
        blur=draw.uniform(0.4, 1.1) * max(1.0, per_side),
        noise=draw.uniform(1, 7),
        shadow=draw.choice((0, draw.uniform(0.1, 0.5))),
        quality=draw.choice((50, 50, 70, 90)),
        fill=draw.uniform(0.78, 0.95),
    )


def photograph(page: Page, dots_a_mm: float, shot: Shot, seed: int) -> bytes:
    """The JPEG of a sheet lying on a table."""
    levels = developed(taken(page, dots_a_mm, shot, seed), shot, seed)
    return jpeg(levels, shot.quality)


def taken(page: Page, dots_a_mm: float, shot: Shot, seed: int) -> Page:
    """The light that reaches the camera: the sheet in perspective, curled, on a table, partly in a shadow."""
    rng = np.random.default_rng(seed)
    wide = round(math.sqrt(shot.megapixels * 1e6 * 3 / 4))
    high = round(wide * 4 / 3)
    if 45 <= shot.turn % 180 < 135:
        wide, high = high, wide
    flat, near = _camera(shot, wide, high)
    rows, columns = np.ogrid[0:high, 0:wide]
    rows, columns = (rows + 0.5).astype(np.float32), (columns + 0.5).astype(np.float32)
    plane = _mapped(np.asarray(np.linalg.inv(flat), float), columns, rows)
    x, y = plane
    # A point at height h over the plane appears where the plane is seen nearer to the camera's foot by h / distance.
    for _ in range(2 if shot.curl else 0):
        across = (x / frame.WIDTH if shot.across else y / frame.HEIGHT) - np.float32(0.5)
        lift = (1 - 4 * across**2) * (1 + across / 2) * np.float32(shot.curl / near[2])
        x, y = (
            (at + (np.float32(foot) - at) * lift).astype(np.float32) for at, foot in zip(plane, near[:2], strict=True)
        )
    table = rng.uniform(0.15, 0.6)
    dots = np.float32(dots_a_mm)
    places = [y * dots - np.float32(0.5), x * dots - np.float32(0.5)]
    seen = ndimage.map_coordinates(page, places, order=1, cval=table, mode="constant")
    coarse = Image.fromarray(rng.normal(0, 0.04, (high // 16 + 2, wide // 16 + 2)).astype(np.float32))
    grain = np.asarray(coarse.resize((wide, high), Image.Resampling.BILINEAR))
    outside = (x < 0) | (y < 0) | (x > frame.WIDTH) | (y > frame.HEIGHT)
    seen = np.where(outside, np.clip(table + grain, 0.02, 1), seen)
    return (seen * _light(shot, wide, high, rng)).astype(np.float32)


def developed(seen: Page, shot: Shot, seed: int) -> NDArray[np.uint8]:
    """The levels of the camera: blurred, with noise, and brightened as a camera does."""
    rng = np.random.default_rng(seed + 1)
    seen = ndimage.gaussian_filter(seen, shot.blur)
    noise = rng.standard_normal(seen.shape, np.float32) * np.float32(shot.noise)
    levels = np.float32(235) * seen ** np.float32(1 / 1.3) + noise
    return np.clip(levels, 0, 255).astype(np.uint8)


def jpeg(levels: NDArray[np.uint8], quality: int, **more: object) -> bytes:
    out = io.BytesIO()
    Image.fromarray(levels).convert("RGB").save(out, "JPEG", quality=quality, **more)
    return out.getvalue()


def scan(page: Page, dots_a_mm: float, draw: random.Random, dots_an_inch: int = 150) -> bytes:
    """The PNG of a flatbed scanner: a little turned and blurred, with some noise."""
    rng = np.random.default_rng(draw.getrandbits(32))
    scale = dots_an_inch / 25.4
    wide, high = round(frame.WIDTH * scale) + 20, round(frame.HEIGHT * scale) + 20
    angle = math.radians(draw.gauss(0, 1))
    rows, columns = np.mgrid[0:high, 0:wide].astype(np.float32)
    x, y = (columns - wide / 2) / scale, (rows - high / 2) / scale
    across = math.cos(angle) * x - math.sin(angle) * y + frame.WIDTH / 2
    down = math.sin(angle) * x + math.cos(angle) * y + frame.HEIGHT / 2
    small = ndimage.gaussian_filter(page, dots_a_mm / scale * 0.4)
    seen = ndimage.map_coordinates(small, [down * dots_a_mm - 0.5, across * dots_a_mm - 0.5], order=1, cval=0.9)
    levels = 250 * seen + rng.normal(0, draw.uniform(0.5, 3), seen.shape)
    out = io.BytesIO()
    Image.fromarray(np.clip(levels, 0, 255).astype(np.uint8)).save(out, "PNG", dpi=(dots_an_inch, dots_an_inch))
    return out.getvalue()


def _camera(shot: Shot, wide: int, high: int) -> tuple[Matrix, tuple[float, float, float]]:
    """The map from millimetres of the sheet to pixels, and the camera's place over the sheet in millimetres."""
    distance = 450.0
    turn, tilt, toward = (math.radians(angle) for angle in (shot.turn, shot.tilt, shot.toward))
    axis = np.array([math.cos(toward), math.sin(toward), 0])
    cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    tilted = np.eye(3) + math.sin(tilt) * cross + (1 - math.cos(tilt)) * cross @ cross
    turned = np.array([[math.cos(turn), -math.sin(turn), 0], [math.sin(turn), math.cos(turn), 0], [0, 0, 1]])
    rotation = tilted @ turned
    centred = np.array([[1, 0, -frame.WIDTH / 2], [0, 1, -frame.HEIGHT / 2], [0, 0, 1]])
    flat = np.column_stack([rotation[:, 0], rotation[:, 1], [0, 0, distance]]) @ centred
    corners = np.array([(0, 0), (frame.WIDTH, 0), (frame.WIDTH, frame.HEIGHT), (0, frame.HEIGHT)])
    x, y = _mapped(flat, corners[:, 0], corners[:, 1])
    zoom = shot.fill * min(wide / np.ptp(x), high / np.ptp(y))
    to_pixels = np.array(
        [
            [zoom, 0, wide / 2 - zoom * (x.min() + x.max()) / 2],
            [0, zoom, high / 2 - zoom * (y.min() + y.max()) / 2],
            [0, 0, 1],
        ]
    )
    eye = -rotation.T @ np.array([0, 0, distance])
    return to_pixels @ flat, (eye[0] + frame.WIDTH / 2, eye[1] + frame.HEIGHT / 2, abs(eye[2]))


def _mapped(matrix: Matrix, x: NDArray[np.floating], y: NDArray[np.floating]) -> tuple[Page, Page]:
    (a, b, c), (d, e, f), (g, h, i) = matrix.tolist()  # floats of Python, so that float32 stays float32
    depth = g * x + h * y + i
    return ((a * x + b * y + c) / depth).astype(np.float32), ((d * x + e * y + f) / depth).astype(np.float32)


def _light(shot: Shot, wide: int, high: int, rng: np.random.Generator) -> Page:
    """The light on the table: brighter on one side, and darker behind a soft edge."""
    rows, columns = np.ogrid[0:high, 0:wide]
    down, across = (rows / high - 0.5).astype(np.float32), (columns / wide - 0.5).astype(np.float32)
    angle, side = rng.uniform(0, 2 * math.pi, 2)
    light = 1 - float(rng.uniform(0, 0.35)) * (across * math.cos(angle) + down * math.sin(angle) + np.float32(0.7))
    if shot.shadow:
        edge = across * math.cos(side) + down * math.sin(side) - float(rng.uniform(-0.3, 0.3))
        light *= 1 - shot.shadow / (1 + np.exp(np.clip(-edge / float(rng.uniform(0.01, 0.06)), -50, 50)))
    clipped: Page = np.clip(light, 0.05, 1).astype(np.float32)
    return clipped
