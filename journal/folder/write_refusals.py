"""What is not written: a page that is too large to be read again, and pages of a journal whose journal.toml is of
another format or cannot be read at all."""

from __future__ import annotations

from journal.errors import WriteError
from journal.folder import arriving, check_settings
from journal.folder.discover import SIZE_LIMIT
from journal.folder.opened_files import OpenedFiles
from journal.folder.page_versions import Base
from journal.folder.reading import UNREAD, Basis
from journal.language import digits
from journal.language.catalogue import N_, _


def refuse(files: OpenedFiles, before: Base, after: Base) -> None:
    """Raise WriteError if the journal has another format, if nobody knows its habits because journal.toml cannot be
    read, if a file would become too large to be read, or if a new page is just arriving from elsewhere.
    """
    refuse_other(files.basis)
    if files.basis.source == UNREAD:
        raise WriteError(_("{problem}; nothing is saved before that", problem=files.basis.problems[0]))
    if before.data is None:
        arriving.refuse(files.folder, after.path)
    size = len(after.data or b"")
    if size > SIZE_LIMIT:
        raise WriteError(
            _(
                '"{path}" would have {size} bytes, and one of more than {limit} is not read; '
                "shorten it, or keep the longest texts in a file of their own",
                path=after.path,
                size=digits.number(size),
                limit=digits.number(SIZE_LIMIT),
            )
        )


def refuse_other(basis: Basis) -> None:
    """Raise WriteError if the journal has another format: its files may say things that a change would contradict."""
    if basis.other_format is not None:
        raise WriteError(_("this {words}", words=other_words(basis.other_format)))


def other_sentence(other_format: int) -> str:
    """Return the words on a journal of another format, as a sentence."""
    return _("This {words}.", words=other_words(other_format))


def other_words(other_format: int) -> str:
    """Return the words on a journal of another format, behind "this".

    >>> other_words(2)
    'journal has format 2, and this Duskbook knows format 1: it reads what it can and saves nothing; get a newer one'
    """
    newer = N_(
        "journal has format {other}, and this Duskbook knows format {known}: it reads what it can and saves nothing; "
        "get a newer one"
    )
    older = N_(
        "journal has format {other}, and this Duskbook knows format {known}: it reads what it can and saves nothing; "
        'bring it there with "duskbook upgrade"'
    )
    known = check_settings.FORMAT
    return _(newer if other_format > known else older, other=other_format, known=known)
