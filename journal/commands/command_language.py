"""The language of a command line: that of the journal it is about, before anything is opened.

Help and errors of usage are in it too, so it is found without a library: one look at journal.toml for its line
`language`. A file that only a parser would understand gives English there, and its own language once it is open.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence

from journal.language.languages import ENGLISH, LANGUAGES, Language, of_locale

_TABLE = re.compile(rb"^[ \t]*\[", re.MULTILINE)
_LINE = re.compile(rb"""^[ \t]*language[ \t]*=[ \t]*["']([\w-]+)["']""", re.MULTILINE)


def of(arguments: Sequence[str], environment: Mapping[str, str] = os.environ) -> Language:
    """Return the language of a command line: of the first journal among its words, else of the one that applies here.

    `start` speaks the language of the system. Without a journal it is English.

    >>> of(["start", "my-journal"], {"LANG": "de_DE.UTF-8"}).name, of(["--help"], {"LANG": "de_DE.UTF-8"}).name
    ('Deutsch', 'English')
    """
    if "_DUSKBOOK_COMPLETE" in environment:  # a shell completes: the line is in a variable
        arguments = environment.get("COMP_WORDS", "").split()[1:]
    words = [word for word in arguments if not word.startswith("-")]
    if words[:1] == ["start"]:
        return system_language(environment)
    applying = os.path.expanduser(environment.get("DUSKBOOK_FOLDER", "")) or "."  # noqa: PTH111 (pathlib takes longer)
    for folder in [*words[1:], applying]:
        text = _settings(folder)
        if text is not None:
            return LANGUAGES.get(code_in(text), ENGLISH)
    return ENGLISH


def code_in(text: bytes) -> str:
    """Return the value of `language` in the text of a journal.toml, "" without such a line.

    >>> code_in(b'title = "Faden"\\nlanguage = "de"  # Deutsch\\n[day]\\nlanguage = "en"\\n'), code_in(b"[day]")
    ('de', '')
    """
    table = _TABLE.search(text)
    line = _LINE.search(text, 0, table.start() if table else len(text))
    return line[1].decode() if line else ""


def _settings(folder: str) -> bytes | None:
    """The journal.toml of a folder, None without one."""
    try:
        with open(os.path.join(folder, "journal.toml"), "rb") as file:  # noqa: PTH118, PTH123
            return file.read()
    except (OSError, ValueError):  # no folder, no permission, a NUL byte
        return None


def system_language(environment: Mapping[str, str] = os.environ) -> Language:
    """Return the language of the system's locale, English if it is not there.

    `LANGUAGE` may name several, of which the first counts.

    >>> system_language({"LANG": "de_AT.UTF-8"}).code, system_language({"LC_ALL": "C", "LANG": "de_DE"}).code
    ('de', 'en')
    """
    if listed := environment.get("LANGUAGE", "").partition(":")[0]:
        return of_locale(listed)
    return of_locale(
        next((value for name in ("LC_ALL", "LC_MESSAGES", "LANG") if (value := environment.get(name))), "")
    )
