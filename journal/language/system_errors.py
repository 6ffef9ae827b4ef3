"""What the system says of a file that it cannot open or write, in the spoken language.

The system itself answers in English, as Python asks it. Its usual answers are in the catalogue; others stay as they
are.
"""

from __future__ import annotations

from journal.language.catalogue import N_, _

REASONS = {
    "EPERM": N_("Operation not permitted"),
    "ENOENT": N_("No such file or directory"),
    "EIO": N_("Input/output error"),
    "ENXIO": N_("No such device or address"),
    "EAGAIN": N_("Resource temporarily unavailable"),
    "ENOMEM": N_("Cannot allocate memory"),
    "EACCES": N_("Permission denied"),
    "EBUSY": N_("Device or resource busy"),
    "EEXIST": N_("File exists"),
    "EXDEV": N_("Invalid cross-device link"),
    "ENODEV": N_("No such device"),
    "ENOTDIR": N_("Not a directory"),
    "EISDIR": N_("Is a directory"),
    "EINVAL": N_("Invalid argument"),
    "EMFILE": N_("Too many open files"),
    "EFBIG": N_("File too large"),
    "ENOSPC": N_("No space left on device"),
    "EROFS": N_("Read-only file system"),
    "ENAMETOOLONG": N_("File name too long"),
    "ENOTEMPTY": N_("Directory not empty"),
    "ELOOP": N_("Too many levels of symbolic links"),
    "EILSEQ": N_("Invalid or incomplete multibyte or wide character"),
    "EDQUOT": N_("Disk quota exceeded"),
    "ESTALE": N_("Stale file handle"),
    "ETIMEDOUT": N_("Connection timed out"),
    "EADDRINUSE": N_("Address already in use"),
}
"""The usual answers by the names of their numbers."""


def reason(error: OSError) -> str:
    """What an error says, without its number and file.

    >>> reason(PermissionError(13, "Permission denied", "/my-journal")), reason(OSError("it ended"))
    ('Permission denied', 'it ended')
    """
    return _(error.strerror or str(error))
