"""The name of a picture that is copied into the journal: its day, and words of its own name without a camera's.

Cameras and telephones write the moment and a number into a name, people write places and dates. So only words stay that
are neither. Letters lose their marks: some drives spell them in another way than they were given.
"""

from __future__ import annotations

import datetime as dt
import re
import unicodedata

from journal.language.languages import LANGUAGES

_WORD = re.compile(r"[^\W\d_]+")
_SHORTEST, _MOST, _LONGEST = 3, 5, 40
_OF_DEVICES = frozenset({
    "burst", "cimg", "copy", "cropped", "dcim", "dscf", "dscn", "dsc", "edited", "gps", "hdr", "image", "imag", "img",
    "kopie", "lat", "lon", "long", "mvimg", "night", "original", "pano", "photo", "pic", "pict", "portrait", "scan",
    "screenshot", "utc", "vid",
})  # fmt: skip


def _unmarked(name: str) -> str:
    """A name in small letters, without their marks."""
    spelt = unicodedata.normalize("NFKD", name).lower()
    return "".join(letter for letter in spelt if not unicodedata.combining(letter))


_OF_DATES = frozenset(
    part
    for language in LANGUAGES.values()
    for name in (*language.months, *language.weekdays)
    for part in (_unmarked(name), _unmarked(name)[:3])
)


def of_day(day: dt.date, source: str, ending: str, number: int = 1) -> str:
    """Return a name for a picture of a day. `source` is the name of the file it is copied from.

    >>> day = dt.date(2025, 3, 14)
    >>> of_day(day, "IMG_20250313_184502.JPG", ".jpg"), of_day(day, "The new Hooks (46.05N, 14.51E).jpg", ".jpg", 2)
    ('2025-03-14-picture.jpg', '2025-03-14-the-new-hooks-2.jpg')
    """
    stem = source.rpartition(".")[0] or source
    plain = _unmarked(stem)
    words = [word for word in _WORD.findall(plain) if len(word) >= _SHORTEST and word not in _OF_DEVICES | _OF_DATES]
    own = "-".join(words[:_MOST])[:_LONGEST].strip("-") or "picture"
    return f"{day}-{own}{f'-{number}' if number > 1 else ''}{ending}"


def as_it_is(day: dt.date, source: str, ending: str, number: int = 1) -> str:
    """Return the source's own name behind the day, for a journal that keeps pictures as they are.

    >>> as_it_is(dt.date(2025, 3, 14), "2025-03-14 IMG_0746.JPG", ".jpg")
    '2025-03-14-IMG_0746.jpg'
    """
    stem = (source.rpartition(".")[0] or source).removeprefix(str(day))
    own = re.sub(r"[^\w.+-]+", "-", unicodedata.normalize("NFC", stem)).strip("-._")[: 2 * _LONGEST] or "picture"
    return f"{day}-{own}{f'-{number}' if number > 1 else ''}{ending}"
