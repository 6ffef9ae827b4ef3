"""Files that killed writers left behind. Incomplete ones are removed. What may be another program's text is kept."""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Callable
from pathlib import Path

from journal.folder import atomic_write, open_writers
from journal.folder.atomic_write import REPLACED, WRITING
from journal.folder.discover import SETTINGS_NAME
from journal.folder.page_versions import SETTINGS

_NAME = re.compile(rf"\.(.+)\.toml\.[a-z0-9_]{{8}}({re.escape(WRITING)}|{re.escape(REPLACED)})")

_PICTURE = re.compile(rf"\..+\.(?:jpg|jpeg|png|webp|heic|heif)\.[0-9a-f]{{8}}{re.escape(WRITING)}", re.IGNORECASE)
"""A picture that a killed writer began to copy. Nothing else is in it than in the picture that it is a copy of."""

Keep = Callable[[str, bytes], bool]
"""Function that keeps the bytes of a page, by its key. It returns whether they are kept."""


def clear(journal: Path, path: Path, keep: Keep) -> None:
    """Clear the leftovers in the folder of a page, and in that of the journal. The caller must hold the write lock.

    A file that is still open for writing, or that cannot be kept, stays.
    """
    for folder in dict.fromkeys((Path(os.path.realpath(path)).parent, journal)):
        _clear(folder, keep)


def _clear(folder: Path, keep: Keep) -> None:
    with contextlib.suppress(OSError), os.scandir(folder) as entries:
        names = [entry.name for entry in entries if entry.name[0] == "."]
        for name in names:
            if match := _NAME.fullmatch(name):
                with contextlib.suppress(OSError):
                    if match[2] == WRITING or _is_kept(folder, name, match[1], keep):
                        os.unlink(folder / name)  # noqa: PTH108
            elif _PICTURE.fullmatch(name):
                with contextlib.suppress(OSError):
                    os.unlink(folder / name)  # noqa: PTH108


def _is_kept(folder: Path, name: str, stem: str, keep: Keep) -> bool:
    if not (folder / name).is_file() or (folder / name).is_symlink():
        return False
    data, is_open = open_writers.content_when_closed(str(folder / name))
    if is_open:
        return False
    if not data or data == atomic_write.content(folder / f"{stem}.toml"):
        return True
    return keep(_page_of(stem), data)


def _page_of(stem: str) -> str:
    """Return the key of the page that a file belongs to: a copy of a page belongs to its page."""
    from journal.folder import stray_names  # noqa: PLC0415 (its patterns take a hundredth of a log)

    meant = stray_names.stray(f"{stem}.toml")
    name = meant.meant[0] if meant is not None and meant.kind == "copy" else f"{stem}.toml"
    return SETTINGS if name == SETTINGS_NAME else name.removesuffix(".toml")
