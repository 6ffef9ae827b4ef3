"""The spoken language: of a context, not of the process."""

from __future__ import annotations

import asyncio
import datetime as dt
import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from journal.language import spoken
from journal.language.languages import ENGLISH, LANGUAGES
from journal.pages import page_params
from journal.wording import dates

DAY = dt.date(2025, 3, 13)
WORDS = {"en": "Thursday 13 March", "de": "Donnerstag, 13. März"}


def a_journal(folder: Path, code: str) -> Path:
    folder.mkdir()
    (folder / "journal.toml").write_text(f'title = "Small"\nlanguage = "{code}"\n', encoding="utf-8")
    return folder


def test_two_journals_of_two_languages_are_open_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each page has a thread, and speaks the language of its journal however the two take turns."""
    monkeypatch.setenv("DUSKBOOK_TODAY", "2025-03-13")
    folders = {code: a_journal(tmp_path / code, code) for code in WORDS}
    both_open = threading.Barrier(len(WORDS), timeout=20)

    def page(code: str) -> list[str]:
        said = [dates.day(DAY)]
        page_params.opened(folders[code], dt.datetime(2025, 3, 13, 22, tzinfo=dt.UTC))
        for _turn in range(20):
            both_open.wait()
            said.append(dates.day(DAY))
        return said

    with ThreadPoolExecutor(len(WORDS)) as pages:
        results = dict(zip(WORDS, pages.map(page, WORDS), strict=True))
    assert results == {code: [WORDS["en"], *[words] * 20] for code, words in WORDS.items()}
    assert spoken.spoken() is ENGLISH


def test_two_tasks_of_one_thread_speak_two_languages() -> None:
    async def say(code: str) -> list[str]:
        spoken.speak(code)
        said = []
        for _turn in range(5):
            await asyncio.sleep(0)
            said.append(dates.day(DAY))
        return said

    async def both() -> list[list[str]]:
        return await asyncio.gather(*(say(code) for code in WORDS))

    assert asyncio.run(both()) == [[words] * 5 for words in WORDS.values()]
    assert spoken.spoken() is ENGLISH


def test_a_block_ends_with_its_language() -> None:
    with pytest.raises(ValueError, match="on purpose"), spoken.speaking(LANGUAGES["de"]):
        raise ValueError("on purpose")
    assert spoken.spoken() is ENGLISH


def test_an_unknown_code_is_english() -> None:
    with spoken.speaking(LANGUAGES["de"]):
        spoken.speak("tlh")
        assert spoken.spoken() is ENGLISH
