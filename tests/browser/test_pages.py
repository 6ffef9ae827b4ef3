"""All pages: links between them, access without the token, and files left behind."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import EXAMPLE, STRANGER, NewPage, Served

pytestmark = pytest.mark.xdist_group("browser")

PAGE = "week"


def test_a_stranger_is_only_told_how_to_get_in(served: Served, page: Page, new_page: NewPage) -> None:
    stranger = new_page(served, reader=STRANGER)
    here = f"http://127.0.0.1:{served.port}"  # a client that is no browser does not know the other name
    inside = here + served.root.removeprefix(served.origin)
    paths = ("/week/", "/", "/month/assets/index.js")
    for address in [f"{root}{path}" for root in (here, inside) for path in paths]:
        answer = stranger.request.get(address, headers={"sec-fetch-site": "none"})
        assert answer.status == 403
        assert "Spine and thread" not in answer.text()
    expect(page.locator(".masthead")).to_contain_text("Spine and thread")
    (cookie,) = page.context.cookies(f"{served.root}/week/")
    shown = {"origin": here, "cookie": f"{cookie.get('name')}={cookie.get('value')}"}
    assert page.request.get(f"{inside}/week/", headers=shown).status == 200
    assert page.request.post(f"{inside}/week/api/kernel/run", headers=shown).status == 404


def test_links_between_the_pages_carry_the_day(served: Served, page: Page) -> None:
    page.get_by_label("Week", exact=True).select_option("Week 11, 10 to 16 March 2025")
    expect(page.locator("h1")).to_have_text("Week 11, 10 to 16 March 2025")
    for name, title in (("Month", "March 2025"), ("Year", "2025"), ("Week", "Week 11, 10 to 16 March 2025")):
        page.get_by_role("link", name=name).click()
        expect(page.locator("h1")).to_have_text(title)
        expect(page.locator("nav [aria-current=page]")).to_have_text(name)
        assets = page.evaluate("performance.getEntriesByType('resource').map(e => e.name)")
        shared = [url for url in assets if url.startswith(f"{served.root}/day/assets/")]
        assert len(shared) > 100
        assert [url for url in assets if "/assets/" in url and url not in shared] == []


def test_nothing_is_written_at_home_nor_beside_the_journal(served: Served, page: Page) -> None:
    expect(page.locator("#week-days")).to_be_visible()
    assert list(served.home.rglob("*")) == []
    theirs = {path.relative_to(EXAMPLE) for path in EXAMPLE.rglob("*") if ".cache" not in path.parts}
    ours = {path.relative_to(served.folder) for path in served.folder.rglob("*")}
    assert {path for path in ours - theirs if path.parts[0] not in (".cache", ".history")} == set()
    notebooks = EXAMPLE.parent / "notebooks"
    beside = {path.name for path in notebooks.iterdir() if path.suffix != ".py" and path.name != "__pycache__"}
    # A file in the place of the folder that an edited notebook would fill.
    assert beside == {"__marimo__"} and (notebooks / "__marimo__").is_file()
