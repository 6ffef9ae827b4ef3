"""Facts about a place, to see whether its coordinates are right: the sun there today, and the town of its time zone."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Mapping
from typing import Any, Literal

from journal.errors import UsageError
from journal.language.spoken import spoken
from journal.setup.zone_town import proposed_home
from journal.sun import rise_set
from journal.wording import typed_numbers


def zones() -> list[str]:
    """The names of all time zones, for suggestions."""
    return sorted(zone for zone in zoneinfo.available_timezones() if "/" in zone and not zone.startswith("Etc/"))


def town(zone: str) -> dict[str, str]:
    """The town that a zone is named for, as the controls of a place. Empty for a zone without one.

    >>> town("Europe/Ljubljana"), town("Etc/UTC")
    ({'name': 'Ljubljana', 'latitude': '46.05', 'longitude': '14.52'}, {})
    """
    place = proposed_home(zone)
    if (place.latitude, place.longitude) == (0, 0):
        return {}
    return {"name": place.name, "latitude": _degrees(place.latitude), "longitude": _degrees(place.longitude)}


def sun(params: Mapping[str, Any], today: dt.date, clock: Literal[12, 24]) -> str:
    """Sunrise and sunset of today at a place that is being entered: {"latitude", "longitude", "timezone"}. Empty while
    these are no place.

    >>> place = {"latitude": "46,05", "longitude": "14.51", "timezone": "Europe/Ljubljana"}
    >>> sun(place, dt.date(2025, 3, 14), 24)
    'Sunrise 06:16 · sunset 18:07'
    >>> sun(place | {"latitude": "north"}, dt.date(2025, 3, 14), 24)
    ''
    """
    try:
        latitude, longitude = (typed_numbers.read(str(params.get(name))) for name in ("latitude", "longitude"))
        frame = rise_set.days(today, today, latitude, longitude, str(params.get("timezone")))
    except (ValueError, UsageError):
        return ""
    return " · ".join(rise_set.words(frame.row(0, named=True), clock)[:2]) if frame.height else ""


def _degrees(value: float) -> str:
    return f"{value:g}".replace(".", spoken().decimal)
