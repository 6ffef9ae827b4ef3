"""Checks of the pictures on a page: their names, their number, and captions without a picture.

The files themselves are not looked at, since a page is read without them (`journal.pictures`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from journal.folder import picture_names
from journal.folder.faults import ABOVE, Fault, chosen, quoted
from journal.language.lazy_text import L_, Phrase

MOST_PICTURES = 40
"""Pictures of one day. All of them are drawn on its page."""
LONGEST_CAPTION = 1_000
"""Characters of a caption. It is also the picture's alternative text, which is read aloud as a whole."""


def of_day(pictures: Sequence[str], captions: Mapping[str, str]) -> list[Fault]:
    """Return the faults of a day's pictures.

    >>> [fault.got for fault in of_day(["bench.jpg", "../a.jpg"], {"bnech.jpg": "The bench."})]
    ['"../a.jpg"', '"bnech.jpg"']
    """
    faults: list[Fault] = []
    remedy: Phrase
    first: dict[str, int] = {}
    for i, name in enumerate(pictures):
        where = ("pictures", i)
        if (wrong := picture_names.fault(name)) is not None:
            faults.append(Fault(where=where, expected=wrong[0], got=quoted(name), remedy=wrong[1]))
        elif first.setdefault(name, i) != i:
            expected, remedy = L_("a picture that is not in the list yet"), L_("take one of the two out")
            faults.append(Fault(where=where, expected=expected, got=quoted(name), remedy=remedy))
    if len(pictures) > MOST_PICTURES:
        expected = L_("at most {count} pictures", count=MOST_PICTURES)
        got = L_("{number}, of which the first are shown", number=len(pictures))
        remedy = L_("keep the others on another day's page")
        faults.append(Fault(where=("pictures",), expected=expected, got=got, remedy=remedy, drop=()))
    for name, caption in captions.items():
        if name not in first:
            near = chosen(name, first, L_("add {name} to pictures", name=quoted(name)))
            remedy = ABOVE if name == "pictures" else near
            expected = L_("a picture of this page")
            faults.append(
                Fault(
                    where=("captions", name),
                    expected=expected,
                    got=quoted(name),
                    remedy=remedy,
                    at_key=True,
                )
            )
        elif len(caption) > LONGEST_CAPTION:
            expected, remedy = L_("at most {count} characters", count=LONGEST_CAPTION), L_("write the rest as a note")
            faults.append(Fault(where=("captions", name), expected=expected, got=len(caption), remedy=remedy))
    return faults
