"""A driver of the settings page: its parts, rows and fields by what they are called."""

from __future__ import annotations

from collections.abc import Mapping

from playwright.sync_api import Locator, Page, expect


class SettingsPage:
    """The page by the names of its controls."""

    def __init__(self, page: Page) -> None:
        self.page = page
        expect(page.get_by_role("heading", name="Settings", exact=True)).to_be_visible()

    def part(self, title: str) -> Locator:
        """A part of the page, opened."""
        part = self.page.locator("details.folded").filter(has=self.page.get_by_role("heading", name=title, exact=True))
        if part.get_attribute("open") is None:
            part.locator("> summary").click()
        return part

    def row(self, part: Locator, name: str) -> Locator:
        """The row of a list with a name, opened."""
        row = part.locator("details.row").filter(has=self.page.locator("> summary .name", has_text=name)).last
        if row.get_attribute("open") is None:
            row.locator("> summary").click()
        return row

    def add(self, title: str, values: Mapping[str, str | bool | list[str]]) -> Locator:
        """Add a row to a list, and fill in its fields as a person does."""
        part = self.part(title)
        part.locator(".setting-list > button").click()
        row = part.locator(".setting-list details.row").last
        for label, value in values.items():
            self.fill(row, label, value)
        return row

    def fill(self, within: Locator, label: str, value: str | bool | list[str]) -> None:
        """Fill in the field of a label: a text, an option, a tick, or buttons to press."""
        if isinstance(value, list):
            group = within.get_by_role("group", name=label, exact=True)
            for one in value:
                group.get_by_role("button", name=one, exact=True).click()
            return
        field = within.get_by_label(label, exact=True)
        if isinstance(value, bool):
            field.set_checked(value)
        elif field.evaluate("field => field.tagName") == "SELECT":
            field.select_option(label=value)
        else:
            field.fill(value)

    @property
    def said(self) -> Locator:
        return self.page.locator(".bar .said")

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()

    def save(self, said: str) -> None:
        """Save, and expect an answer that begins so."""
        self.press("Save the settings")
        expect(self.said).to_contain_text(said)

    def changed_lines(self) -> list[str]:
        """The lines that come or go, as the view of the change reads them out."""
        self.press("Show the change")
        lines = self.page.locator(".changed-lines :is(.added, .removed)")
        expect(lines.first).to_be_visible()
        return [" ".join((line or "").split()) for line in lines.all_text_contents()]
