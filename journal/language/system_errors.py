"""Errors of the system in words: the system's own texts are in the catalogue, since it says them in English."""

from __future__ import annotations

from journal.language.catalogue import N_
from journal.language.lazy_text import L_, Phrase, said

TEXTS = frozenset(
    {
        N_("Address already in use"),
        N_("Broken pipe"),
        N_("Cannot allocate memory"),
        N_("Connection timed out"),
        N_("Device or resource busy"),
        N_("Directory not empty"),
        N_("Disk quota exceeded"),
        N_("File exists"),
        N_("File name too long"),
        N_("File too large"),
        N_("Host is down"),
        N_("Input/output error"),
        N_("Invalid argument"),
        N_("Invalid cross-device link"),
        N_("Invalid or incomplete multibyte or wide character"),
        N_("Is a directory"),
        N_("No data available"),
        N_("No locks available"),
        N_("No space left on device"),
        N_("No such device"),
        N_("No such device or address"),
        N_("No such file or directory"),
        N_("Not a directory"),
        N_("Operation not permitted"),
        N_("Operation not supported"),
        N_("Permission denied"),
        N_("Read-only file system"),
        N_("Resource temporarily unavailable"),
        N_("Stale file handle"),
        N_("Text file busy"),
        N_("Too many levels of symbolic links"),
        N_("Too many links"),
        N_("Too many open files"),
        N_("Transport endpoint is not connected"),
        N_("embedded null byte"),
    }
)
"""What the C library of Linux says of files, and Python of a path. Any other text is shown as it is."""

OWN_TEXTS = frozenset(
    {
        N_("has a second name"),
        N_("not a folder of its own"),
        N_("not a plain file"),
        N_("not a plain name"),
        N_("not made by Duskbook"),
        N_("too large"),
    }
)
"""What `folder.private_folder` says of a file that is not Duskbook's, in errors as the system has them."""


def words(error: Exception) -> Phrase:
    """Return what the system says of an error, not looked up in a language yet.

    >>> words(PermissionError(13, "Permission denied")).text, words(OSError(5, "of another system"))
    ('Permission denied', 'of another system')
    """
    text = getattr(error, "strerror", None) or str(error)
    return L_(text) if text in TEXTS | OWN_TEXTS else text


def reason(error: Exception) -> str:
    """Return what the system says of an error, in the spoken language."""
    return said(words(error))
