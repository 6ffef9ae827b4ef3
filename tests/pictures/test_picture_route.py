"""The address of a picture: it opens one picture to who is let in and was told it, and nothing else to anybody."""

from __future__ import annotations

import datetime as dt
import html
from pathlib import Path

import pytest

import journal
from journal import periods
from journal.pages import picture_route
from journal.pages.browser_modules import ROUTE
from journal.pages.guard import Guard
from journal.sections import picture_cards
from tests.journals import write
from tests.pages.guarded import Behind, ask, ask_at, cookie, guarded
from tests.pictures.drawn import jpeg

DAY = dt.date(2025, 3, 14)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(ROUTE, "browser/0123456789abcdef")
    names = ["a.jpg", "gone.jpg"]
    write(tmp_path, {DAY: {"pictures": names, "captions": {"a.jpg": 'The <hooks> & "more".'}}})
    (tmp_path / "2025/a.jpg").write_bytes(jpeg(1, 900, 600))
    return tmp_path


@pytest.fixture
def guard() -> Guard:
    return guarded(Behind())


def test_the_address_opens_its_picture_to_who_is_let_in(folder: Path, guard: Guard) -> None:
    path = picture_route.address(folder, "2025/a.jpg", 400).removeprefix("..")
    answer = ask(guard, path, cookie=cookie(guard))
    assert answer.status == 200 and answer.headers["content-type"] == "image/jpeg"
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["content-security-policy"] == "default-src 'none'; sandbox"
    assert ask(guard, path, method="HEAD", cookie=cookie(guard)).status == 200
    assert ask(guard, path).status == 403
    assert ask_at(guard, path, cookie=cookie(guard)).status == 403
    assert ask(guard, path, cookie=cookie(guard), host="evil.example").status == 421
    assert ask(guard, path, cookie=cookie(guard), sec_fetch_site="same-site", sec_fetch_mode="no-cors").status == 403


@pytest.mark.parametrize(
    "path", ["/picture/2025/a.jpg", "/picture/" + "0" * 32 + ".jpg", "/picture/../a.jpg", "/picture/"]
)
def test_no_other_address_opens_one(path: str, folder: Path, guard: Guard) -> None:
    picture_route.address(folder, "2025/a.jpg", 400)
    assert ask(guard, path, cookie=cookie(guard)).status == 404


def test_an_address_follows_the_file(folder: Path, guard: Guard) -> None:
    first = picture_route.address(folder, "2025/a.jpg", 400)
    assert picture_route.address(folder, "2025/a.jpg", 400) == first != picture_route.address(folder, "2025/a.jpg", 800)
    (folder / "2025/a.jpg").write_bytes(jpeg(2, 300, 200))
    assert picture_route.address(folder, "2025/a.jpg", 400) != first
    (folder / "2025/a.jpg").unlink()
    assert picture_route.address(folder, "2025/a.jpg", 400) == ""
    assert ask(guard, first.removeprefix(".."), cookie=cookie(guard)).status == 404


def test_without_the_server_a_picture_is_in_the_page(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv(ROUTE)
    assert picture_route.address(folder, "2025/a.jpg", 40).startswith("data:image/jpeg;base64,/9j/")
    assert picture_route.address(folder, "2025/gone.jpg", 40) == ""


@pytest.mark.parametrize("kind", ["week", "month", "year"])
def test_the_chapter_of_a_period(kind: periods.PeriodKind, folder: Path) -> None:
    book = journal.open(folder, today=DAY, cache=False)
    period = periods.containing(DAY, kind, week_starts="monday")
    chapter = picture_cards.chapter(book, period, picture_route.address)
    assert chapter.sentence == "2 pictures of 1 day"
    shown = html.unescape(str(chapter.draw()))
    address = picture_route.address(folder, "2025/a.jpg", 400 if kind == "year" else 800)
    assert f'<img src="{address}" alt="The <hooks> & "more"." loading="lazy">' in shown
    assert "&#60;hooks&#62; &#38; &#34;more" in str(chapter.draw())
    assert "gone.jpg cannot be shown" in shown and "No caption yet" in shown
    before = periods.before(period)
    assert picture_cards.chapter(book, before, picture_route.address).sentence == "No picture was added"
