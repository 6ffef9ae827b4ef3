"""Checks of the figures on an open page."""

from __future__ import annotations

from playwright.sync_api import Page, expect


def open_every_chapter(page: Page) -> None:
    """Open all chapters of a review and wait until they are drawn."""
    page.get_by_role("button", name="Open all").click()
    expect(page.locator(".chapter[open]")).to_have_count(page.locator(".chapter").count())
    expect(page.locator(".drawing-now")).to_have_count(0)


def unfold(page: Page) -> None:
    """Open all folds of the forms of a page, also those within others."""
    page.evaluate(
        """[...document.querySelectorAll('marimo-anywidget')].forEach(one =>
        one.shadowRoot?.querySelectorAll('.sheet details').forEach(fold => { fold.open = true; }))"""
    )


def every_figure_shows(page: Page, *keys: str) -> None:
    """Check each figure at both widths: it fits, has a text alternative and a table. The final width is 1280."""
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        for key in keys:
            drawing = page.locator(f"#{key} .drawing >> visible=true")
            expect(drawing).to_have_count(1)
            expect(drawing).to_have_class(f"drawing {'narrow' if width == 390 else 'wide'}")
            picture = drawing.locator("svg[role=img]")
            expect(picture).to_be_visible()
            assert len(picture.get_attribute("aria-label") or "") > 20
            box = picture.bounding_box()
            assert box is not None
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= width
            summary, table = page.locator(f"#{key} summary").first, page.locator(f"#{key} table").first
            expect(table).not_to_be_visible()
            summary.click()
            expect(table).to_be_visible()
            assert page.locator(f"#{key} tbody tr").count() > 0
            summary.click()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
