"""The town that a time zone is named for, a proposal for the place of a journal. Nothing is fetched."""

from __future__ import annotations

import importlib.resources
import re

from journal.language.catalogue import _
from journal.settings import Place


def proposed_home(zone: str) -> Place:
    """The town a time zone is named for, with its coordinates in the time zone database (to the minute).

    >>> proposed_home("Europe/Ljubljana")
    Place(key='home', name='Ljubljana', latitude=46.05, longitude=14.52, timezone='Europe/Ljubljana')

    A zone without a town (Etc/UTC) has the name of home, and latitude and longitude 0.
    """
    for line in importlib.resources.files("tzdata").joinpath("zoneinfo/zone.tab").read_text("utf-8").splitlines():
        fields = line.split("\t")
        if len(fields) >= 3 and fields[2] == zone:
            latitude, longitude = (_degrees(part) for part in re.findall(r"[+-]\d+", fields[1]))
            name = zone.rpartition("/")[2].replace("_", " ")
            return Place(key="home", name=name, latitude=latitude, longitude=longitude, timezone=zone)
    return Place(key="home", name=_("Home"), latitude=0, longitude=0, timezone=zone)


def _degrees(text: str) -> float:
    """Degrees from ISO 6709: ±DDMM or ±DDDMM, optionally with SS. A latitude has 2 digits of degrees."""
    sign, digits = (-1 if text[0] == "-" else 1), text[1:]
    whole = 3 if len(digits) in (5, 7) else 2
    minutes = int(digits[whole : whole + 2]) + int(digits[whole + 2 :] or 0) / 60
    return round(sign * (int(digits[:whole]) + minutes / 60), 2)
