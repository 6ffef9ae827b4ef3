"""A moment as the clock at home shows it."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from journal.folder.opened_files import OpenedFiles
from journal.wording import dates


def at_home(files: OpenedFiles, moment: dt.datetime, *, day: bool = False) -> str:
    """Return the local time of a moment at home, with `day` after its day.

    >>> import tempfile
    >>> from pathlib import Path
    >>> with tempfile.TemporaryDirectory() as name:
    ...     _ = Path(name, "journal.toml").write_text('title = "Spine and thread"')
    ...     files = OpenedFiles(Path(name))
    ...     at_home(files, dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC), day=True)
    '14 March 2025, 22:05'
    """
    settings = files.basis.settings
    local = moment.astimezone(ZoneInfo(settings.places[0].timezone)) if settings.places else moment
    time = dates.clock(local.hour * 60 + local.minute, settings.clock)
    return f"{dates.day(local.date(), weekday=False, year=True)}, {time}" if day else time
