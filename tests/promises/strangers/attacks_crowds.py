"""Thousands of connections that ask nothing, while the owner saves, reloads and opens another window."""

from __future__ import annotations

import time
from pathlib import Path

from journal.pages.connections import STRANGERS
from tests.browser.evenings import Evening
from tests.promises.strangers.attacks import Field

_GROWTH_MB = 60
_SECONDS = 15.0  # for a save and a reload; without the crowd they take about three


def _memory_mb(process: int) -> float:
    lines = Path(f"/proc/{process}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS:")) / 1024


def _open_files(process: int) -> int:
    return sum(1 for _ in Path(f"/proc/{process}/fd").iterdir())


def idle(field: Field) -> None:
    """Silent, slow and half asked connections."""
    owner, stranger = field.owner, field.stranger
    before, files_before = _memory_mb(owner.process.pid), _open_files(owner.process.pid)
    crowd = stranger.does("crowd", port=owner.port, count=field.idle)
    began = time.monotonic()
    harm = owner.works() or owner.works(reload=True) or _another_window(field)
    seconds = time.monotonic() - began
    still = stranger.does("still_open")
    grown = _memory_mb(owner.process.pid) - before
    more_files = _open_files(owner.process.pid) - files_before
    stranger.does("disperse")
    if not harm and crowd["opened"] < field.idle:
        harm = f"only {crowd['opened']} connections were made"
    if not harm and (still > STRANGERS or more_files > 2 * STRANGERS or grown > _GROWTH_MB or seconds > 3 * _SECONDS):
        harm = f"{still} stay open, {more_files} more files, {grown:.0f} MB more, {seconds:.0f} s"
    limit = f"{owner.descriptors} files" if owner.descriptors else "the usual limit"
    field.record(
        f"{field.idle:,} idle connections, {limit}", "5", {"tries": field.idle, "got": []}, harm or _errors(field)
    )


def flood(field: Field) -> None:
    """Connections that are opened and left as fast as possible."""
    owner, stranger = field.owner, field.stranger
    stranger.does("flood", port=owner.port, host=owner.host, kind="connections")
    time.sleep(1)
    harm = owner.works() or owner.works(reload=True) or _another_window(field)
    stranger.does("end_flood")
    field.record("connections opened as fast as possible", "5", {"tries": 1, "got": []}, harm or _errors(field))


def _another_window(field: Field) -> str:
    page = field.owner.new_page()
    try:
        page.goto(f"{field.owner.root}/evening/", wait_until="commit")
        Evening(page)
    except Exception as error:
        return f"no other window: {str(error).partition(chr(10))[0]}"
    finally:
        page.close()
    return ""


def _errors(field: Field) -> str:
    """What the server has written to stderr: nothing of it is worth a line."""
    field.owner.errors.seek(0)
    text = field.owner.errors.read()
    return f"the server wrote {len(text)} characters: {text.strip().rpartition(chr(10))[2][:100]}" if text else ""
