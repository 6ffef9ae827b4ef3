"""The time zone that the system of this machine is set to."""

from __future__ import annotations

import logging
import os
import warnings
import zoneinfo

UNKNOWN = "Etc/UTC"


def system_zone() -> str:
    """Return the IANA name of the system's time zone, "Etc/UTC" if it names none.

    The variable TZ decides where it names a zone, then what the system's own files say, or its registry.
    """
    named = os.environ.get("TZ", "").removeprefix(":")
    return named if is_zone(named) else _configured()


def _configured() -> str:
    import tzlocal  # noqa: PLC0415 (no other command needs it)

    # Files that contradict each other name no zone, and a person is asked for hers.
    logging.getLogger("tzlocal").setLevel(logging.ERROR)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            name = tzlocal.get_localzone_name()
        except (zoneinfo.ZoneInfoNotFoundError, LookupError, OSError):
            return UNKNOWN
    return name if name and is_zone(name) else UNKNOWN


def is_zone(name: str) -> bool:
    """Return whether the time zone database has a name."""
    try:
        zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True
