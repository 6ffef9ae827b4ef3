"""Whether the files that the pages are made of are there: an installation may be cut short, or cleaned up too far."""

from __future__ import annotations

import re
from pathlib import Path

from journal.errors import FolderError
from journal.language.catalogue import _, _n
from journal.pages import browser_modules, server

_BESIDE = ("head.js", "first_sight.js", "frame.js", "first_sight.css", "style.css")
_IMPORT = re.compile(r'from "\./([\w.]+)"')


def refuse_if_incomplete() -> None:
    """Raise FolderError if a notebook or a browser module is missing."""
    texts = browser_modules.module_texts()
    needed = {"loader.js", "takeover.js", *(f"{name}.js" for name in browser_modules.WIDGETS)}
    needed |= {name for text in texts.values() for name in _IMPORT.findall(text)}
    notebooks = [server.notebook_folder() / f"{page}.py" for page in server.PAGES]
    beside = [Path(__file__).with_name(name) for name in _BESIDE]
    missing = [path for path in (*notebooks, *beside) if not path.is_file()]
    missing += [browser_modules.BROWSER / name for name in sorted(needed - texts.keys())]
    if missing:
        if len(missing) == 1:
            raise FolderError(_('"{path}", a file of Duskbook, is missing; install Duskbook again', path=missing[0]))
        raise FolderError(
            _n(
                '"{path}" and {count} more files of Duskbook are missing; install Duskbook again',
                '"{path}" and {count} more files of Duskbook are missing; install Duskbook again',
                len(missing) - 1,
                path=missing[0],
            )
        )
