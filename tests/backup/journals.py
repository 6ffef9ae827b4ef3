"""Journals for backups: any files that a person may have in one, as a mapping from path to bytes."""

from __future__ import annotations

import datetime as dt
import os
import random
from collections.abc import Mapping
from pathlib import Path

from tests.journals import HOME

Files = Mapping[str, bytes]

NOW = dt.datetime(2026, 3, 14, 22, 5, tzinfo=dt.UTC)

SMALL: Files = {
    "journal.toml": f'title = "Small"\n{HOME}'.encode(),
    "undated.toml": b'[[tasks]]\ntitle = "Grey thread"\n',
    "2025/2025-03-14.toml": b"mood = 4\r\nmemory = 'a'\r\n",
    "2025/2025-03.toml": b"\xef\xbb\xbfnotes = []\n",
    ".history/README.txt": b"About\n",
    ".history/2025/2025-03-14.txt": b"\n=== 2025-03-14T22:05:00+00:00 evening 0 bytes\n",
    "Fotos Zürich/ein Bild \U0001f4f7.jpg": bytes(range(256)) * 3,
}

_NAMES = (
    "a", "B", "b", "ä", "a\u0308", "two\nlines", "back\\slash", "c\rr", " space ", "~", "'\"", "-rf", "日記",
    "\U0001f4f7", "long" * 30, "%s", "con", "MANIFEST", "x" * 251, "2025-03-14 (1)", "C:", "*", "a.b.c", "tab\t",
    "\x1b[2J", "\u202e",
)  # fmt: skip
_DAYS = ("2025-03-14", "2025-W11", "2025-03", "2025", "2024-02-29")
_TEXTS = (
    b"",
    b"\n",
    b"mood = 4",
    b"a = 1\r\nb = 2\r\n",
    b"\xef\xbb\xbfnote = 'x'",
    b"\xff\xfe\x00",
    b"\0" * 512,
    b"=" * 511,
)


def write(folder: Path, files: Files) -> Path:
    """Write files below a folder. Return it."""
    for path, data in files.items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
    return folder


def read(folder: Path) -> dict[str, bytes]:
    """Every file below a folder but those of `.cache`, by its path."""
    found: dict[str, bytes] = {}
    for top, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if name != ".cache"]
        for name in names:
            path = Path(top, name)
            found[path.relative_to(folder).as_posix()] = path.read_bytes()
    return found


def drawn(seed: int) -> dict[str, bytes]:
    """A journal with odd names and contents."""
    draw = random.Random(seed)
    files = dict(SMALL)
    for _ in range(draw.randrange(12)):
        parts = [draw.choice(_NAMES) for _ in range(draw.randrange(3))]
        name = draw.choice([draw.choice(_NAMES), f"{draw.choice(_DAYS)}.toml"])
        data = draw.choice(_TEXTS)
        if draw.random() < 0.2:
            data = draw.randbytes(draw.choice((1, 512, 513, 250_000)))
        files["/".join([*parts, name])] = data
    for _ in range(draw.randrange(3)):
        key = draw.choice(_DAYS)
        files[f".history/{key[:4]}/{key}.txt"] = draw.choice(_TEXTS)
    return {path: data for path, data in files.items() if not any(other.startswith(f"{path}/") for other in files)}
