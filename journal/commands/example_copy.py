"""The work of `duskbook try`: a copy of the example year, opened as of its last day."""

from __future__ import annotations

import contextlib
import datetime as dt
import shutil
import signal
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import click

from journal.commands.usage_errors import say
from journal.errors import FolderError, UsageError
from journal.language.catalogue import _
from journal.pages import installation, server

LAST_DAY = dt.date(2025, 12, 31)


def open_copy(folder: Path | None, port: int | None, open_browser: bool) -> None:
    """Serve a copy of the example year until Ctrl-C. Without a folder it is a temporary one, removed at the end.

    Raises UsageError for a folder that is there, FolderError if the copy cannot be made.
    """
    installation.refuse_if_incomplete()
    if folder is not None:
        copy_to(folder)
        say(_("Copied to {folder}. Open it later with: duskbook year {folder} --date 2025", folder=folder))
        return _serve(folder, port, open_browser)
    with _ended_by_signals():
        temporary = Path(tempfile.mkdtemp(prefix="duskbook-try-"))
        try:
            copy_to(temporary / "example")
            say(_("A copy of an invented year. It is removed when you end this with Ctrl-C."))
            _serve(temporary / "example", port, open_browser)
        finally:
            _remove(temporary)


def _remove(folder: Path) -> None:
    """Remove a folder in which a page may still write its figures: again, until it stays away or 3 s have passed."""
    ended = time.monotonic() + 3
    while time.monotonic() < ended:
        shutil.rmtree(folder, ignore_errors=True)
        time.sleep(0.1)
        if not folder.exists():
            return


@contextlib.contextmanager
def _ended_by_signals() -> Iterator[None]:
    """End the body as Ctrl-C does when the terminal is closed or the process asked to end: the copy is removed."""
    numbers = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    before = [signal.signal(number, signal.default_int_handler) for number in numbers]
    try:
        yield
    finally:
        for number, handler in zip(numbers, before, strict=True):
            signal.signal(number, handler)


def copy_to(folder: Path) -> None:
    """Copy the example year into a new folder, which its owner alone may enter.

    Raises UsageError if the folder is there, FolderError if it cannot be written or the example is missing.
    """
    example = example_folder()
    try:
        folder.mkdir(mode=0o700, parents=True)
        for path in sorted(path for path in (example / "2025").iterdir() if path.is_file()):
            (folder / "2025").mkdir(exist_ok=True)
            shutil.copyfile(path, folder / "2025" / path.name)
        for name in ("undated.toml", "README.md", "journal.toml"):
            shutil.copyfile(example / name, folder / name)
    except FileExistsError:
        raise UsageError(_('"{folder}" is there already; name a new folder, or none', folder=folder)) from None
    except OSError as error:
        text = _('the example cannot be copied to "{folder}" ({reason}); name another')
        raise FolderError(text.format(folder=folder, reason=error.strerror)) from None


def example_folder() -> Path:
    """The example year: `example_year` beside the package in a checkout, `duskbook_example_year` if installed.

    Raises FolderError if it is missing.
    """
    beside = Path(__file__).parents[2]
    for name in ("example_year", "duskbook_example_year"):
        if (beside / name / "journal.toml").is_file():
            return beside / name
    text = _('"{folder}", a folder of Duskbook, is missing; install Duskbook again')
    raise FolderError(text.format(folder=beside / "duskbook_example_year"))


def _serve(folder: Path, port: int | None, open_browser: bool) -> None:
    number = server.PORT if port is None else port
    server.serve(folder, "evening", port=number, today=LAST_DAY, open_browser=open_browser, announce=click.echo)
