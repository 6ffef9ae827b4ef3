"""The manual from the pages: in a tab of its own, so that nothing typed is lost, and readable at both widths."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests import documents
from tests.browser import axe
from tests.browser.conftest import NewPage, Served
from tests.browser.evenings import Evening

pytestmark = pytest.mark.xdist_group("browser")


def opened_from(page: Page) -> Page:
    with page.context.expect_page() as tab:
        page.get_by_role("link", name="Manual", exact=True).click()
    return tab.value


def test_it_opens_from_the_evening_and_leaves_what_is_typed(evening: Evening) -> None:
    page = evening.page
    memory = evening.field("One to remember (optional)")
    memory.fill("Not saved yet.")
    tab = opened_from(page)
    expect(tab.locator("h1")).to_have_text("Manual")
    assert tab.evaluate("window.opener") is None
    tab.get_by_role("link", name="The folder").first.click()
    expect(tab.locator("h1")).to_have_text("The folder")
    expect(tab.locator("nav [aria-current=page]")).to_have_text("The folder")
    assert tab.evaluate("performance.getEntriesByType('resource').every(e => e.name.startsWith(location.origin))")
    tab.close()
    expect(memory).to_have_value("Not saved yet.")


@pytest.mark.parametrize("name", ["week", "month", "year"])
def test_it_opens_from_the_other_pages(served: Served, new_page: NewPage, name: str) -> None:
    page = new_page(served)
    page.goto(served.opening(name))
    tab = opened_from(page)
    expect(tab.locator("h1")).to_have_text("Manual")
    tab.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_its_pages_fit_their_window(served: Served, new_page: NewPage, width: int, scheme: str) -> None:
    page = new_page(served, width, scheme)
    for path in documents.MANUAL:
        page.goto(f"{served.root}/manual/{path.name}")
        expect(page.locator("h1")).to_be_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert axe.violations(page, *([] if scheme == "light" else ["color-contrast"])) == []
        if scheme == "light":
            page.emulate_media(color_scheme="dark", forced_colors="active")
            assert axe.violations(page, "color-contrast") == []
            page.emulate_media(color_scheme="light", forced_colors="none")
        assert paper == {"light": "rgb(251, 248, 242)", "dark": "rgb(26, 27, 42)"}[scheme]
