"""Pictures on the page of a day and on the evening: chosen, dropped, given captions, taken off, also by keyboard."""

from __future__ import annotations

import base64
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

import journal
from tests.browser.conftest import Served
from tests.browser.evenings import TODAY, Evening, day
from tests.pictures.drawn import bench, encoded, jpeg

pytestmark = pytest.mark.xdist_group("evening")

BENCH, PRESS = f"{TODAY}-bench.jpg", f"{TODAY}-press.png"

DROP = """([card, kind, files]) => {
    const carried = new DataTransfer();
    for (const [name, data] of files) {
        carried.items.add(new File([Uint8Array.from(atob(data), (sign) => sign.charCodeAt(0))], name));
    }
    card.dispatchEvent(new DragEvent(kind, { dataTransfer: carried, bubbles: true, cancelable: true }));
}"""


class DayPicturesCard:
    """Drives the card of pictures."""

    def __init__(self, page: Page, folder: Path) -> None:
        self.page, self.folder = page, folder
        self.card = page.get_by_role("region", name="Pictures", exact=True)
        expect(self.card).to_be_visible()

    def choose(self, *files: tuple[str, bytes]) -> None:
        with self.page.expect_file_chooser() as chooser:
            self.card.get_by_role("button", name="Choose pictures").press("Enter")
        payload = [{"name": name, "mimeType": "", "buffer": data} for name, data in files]
        chooser.value.set_files(payload)  # type: ignore[arg-type]

    def drag(self, kind: str, *files: tuple[str, bytes]) -> None:
        sent = [[name, base64.b64encode(data).decode()] for name, data in files]
        self.page.evaluate(DROP, [self.card.element_handle(), kind, sent])

    def says(self, text: str) -> None:
        expect(self.card.get_by_role("status")).to_contain_text(text)

    def caption(self, number: int) -> Locator:
        return self.card.get_by_role("textbox", name=f"What is to be seen on picture {number}")

    def on_disk(self) -> dict[str, Any]:
        return tomllib.loads(day(self.folder, TODAY))


def test_the_pictures_of_a_day(evening_served: Served, tab: Page) -> None:
    tab.set_viewport_size({"width": 390, "height": 900})
    tab.goto(evening_served.opening("day"))
    shown = DayPicturesCard(tab, evening_served.folder)
    expect(shown.card).to_contain_text("without where and when it was taken")

    shown.choose(("IMG_20250311 bench.jpg", jpeg(1, 3000, 2000)))
    shown.says(f"Saved to 2025/{TODAY}.toml")
    expect(shown.caption(1)).to_be_focused()  # its caption is asked for
    expect(shown.card).to_contain_text("Without these words it is not read aloud")
    picture = shown.card.get_by_role("img")
    expect(picture).to_have_attribute("alt", "Picture 1 of Thursday 13 March, without a caption")
    assert picture.evaluate("image => image.decode().then(() => image.naturalWidth)") == 800
    tab.keyboard.type("The new hooks.")
    tab.keyboard.press("Enter")
    expect(picture).to_have_attribute("alt", "The new hooks.")
    assert shown.on_disk()["captions"] == {BENCH: "The new hooks."}

    shown.drag("dragover", ("press.png", b""))
    expect(shown.card.locator(".drop.over")).to_be_visible()
    shown.drag(
        "drop", ("press.png", encoded(bench(2, 60, 80), "PNG")), ("notes.txt", b"x"), ("broken.jpg", b"\xff\xd8")
    )
    shown.says("Not all of them were added.")
    complaints = shown.card.locator(".unplaced li")
    expect(complaints.nth(0)).to_have_text("notes.txt is no picture in JPEG, PNG, WebP or HEIC. Save it as JPEG.")
    expect(complaints.nth(1)).to_contain_text("broken.jpg: expected a picture")
    assert shown.on_disk()["pictures"] == [BENCH, PRESS]
    assert tab.evaluate("document.documentElement.scrollWidth") <= 390

    (evening_served.folder / "2025" / PRESS).unlink()  # by another program
    shown.card.get_by_role("button", name="Take picture 1 off the page: The new hooks.").press("Enter")
    expect(shown.card.locator(".not-shown")).to_contain_text(f"{PRESS} cannot be shown: expected a file")
    assert shown.on_disk()["pictures"] == [PRESS] and "captions" not in shown.on_disk()
    shown.card.get_by_role("button", name=re.compile("^Take back")).press("Enter")
    expect(shown.card.get_by_role("img")).to_have_attribute("alt", "The new hooks.")
    assert shown.on_disk()["pictures"] == [BENCH, PRESS]


def test_a_picture_on_the_evening_leaves_what_is_typed(evening_served: Served, tab: Page) -> None:
    tab.goto(evening_served.opening("evening"))
    evening = Evening(tab)
    evening.field("One to remember (optional)").fill("Hooks.")
    shown = DayPicturesCard(tab, evening_served.folder)
    shown.choose(("lathe.jpg", jpeg(3, 300, 200)))
    shown.says("Saved to")
    shown.caption(1).fill("The lathe.")
    shown.caption(1).blur()
    expect(shown.card.get_by_role("img")).to_have_attribute("alt", "The lathe.")
    tab.wait_for_timeout(1_500)  # the page sees the edit of the file in about a second
    expect(evening.field("One to remember (optional)")).to_have_value("Hooks.")
    expect(tab.locator(".notice")).to_have_count(0)
    evening.choose("Mood", "4 good")
    evening.save("Saved to")
    page = shown.on_disk()
    assert (page["memory"], page["pictures"], page["mood"]) == ("Hooks.", [f"{TODAY}-lathe.jpg"], 4)
    tab.goto(f"{evening_served.origin}/favicon.ico")  # the next test gets a page without a way back


def test_a_caption_has_its_room_before_the_picture_is_there(tab: Page) -> None:
    """A picture is fetched when it comes into sight. Until then it has no width."""
    tab.goto("about:blank")
    style = Path(journal.__path__[0], "pages", "style.css").read_text(encoding="utf-8")
    figure = "<li><figure><img alt=''><figcaption>Hooks over the bench, in two rows.</figcaption></figure></li>"
    for width, kind in ((1280, "album"), (390, "album"), (390, "album small")):
        tab.set_viewport_size({"width": width, "height": 700})
        tab.set_content(f"<style>{style}</style><ul class='{kind}'>{figure * 2}</ul>")
        widths = tab.locator("figcaption").evaluate_all("all => all.map((one) => one.getBoundingClientRect().width)")
        assert min(widths) >= 120, (width, kind)
