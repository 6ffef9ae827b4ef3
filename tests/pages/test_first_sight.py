"""The first sight of a page: drawn by its notebook, answered to the pages of this server only, and never its price."""

from __future__ import annotations

import asyncio
import datetime as dt
import gzip
import json
import queue
import re
import shutil
import subprocess
import sys
import threading
import time
from pathlib import Path
from types import ModuleType
from typing import Any
from unittest.mock import Mock

import pytest
from ipywidgets.widgets.widget import _instances  # type: ignore[import-untyped]

from journal import Journal
from journal.language.languages import GERMAN
from journal.language.spoken import speaking
from journal.pages import day_endpoints, form_endpoints, page_params, setup_endpoints, sight_context, sight_frame
from journal.pages.asgi import Message, Receive, Scope, Send
from journal.pages.first_sight import FirstSights, sight_route
from journal.pages.guard import KEY_HEADER
from journal.pages.server import PAGES, notebook_folder
from journal.pages.sight_cells import SightCells
from tests.file_reads import counted, rested
from tests.pages.guarded import ORIGIN, Behind, ask, cookie, guarded

EXAMPLE = Path(__file__).parents[2] / "example_year"


@pytest.fixture(scope="module")
def sights() -> FirstSights:
    return FirstSights(notebook_folder())


@pytest.fixture
def journal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A part of the example year, which the notebooks open."""
    (tmp_path / "2025").mkdir()
    for name in ("journal.toml", "2025/2025-03.toml", *(f"2025/2025-03-{day:02}.toml" for day in range(1, 32))):
        shutil.copy(EXAMPLE / name, tmp_path / name)
    monkeypatch.setenv(page_params.FOLDER, str(tmp_path))
    monkeypatch.setenv(page_params.TODAY, "2025-04-01")
    return tmp_path


def drawn(sights: FirstSights, page: str, query: str = "") -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(gzip.decompress(sights.take(page, query).result(60)))
    return answer


@pytest.mark.usefixtures("journal")
def test_each_page_is_drawn_with_its_forms_and_without_the_frame(sights: FirstSights) -> None:
    forms = {
        "day": "day", "evening": "evening", "week": "review", "month": "habit_decisions", "year": "review",
        "settings": "settings",
    }  # fmt: skip
    for page in PAGES:
        sight = drawn(sights, page)
        assert "<marimo-" not in sight["html"], page
        assert f'aria-current="page">{page.capitalize()}</a>' in sight["html"]
        offer = sight["forms"][forms[page]]["offer"]
        assert offer, page
        assert sight["html"].count('class="early" data-form=') == len(sight["forms"])


@pytest.mark.usefixtures("journal")
@pytest.mark.parametrize(
    ("page", "endpoints", "offer"),
    [
        ("month", setup_endpoints, "habit_decisions"),
        ("week", form_endpoints, "ahead"),
        ("evening", form_endpoints, "evening_at"),
        ("day", day_endpoints, "day_page"),
    ],
)
def test_an_offer_that_takes_long_is_made_once(
    sights: FirstSights, monkeypatch: pytest.MonkeyPatch, page: str, endpoints: ModuleType, offer: str
) -> None:
    made = Mock(wraps=getattr(endpoints, offer))
    monkeypatch.setattr(endpoints, offer, made)
    drawn(sights, page, "on=2025-03-14")
    assert made.call_count == 1


def test_no_page_needs_marimo_to_be_drawn() -> None:
    """Its import, and that of the widgets, takes longer than a page does."""
    program = (
        "import sys\n"
        "from journal.pages.first_sight import FirstSights\n"
        "from journal.pages.server import PAGES, notebook_folder\n"
        "sights = FirstSights(notebook_folder())\n"
        "for page in PAGES:\n"
        "    assert sights.take(page, '').result(60)\n"
        "slow = ('marimo', 'anywidget', 'ipywidgets', 'IPython', 'markdown', 'icalendar', 'recurring_ical_events')\n"
        "print([name for name in slow if name in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert ran.stdout == "[]\n"


CHANGED = """
import marimo

app = marimo.App()

with app.setup:
    import marimo as mo

    from journal.pages import controls, elements


@app.cell
def _():
    get_count, set_count = mo.state(1)
    set_count(lambda count: count + 1)
    button = elements.button("Press", lambda _: None)
    return button, get_count


@app.cell
def _(button, get_count):
    mo.vstack([mo.md(f"**{get_count()}**, {mo.notebook_dir().name}, {button}"), controls.show("<our own>")])
    return
"""


@pytest.mark.usefixtures("journal")
def test_a_changed_notebook_may_show_what_marimo_has(tmp_path: Path) -> None:
    (tmp_path / "month.py").write_text(CHANGED, encoding="utf-8")
    html = drawn(FirstSights(tmp_path), "month")["html"]
    assert "<strong>2</strong>, " + tmp_path.name in html
    assert re.search(r'<button type="button"[^>]*><span>Press</span></button>', html)
    assert "&#60;our own&#62;" in html


@pytest.mark.usefixtures("journal")
def test_what_only_the_frame_can_show_has_no_first_sight(tmp_path: Path) -> None:
    for shown in ("mo.ui.slider(1, 5)", "[1, 2]", "elements"):
        setup = "with app.setup:\n    import marimo as mo\n\n    from journal.pages import elements\n\n"
        (tmp_path / "month.py").write_text(f"{setup}@app.cell\ndef _():\n    {shown}\n    return\n", encoding="utf-8")
        with pytest.raises((ValueError, KeyError), match=r"only the frame|slider"):
            drawn(FirstSights(tmp_path), "month")


@pytest.mark.usefixtures("journal")
def test_the_address_is_honoured_and_nothing_is_written_to_it(sights: FirstSights) -> None:
    assert "February 2025</h1>" in drawn(sights, "month", "month=2025-02")["html"]
    assert drawn(sights, "day", "on=2025-03-14")["forms"]["day"]["offer"]["day"] == "2025-03-14"
    assert drawn(sights, "day", "on=soon")["forms"]["day"]["offer"]["day"] == "2025-04-01"


def test_what_was_begun_with_the_page_is_given_once(sights: FirstSights, journal: Path) -> None:
    sights.begin("settings", "")
    begun = sights.take("settings", "")
    assert b"Spine and thread" in gzip.decompress(begun.result(60))
    (journal / "journal.toml").write_text('title = "Other"\n', encoding="utf-8")
    assert "Other" in json.dumps(drawn(sights, "settings"))


def test_a_journal_is_handed_on_to_the_next_page_while_it_is_the_same(journal: Path) -> None:
    now = dt.datetime(2025, 4, 1, 20, 0, tzinfo=dt.UTC)
    rested(journal)
    closing = threading.Event()

    def page(reads: int = 1) -> list[Journal]:
        """The journals of the reads of one page, which stays open."""
        opened: queue.Queue[Journal] = queue.Queue()

        def session() -> None:
            for _ in range(reads):
                opened.put(page_params.opened(journal, now))
            closing.wait()

        threading.Thread(target=session, daemon=True).start()
        return [opened.get(timeout=30) for _ in range(reads)]

    first, again = page(2)
    assert first.files is not again.files, "a later read may save"
    assert first.states is again.states, "and shares what is derived"
    assert page()[0] is first
    with (journal / "2025" / "2025-03-14.toml").open("a", encoding="utf-8") as file:
        file.write("\n# written since\n")
    with counted(journal) as reads:
        other = page()[0]
    assert other is not first
    assert set(reads.opened) == {"2025-03-14.toml"}, "only what changed is read"
    assert page()[0] is other
    closing.set()
    until = time.monotonic() + 10
    while page()[0] is other:  # until the last page is closed
        assert time.monotonic() < until
        time.sleep(0.01)


def test_another_day_opens_the_journal_again(journal: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def as_of(day: str) -> dt.date:
        monkeypatch.setenv(page_params.TODAY, day)
        opened: list[Journal] = []
        now = dt.datetime(2025, 4, 1, 20, 0, tzinfo=dt.UTC)
        reading = threading.Thread(target=lambda: opened.append(page_params.opened(journal, now)))
        reading.start()
        reading.join()
        return opened[0].today

    assert [as_of(f"2025-04-0{day}").day for day in (1, 2, 2, 1)] == [1, 2, 2, 1]


@pytest.mark.usefixtures("journal")
def test_nothing_of_a_first_sight_stays(sights: FirstSights) -> None:
    before = set(_instances)
    drawn(sights, "evening")
    for thread in threading.enumerate():
        if thread.name in ("first sight", "end of a page", "file watch"):
            thread.join(10)
            assert not thread.is_alive()
    assert set(_instances) <= before


Answered = tuple[int, dict[bytes, bytes], bytes]


FRAME = b'<script type="module" src="./assets/index.js"></script><div id="root"></div>'


def asked(
    sights: FirstSights, method: str, path: str, query: str = "", behind: tuple[int, bytes] = (200, FRAME)
) -> Answered:
    """The answer of the route with marimo's HTML behind it."""
    sent: list[Message] = []

    async def marimo(scope: Scope, receive: Receive, send: Send) -> None:
        assert (scope["path"], scope["raw_path"]) == ("/month/", b"/month/")
        status, html = behind
        headers = [(b"content-length", b"%d" % len(html)), (b"content-type", b"text/html")]
        await send({"type": "http.response.start", "status": status, "headers": headers})
        await send({"type": "http.response.body", "body": html[:20], "more_body": True})
        await send({"type": "http.response.body", "body": html[20:]})

    async def receive() -> Message:
        return {"type": "http.request", "body": b""}

    async def send(message: Message) -> None:
        sent.append(message)

    scope = {"type": "http", "method": method, "path": path, "query_string": query.encode()}
    scope["headers"] = [(b"accept-encoding", b"gzip, br")]
    route = sight_route(marimo, sights, PAGES, "<script>head()</script>")
    asyncio.run(route(scope, receive, send))  # type: ignore[arg-type]
    return sent[0]["status"], dict(sent[0]["headers"]), b"".join(message.get("body", b"") for message in sent[1:])


@pytest.mark.usefixtures("journal")
def test_the_route_answers_with_the_page_its_sight_and_its_frame(sights: FirstSights) -> None:
    status, headers, body = asked(sights, "GET", "/month/", "month=2025-03")
    assert (status, headers[b"content-length"]) == (200, b"%d" % len(body))
    assert b'<div id="first-sight" role="main"></div><div id="root" role="main"></div><script>' in body
    assert b"<title>Month" in body and b"<script>head()</script>" in body
    assert b"index.js" not in body, "the frame is of another request"
    assert b"Walk by the river" not in body, "the page itself has nothing of the journal"
    assert asked(sights, "HEAD", "/month/")[2] == b""
    status, headers, body = asked(sights, "POST", "/month/first-sight", "month=2025-03")
    assert (status, headers[b"content-encoding"], headers[b"content-length"]) == (200, b"gzip", b"%d" % len(body))
    assert "March 2025</h1>" in json.loads(gzip.decompress(body))["html"]
    status, headers, body = asked(sights, "GET", "/month/frame.js", "month=2025-03")
    assert (status, headers[b"content-type"]) == (200, b"text/javascript; charset=utf-8")
    assert b'"entry": "./assets/index.js"' in body


def test_a_frame_that_is_none_is_passed_on(sights: FirstSights) -> None:
    for status, html in ((500, FRAME), (200, b"<p>Something else</p>")):
        told = asked(sights, "GET", "/month/frame.js", behind=(status, html))
        assert (told[0], told[1][b"content-type"], told[2]) == (status, b"text/html", html)


def test_a_page_is_told_that_the_server_has_gone_by_a_socket(sights: FirstSights) -> None:
    """It stays open whatever the page sends, until the server or the page closes it. marimo never hears of it."""
    coming = [
        {"type": "websocket.connect"},
        {"type": "websocket.receive", "text": "?"},
        {"type": "websocket.disconnect"},
    ]
    sent: list[Message] = []

    async def receive() -> Message:
        assert len(coming) == 3 or sent == [{"type": "websocket.accept"}], "open, and nothing is answered"
        return coming.pop(0)

    async def send(message: Message) -> None:
        sent.append(message)

    route = sight_route(refused, sights, PAGES)
    asyncio.run(route({"type": "websocket", "path": "/month/presence"}, receive, send))  # type: ignore[arg-type]
    assert (coming, sent) == ([], [{"type": "websocket.accept"}])


async def refused(scope: Scope, _receive: Receive, _send: Send) -> None:
    raise AssertionError(scope)


def test_a_fault_costs_the_first_sight_alone(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    (tmp_path / "month.py").write_text(
        "import marimo\n\napp = marimo.App()\n\n\n@app.cell\ndef _():\n    1 / 0\n    return\n", encoding="utf-8"
    )
    broken = FirstSights(tmp_path)
    assert asked(broken, "GET", "/month/")[0] == 200
    assert asked(broken, "POST", "/month/first-sight")[::2] == (204, b"")
    assert "could not be drawn" in caplog.text


def test_only_a_page_of_this_server_gets_it() -> None:
    """Path and cookie alone open nothing private: a program at another port may know both."""
    behind = Behind()
    guard = guarded(behind)
    let_in = {"cookie": cookie(guard), "origin": ORIGIN, "sec_fetch_site": "same-origin"}
    key = {KEY_HEADER: guard.entrance.window_key}
    assert ask(guard, "/month/first-sight", method="POST", **let_in).status == 403
    assert ask(guard, "/month/first-sight", method="GET", **let_in, **key).status == 404
    assert (
        ask(guard, "/month/first-sight", method="POST", **let_in | {"origin": "http://evil.example"}, **key).status
        == 403
    )
    assert behind.reached == []
    answer = ask(guard, "/month/first-sight", method="POST", **let_in, **key)
    assert (answer.status, answer.headers["cache-control"]) == (200, "no-store")
    assert behind.reached == [("http", "/month/first-sight")]


def test_controls_are_native_and_their_words_escaped() -> None:
    label = '"&#92;u003cspan class=&#92;"paragraph&#92;"&#92;u003eOn &amp;amp; off&#92;u003c/span&#92;u003e"'
    options = "[&quot;&lt;a&gt;&quot;,&quot;b&quot;]"
    values = f"data-initial-value='[&quot;b&quot;]' data-label='{label}' data-options='{options}'"
    text = (
        "<p>kept</p><marimo-ui-element object-id='a' random-id='b'>"
        f"<marimo-dropdown {values}></marimo-dropdown></marimo-ui-element>"
    )
    html = SightCells(sight_context.Sight({})).cell(text)
    assert "<p>kept</p>" in html
    assert '<option value="&#60;a&#62;">&#60;a&#62;</option><option value="b" selected>b</option>' in html
    assert '<label for="early&#45;1">On &#38; off</label>' in html


def test_the_script_of_the_frame_has_what_the_page_has_not() -> None:
    page = (
        '<title>Month · Duskbook</title><marimo-server-token data-token="1" hidden></marimo-server-token>'
        '<link rel="preload" href="./assets/a.woff2" as="font">'
        '<link rel="modulepreload" crossorigin href="./assets/b.js">'
        '<link rel="modulepreload" href="../browser/0/c.js"><link rel="stylesheet" crossorigin href="./assets/d.css">'
        '<script type="module" crossorigin src="./assets/e.js"></script><script data-marimo="true">one()</script>'
        "<style title='marimo-custom'>{style}</style><div id=\"root\"></div><script>two()</script>"
    )
    own = Path(sight_frame.__file__).with_name("style.css").read_text(encoding="utf-8")
    with speaking(GERMAN):
        script = sight_frame.frame_script(page.replace("{style}", own))
    assert script is not None
    assert script.startswith("one();\ntwo();\n")
    assert '"styles": ["./assets/d.css"], "modules": ["./assets/b.js"], "entry": "./assets/e.js"' in script
    assert '<marimo-server-token data-token=\\"1\\" hidden></marimo-server-token>' in script
    assert '"title": "Monat \\u00b7 Duskbook", "style": null' in script
    assert "a.woff2" not in script and "c.js" not in script
    other = sight_frame.frame_script(page.replace("{style}", "h1 { color: red; }"))
    assert other is not None and '"style": "h1 { color: red; }"' in other
