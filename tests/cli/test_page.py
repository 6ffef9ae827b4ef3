"""`duskbook day`, `evening`, `week`, `month` and `year`: how they start the server, and one that really serves."""

from __future__ import annotations

import datetime as dt
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from journal.commands import clock
from journal.pages import server
from tests.cli.conftest import PROJECT, Typed
from tests.entering import enter, opener, read_announced


@pytest.fixture
def served_with(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """The arguments the server would be started with."""
    calls: list[dict[str, Any]] = []

    def serve(folder: Path, page: str, **more: Any) -> None:
        more.pop("announce")("http://127.0.0.1/")
        calls.append({"folder": folder, "page": page} | more)

    monkeypatch.setattr(server, "serve", serve)
    return calls


@pytest.mark.parametrize("page", ["day", "week", "month", "year"])
def test_a_page_opens_in_the_browser(
    typed: Typed, small_journal: Path, served_with: list[dict[str, Any]], page: str
) -> None:
    result = typed(page, small_journal)
    assert (result.exit_code, result.stdout) == (0, "http://127.0.0.1/\n")
    assert served_with == [
        {
            "folder": small_journal,
            "page": page,
            "port": server.PORT,
            "on": None,
            "open_browser": True,
            "idle_seconds": None,
        }
    ]


@pytest.mark.parametrize(
    ("said", "meant"),
    [("2025-03-14", (2025, 3, 14)), ("2025-W11", (2025, 3, 10)), ("2025-03", (2025, 3, 1)), ("2025", (2025, 1, 1))],
)
def test_where_and_how_it_opens(
    typed: Typed, small_journal: Path, served_with: list[dict[str, Any]], said: str, meant: tuple[int, int, int]
) -> None:
    assert typed("week", small_journal, "--date", said, "--port", "9000", "--no-browser").exit_code == 0
    assert served_with[0] | {"folder": small_journal} == {
        "folder": small_journal,
        "page": "week",
        "port": 9000,
        "on": dt.date(*meant),
        "open_browser": False,
        "idle_seconds": None,
    }


def test_without_a_terminal_an_entry_of_the_menu_prints_nothing_and_ends_by_itself(
    typed: Typed, small_journal: Path, served_with: list[dict[str, Any]]
) -> None:
    """The desktop would keep what is printed: a code is in it that lets a browser in."""
    result = typed("evening", small_journal, "--until-closed")
    assert (result.exit_code, result.output) == (0, "")
    assert served_with[0]["idle_seconds"] == 600


def test_the_evening_of_a_coming_day_leads_to_its_page_with_a_sentence(
    typed: Typed, small_journal: Path, served_with: list[dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clock, "today", lambda settings: dt.date(2025, 3, 13))
    result = typed("evening", small_journal, "--date", "2025-03-14")
    assert result.stdout.startswith("2025-03-14 is still to come, so its evening cannot be closed yet.")
    assert typed("evening", small_journal, "--date", "2025-03-13").stdout == "http://127.0.0.1/\n"
    assert typed("day", small_journal, "--date", "2025-03-14").stdout == "http://127.0.0.1/\n"
    days = (dt.date(2025, 3, 14), dt.date(2025, 3, 13), dt.date(2025, 3, 14))
    assert [(call["page"], call["on"]) for call in served_with] == list(
        zip(("day", "evening", "day"), days, strict=True)
    )


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is no signal that can be sent there")
def test_a_page_is_served_until_ctrl_c(small_journal: Path) -> None:
    serving = subprocess.Popen(
        [sys.executable, "-m", "journal", "week", str(small_journal), "--port", "0", "--no-browser"],
        cwd=PROJECT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        client = opener()
        page = enter(client, *read_announced(serving))
        assert serving.stdout is not None
        assert serving.stdout.readline() == "Only this machine can open it. Ctrl-C ends it.\n"
        with client.open(page, timeout=60) as answer:
            assert answer.status == 200
    finally:
        serving.send_signal(signal.SIGINT)
        out, err = serving.communicate(timeout=60)
    assert (serving.returncode, out, err) == (0, "", "")
