"""The reviews of week, month and year, written on their pages: the files after it, a reload, a second tab, prompts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Dialog, Locator, Page, expect

from tests.browser.conftest import NewPage, Opened, Served
from tests.browser.evenings import SETTINGS, lay
from tests.browser.test_evening_together import LOST

pytestmark = pytest.mark.xdist_group("evening")

TODAY = "2025-03-16"  # the Sunday of week 11
WEEK = "2025/2025-W11.toml"
HOSTILE = '<img src=x onerror="document.title=1"> ::lucide:x:: $x$ **b**'


class Review:
    """The card by what its controls are called."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.card = page.get_by_role("region", name="Looking back", exact=True)
        expect(self.card).to_be_visible()

    def field(self, name: str) -> Locator:
        return self.card.get_by_role("textbox", name=name, exact=True)

    def press(self, name: str) -> None:
        self.card.get_by_role("button", name=name, exact=True).click()

    @property
    def said(self) -> Locator:
        return self.card.get_by_role("status")

    def save(self, said: str, kind: str = "week") -> None:
        """Save, and expect an answer that begins so."""
        self.press(f"Save the {kind}")
        expect(self.said).to_contain_text(said)

    def prompts(self) -> list[str]:
        """The prompts above the fields, in their order."""
        return self.card.locator(".questions label").all_inner_texts()


def leave(dialog: Dialog) -> None:
    """Leave a page that has something typed and not saved."""
    dialog.accept()


@pytest.fixture
def week(evening_served: Served, tab: Page) -> Iterator[Review]:
    """Week 11 of a journal in which nothing is written."""
    lay(evening_served.folder, {})
    evening_served.turn(TODAY)
    tab.goto(evening_served.opening("week", "week=2025-W11"))
    tab.evaluate("sessionStorage.clear()")
    tab.goto(evening_served.opening("week", "week=2025-W11"))
    tab.on("dialog", leave)
    yield Review(tab)
    tab.remove_listener("dialog", leave)


def text(folder: Path, name: str = WEEK) -> str:
    path = folder / name
    return path.read_text(encoding="utf-8") if path.exists() else ""


def test_from_an_empty_journal_with_the_keyboard_alone(week: Review, folder: Path) -> None:
    page = week.page
    page.set_viewport_size({"width": 390, "height": 900})
    assert week.prompts() == ["What carried this week?", "What may go?"]
    week.field("What carried this week?").focus()
    page.keyboard.type("The blue book.")
    page.keyboard.press("Enter")
    page.keyboard.type(HOSTILE)
    page.keyboard.press("Tab")
    expect(week.field("What may go?")).to_be_focused()
    page.keyboard.type("The stock count.")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # "+ Add a note"
    expect(week.field("Note 1")).to_be_focused()
    page.keyboard.type("Ask Bojan.")
    expect(week.said).to_have_text("Not saved yet.")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.keyboard.press("Control+s")
    expect(week.said).to_contain_text("Saved to 2025/2025-W11.toml at ")
    expect(week.field("Note 1")).to_be_focused()
    assert text(folder) == (
        'notes = ["Ask Bojan."]\n\n'
        "[[reflection]]\n"
        'prompt = "What carried this week?"\n'
        f"answer = '''\nThe blue book.\n{HOSTILE}'''\n\n"
        "[[reflection]]\n"
        'prompt = "What may go?"\n'
        'answer = "The stock count."\n'
    )
    assert text(folder, "journal.toml") == SETTINGS
    assert page.title() == "Week · Duskbook"
    page.emulate_media(media="print")
    expect(week.card.locator("dd").first).to_have_text(f"The blue book.\n{HOSTILE}")
    expect(week.card.locator("dd").first).to_be_visible()
    expect(week.card.locator("textarea").first).not_to_be_visible()
    page.emulate_media(media="screen")

    written = text(folder)
    week.field("What carried this week?").fill("")
    week.field("What may go?").fill(" ")
    week.field("Note 1").fill("")
    week.save("Saved to ")
    assert text(folder) == "\n", "an emptied review leaves nothing behind"
    page.get_by_role("button", name="Take back: Saved to").press("Enter")
    expect(week.said).to_have_text("Taken back. 2025/2025-W11.toml as before.")
    assert text(folder) == written
    expect(week.field("What may go?")).to_have_value("The stock count.")
    expect(page.get_by_role("button", name="Save the week")).to_be_focused()


def test_a_reload_and_another_week_lose_nothing(week: Review, evening_served: Served, folder: Path) -> None:
    page = week.page
    week.field("What may go?").fill("Half a sen")
    page.reload()
    week = Review(page)
    expect(week.card).to_contain_text("What you had typed and not saved is here again.")
    expect(week.field("What may go?")).to_have_value("Half a sen")
    week.press("Start from the files instead")
    expect(week.field("What may go?")).to_have_value("")
    week.field("What may go?").fill("The stock count.")
    page.get_by_role("button", name="Earlier week").click()
    expect(week.card).to_contain_text("Written to 2025/2025-W10.toml.")
    expect(week.card).to_contain_text("What you typed for 2025-W11 is not saved yet. Open it to go on.")
    expect(week.field("What may go?")).to_have_value("")
    page.get_by_role("button", name="Later week").click()
    expect(week.card).to_contain_text("Written to 2025/2025-W11.toml.")
    expect(week.field("What may go?")).to_have_value("The stock count.")
    week.save("Saved to 2025/2025-W11.toml")
    assert text(folder) == '[[reflection]]\nprompt = "What may go?"\nanswer = "The stock count."\n'
    page.reload()
    week = Review(page)
    expect(week.field("What may go?")).to_have_value("The stock count.")
    expect(week.card).not_to_contain_text("What you had typed")
    assert (folder / "2025" / "2025-W10.toml").exists() is False


def test_two_tabs_keep_both_and_ask_where_both_wrote(
    week: Review, evening_served: Served, folder: Path, new_page: NewPage
) -> None:
    other_page = new_page(evening_served)
    other_page.on("dialog", leave)
    other_page.goto(evening_served.opening("week", "week=2025-W11"))
    other = Review(other_page)
    other.field("What may go?").fill("Mine.")
    other.press("+ Add a note")
    other.field("Note 1").fill("A note of mine.")
    week.page.bring_to_front()
    week.field("What carried this week?").fill("The blue book.")
    week.field("What may go?").fill("Theirs.")
    week.save("Saved to ")
    before = text(folder)
    other_page.bring_to_front()
    expect(other.card).to_contain_text("The files were changed elsewhere meanwhile. What you typed stays.")
    other.save("Not saved: the files were changed elsewhere. Choose what stays, then save.")
    asked = other.card.get_by_role("region", name="Changed elsewhere meanwhile")
    expect(asked.locator("li")).to_have_count(1)
    expect(asked.locator("li")).to_contain_text("Mine.")
    expect(asked.locator("li")).to_contain_text("Theirs.")
    expect(other.field("What carried this week?")).to_have_value("The blue book.")
    other.save("Not saved: choose first what stays, in one place above.")
    other_page.reload()
    other = Review(other_page)
    expect(asked.locator("li")).to_have_count(1)  # it is still to be chosen after a reload
    other.save("Not saved: choose first what stays, in one place above.")
    assert text(folder) == before, "nothing is saved before it is chosen"
    asked.get_by_role("button", name="What may go?: keep both").click()
    expect(asked).to_have_count(0)
    expect(other.field("What may go?")).to_have_value("Theirs.\nMine.")
    other.save("Saved to ")
    assert text(folder) == 'notes = ["A note of mine."]\n\n' + before.replace('"Theirs."', "'''\nTheirs.\nMine.'''")
    week.page.bring_to_front()
    expect(week.field("What may go?")).to_have_value("Theirs.\nMine.")
    expect(week.said).to_have_text("The files were changed elsewhere; this is how they are now.")
    other_page.remove_listener("dialog", leave)


def test_prompts_are_added_reworded_moved_and_taken_out(week: Review, folder: Path) -> None:
    page = week.page
    week.field("What carried this week?").fill("The blue book.")
    week.save("Saved to ")
    week.field("What may go?").fill("The stock count.")
    week.card.get_by_text("Change the prompts").click()
    week.field("Prompt 2").fill("What must go?")
    expect(week.field("What must go?")).to_have_value("The stock count.")
    page.keyboard.press("Enter")
    expect(week.field("Prompt 3")).to_be_focused()
    page.keyboard.type(HOSTILE)
    week.press("Prompt 3: move up")
    expect(week.card.get_by_role("button", name="Prompt 2: move up")).to_be_focused()
    week.press("Prompt 1: take out")
    assert week.prompts() == [HOSTILE, "What must go?", "What carried this week?"]
    page.keyboard.press("Control+s")
    expect(week.said).to_contain_text("Saved to 2025/2025-W11.toml and journal.toml at ")
    assert text(folder, "journal.toml") == (
        SETTINGS + "\n[prompts]\n" + 'week = ["' + HOSTILE.replace('"', '\\"') + '", "What must go?"]\n'
    )
    answers = '[[reflection]]\nprompt = "{}"\nanswer = "{}"\n'.format
    assert text(folder) == "\n".join(
        [answers("What must go?", "The stock count."), answers("What carried this week?", "The blue book.")]
    )
    expect(week.card).to_contain_text("This prompt is no longer asked. Its answer stays until you empty it.")
    week.field("What carried this week?").fill("")
    week.save("Saved to 2025/2025-W11.toml")
    assert text(folder) == answers("What must go?", "The stock count.")
    assert week.prompts() == [HOSTILE, "What must go?"]


def test_month_and_year_have_theirs_and_a_broken_page_is_closed(
    week: Review, evening_served: Served, folder: Path
) -> None:
    page = week.page
    for name, path, prompt in (
        ("month", "2025/2025-03.toml", "What held this month?"),
        ("year", "2025/2025.toml", "What was this year like?"),
    ):
        page.goto(evening_served.opening(name, f"{name}={Path(path).stem}"))
        review = Review(page)
        review.field(prompt).fill("The letters.")
        review.save(f"Saved to {path}", name)
        assert text(folder, path) == f'[[reflection]]\nprompt = "{prompt}"\nanswer = "The letters."\n'
    file = folder / "2025" / "2025.toml"
    file.write_text("notes = [", encoding="utf-8")
    expect(review.card).to_contain_text("2025/2025.toml:1")
    expect(review.card.get_by_role("textbox")).to_have_count(0)
    expect(review.card.get_by_role("button", name="Save the year")).not_to_be_visible()
    file.write_text('notes = ["Mended."]\n', encoding="utf-8")
    expect(review.field("Note 1")).to_have_value("Mended.")


def test_a_server_that_ended_is_said_and_nothing_is_lost(
    week: Review, evening_served: Served, folder: Path, evening_opened: Opened
) -> None:
    page, reader = evening_opened
    week.field("What may go?").fill("Still here.")
    with evening_served.ended():
        week.save("Not saved: the journal does not answer.")
    evening_served.let_in(page)
    page.goto(evening_served.opening("week", "week=2025-W11"))
    week = Review(page)
    expect(week.field("What may go?")).to_have_value("Still here.")
    week.save("Saved to ")
    assert text(folder) == '[[reflection]]\nprompt = "What may go?"\nanswer = "Still here."\n'
    assert [line for line in reader.watched.taken() if not any(one in line for one in LOST)] == []
