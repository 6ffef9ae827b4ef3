"""The language that texts are made in: English, unless a page or a command says another.

    with speaking(LANGUAGES[journal.settings.language]):
        print(dates.day(date))

It belongs to the running context (`contextvars`), not to the process: two threads, or two tasks of one thread, may
speak two languages. A new thread begins in English. What is made of a journal depends on its `language` only where a
page or a command says so with these functions; see DECISIONS.md.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from contextvars import ContextVar

from journal.language.languages import ENGLISH, LANGUAGES, Language

_spoken: ContextVar[Language] = ContextVar("spoken language", default=ENGLISH)


def spoken() -> Language:
    """The language of this context."""
    return _spoken.get()


def speak(code: str) -> None:
    """Speak a language from here on in this context: a page in its thread, a command in its process.

    An unknown code is English: `folder.check_settings` has told of it.
    """
    _spoken.set(LANGUAGES.get(code, ENGLISH))


@contextlib.contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Speak a language inside a block.

    >>> with speaking(LANGUAGES["de"]):
    ...     spoken().name
    'Deutsch'
    >>> spoken().name
    'English'
    """
    token = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(token)
