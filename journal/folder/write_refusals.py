"""What is not written: a page that is too large to be read again, and pages of a journal whose journal.toml is of
another format or cannot be read at all."""

from __future__ import annotations

from journal.errors import WriteError
from journal.folder import arriving, check_settings
from journal.folder.discover import SIZE_LIMIT
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.folder.reading import UNREAD, Basis


def refuse(files: OpenedFiles, before: Base, after: Base) -> None:
    """Raise WriteError if the journal has another format, if nobody knows its habits because journal.toml cannot be
    read, if a file would become too large to be read, or if a new page is just arriving from elsewhere.
    """
    refuse_other(files.basis)
    if files.basis.source == UNREAD:
        raise WriteError(f"{files.basis.problems[0]}; nothing is saved before that")
    if before.data is None:
        arriving.refuse(files.folder, after.path)
    size = len(after.data or b"")
    if size > SIZE_LIMIT:
        raise WriteError(
            f'"{after.path}" would have {size:,} bytes, and one of more than {SIZE_LIMIT:,} is not read; '
            "shorten it, or keep the longest texts in a file of their own"
        )


def refuse_other(basis: Basis) -> None:
    """Raise WriteError if the journal has another format: its files may say things that a change would contradict."""
    if basis.other_format is not None:
        raise WriteError(f"this {other_words(basis.other_format)}")


def other_words(other_format: int) -> str:
    """Return the words on a journal of another format.

    >>> other_words(2)
    'journal has format 2, and this Duskbook knows format 1: it reads what it can and saves nothing; get a newer one'
    """
    known = check_settings.FORMAT
    remedy = "get a newer one" if other_format > known else 'bring it there with "duskbook upgrade"'
    return (
        f"journal has format {other_format}, and this Duskbook knows format {known}: "
        f"it reads what it can and saves nothing; {remedy}"
    )
