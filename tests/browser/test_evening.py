"""The evening page, from opening it to saving both files, driven through its controls."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Served
from tests.browser.evenings import SETTINGS, TODAY, WEDNESDAY, Evening, anew, day, lay

pytestmark = pytest.mark.xdist_group("evening")


def test_an_empty_journal(evening_served: Served, folder: Path, tab: Page) -> None:
    lay(folder, {})
    tab.goto(evening_served.opening("evening"))
    evening = Evening(tab)
    expect(tab.get_by_text("No tasks today.")).to_be_visible()
    evening.choose("Mood", "2 low")
    evening.save("Saved to 2025/2025-03-13.toml and 2025/2025-03-14.toml")
    assert day(folder, "2025-03-13") == "mood = 2\n"
    assert day(folder, "2025-03-14") == (
        '[hours.planned]\nsleep = ["00:00-06:15", "22:30-24:00"]\nworkshop = ["09:00-12:30", "13:30-17:00"]\n'
    )
    back = tab.get_by_role("button", name="Take back: Saved to 2025/2025-03-13.toml")
    evening.choose("Energy", "3 steady")  # typed since: it stays
    back.press("Enter")
    expect(evening.status).to_have_text("Taken back. 2025/2025-03-13.toml and 2025/2025-03-14.toml as before.")
    assert [day(folder, name) for name in ("2025-03-13", "2025-03-14")] == ["", ""]
    expect(tab.get_by_role("button", name="Save both days")).to_be_focused()
    expect(back).to_be_hidden()
    expect(evening.option("Mood", "2 low")).not_to_be_checked()
    expect(evening.option("Energy", "3 steady")).to_be_checked()
    evening.save("Saved to 2025/2025-03-13.toml and 2025/2025-03-14.toml")
    (folder / "2025" / "2025-03-13.toml").write_text("energy = 5\n")
    expect(evening.option("Energy", "5 full")).to_be_checked()  # the page follows the file
    back.click()
    asked = tab.get_by_role("region", name="Changed elsewhere meanwhile")
    expect(asked).to_be_focused()
    expect(asked.locator("li")).to_contain_text(["Energy"])
    assert [side.strip() for side in asked.locator(".said").all_inner_texts()] == ["nothing", "5"]
    asked.get_by_role("button", name="Energy: keep the file's").click()
    expect(evening.status).to_have_text("Taken back. What was changed there meanwhile is kept.")
    assert [day(folder, name) for name in ("2025-03-13", "2025-03-14")] == ["energy = 5\n", ""]


def test_a_whole_evening(evening: Evening, evening_served: Served, folder: Path) -> None:
    page = evening.page
    expect(page.locator("h1")).to_have_text("Close today, open tomorrow")
    evening.choose("Mood", "4 good")
    evening.choose("Energy", "3 steady")
    evening.choose("Walk by the river", "done")
    evening.field("Read, pages").fill("24")
    evening.choose("Swim", "rest")
    evening.choose("Challenge: Thirty letters", "done")
    evening.field("Good thing 1").fill("Bread from next door, still warm.")
    evening.field("Good thing 2").fill('The rain held off "until" the bus came.')
    _remember(page, evening, "First guest book sewn without a skipped station.")
    evening.press("+ Add a note")
    evening.field("Note 1").fill("Ask about the grey thread.")
    evening.choose("What becomes of Cook wheat paste", "done")
    evening.field("Minutes that Cook wheat paste took").fill("30")
    evening.choose("What becomes of Quote for the choir folders", "carry to tomorrow")
    evening.choose("What becomes of Photograph the spring papers", "back to no day")
    evening.choose("What becomes of Post the order to Graz", "another day")
    page.get_by_label("Day for Post the order to Graz").fill("2025-03-17")
    evening.write_times("The hours as they went").get_by_role(
        "textbox", name="Hours as they went, line 1", exact=True
    ).fill("Sleep 00:15-06:20")

    evening.field("Weather").fill("partly cloudy")
    evening.field("High, °C").fill("11")
    evening.field("Low, °C").fill("3,5")
    evening.press("+ Add an appointment")
    evening.field("Appointment 1, from").fill("8:30")
    evening.field("Appointment 1, to").fill("9")
    evening.field("Appointment 1, what").fill("Paper merchant, by phone")
    evening.field("A new task for tomorrow").fill("Finish the blue guest book")
    evening.field("Minutes for the new task").fill("120")
    evening.press("Add the task")
    evening.press("Take in Stock count")
    page.get_by_text("Take one of the 2 without a day").click()
    evening.press("Take in Sort the button tin")
    evening.choose("Rank of Finish the blue guest book", "1st")
    evening.choose("Rank of Quote for the choir folders", "2nd")
    assert evening.tomorrow() == [
        "1 Finish the blue guest book", "2 Quote for the choir folders", "Stock count", "Sort the button tin",
    ]  # fmt: skip
    evening.save("Saved to 2025/2025-03-13.toml, 2025/2025-03-14.toml, undated.toml and 2025/2025-03-17.toml at ")

    today, tomorrow = day(folder, "2025-03-13"), day(folder, "2025-03-14")
    photographed = re.findall(r'title = "Photograph.*?id = "(\w{4})"', today, re.DOTALL)[0]
    posted = re.findall(r'title = "Post.*?id = "(\w{4})"', today, re.DOTALL)[0]
    assert today == TODAY_SAVED.format(photographed=photographed, posted=posted)
    assert tomorrow == TOMORROW_SAVED
    assert (folder / "undated.toml").read_text(encoding="utf-8") == (
        '# Some day.\n\n[[tasks]]\ntitle = "Ask Bojan about a lid"\n\n'
        f'[[tasks]]\ntitle = "Photograph the spring papers"\nsince = 2025-03-13\nid = "{photographed}"\n'
    )
    assert f'title = "Post the order to Graz"\nstatus = "open"\nsince = 2025-03-13\nid = "{posted}"' in day(
        folder, "2025-03-17"
    )
    assert (folder / "journal.toml").read_text(encoding="utf-8") == SETTINGS

    evening.save("Nothing to save")  # after saving, the page shows the files
    _next_evening(evening_served, page)


def _remember(page: Page, evening: Evening, words: str) -> None:
    """Enter a memory that a friend may read. Without a memory the tick is disabled and cleared."""
    memory = evening.field("One to remember (optional)")
    friend = page.get_by_role("checkbox", name="A friend may read it, in a year exported for one")
    expect(friend).to_be_disabled()
    memory.fill("Not for others.")
    friend.check()
    memory.fill("")
    expect(friend).not_to_be_checked()
    memory.fill(words)
    friend.check()


def _next_evening(served: Served, page: Page) -> None:
    """Friday: Thursday's plan is there to close, and carried tasks show their first day."""
    served.turn("2025-03-14")
    page.goto(served.opening("evening"))
    evening = Evening(page)
    left = page.get_by_role("region", name="What today left")
    expect(left.locator("li.task .name > span:first-child")).to_have_text(
        ["Quote for the choir folders", "Finish the blue guest book", "Stock count", "Sort the button tin"]
    )
    expect(left.locator("li.task").first).to_contain_text("rank 2 · 45 min · since Tuesday, carried once")
    went = evening.write_times("The hours as they went")
    expect(went.get_by_role("textbox", name="Hours as they went, line 1", exact=True)).to_have_value(
        "Sleep 00:00-06:15"
    )
    # The routine is every other Friday, so not in the week between. The Saturday after has no routine.
    expect(page.get_by_text("Comes round tomorrow")).to_have_count(0)


TODAY_SAVED = r"""mood = 4
energy = 3
gratitude = ["Bread from next door, still warm.", "The rain held off \"until\" the bus came."]
memory = "First guest book sewn without a skipped station."
share = true
notes = ["Ask about the grey thread."]

[habits]
walk = true
read = 24
swim = "rest"

[challenges]
letters = true

# What Wednesday evening planned.
[hours.planned]
sleep = ["00:00-06:15", "22:30-24:00"]   # early
workshop = ["09:00-12:30", "13:30-17:00"]

[hours.actual]
sleep = ["00:15-06:20", "22:30-24:00"]
workshop = ["09:00-12:30", "13:30-17:00"]

[[tasks]]
title = "Cook wheat paste"      # the thick one
status = "done"
rank = 1
estimate = 25
took = 30

[[tasks]]
title = "Quote for the choir folders"
status = "carried"
rank = 2
estimate = 45
since = 2025-03-11
id = "t7k2"

[[tasks]]
title = "Photograph the spring papers"
status = "carried"
since = 2025-03-13
id = "{photographed}"

[[tasks]]
title = "Post the order to Graz"
status = "carried"
since = 2025-03-13
id = "{posted}"
"""

TOMORROW_SAVED = """\
[weather]
sky = "partly cloudy"
high = 11
low = 3.5

[hours.planned]
sleep = ["00:00-06:15", "22:30-24:00"]
workshop = ["09:00-12:30", "13:30-17:00"]

[[appointments]]
title = "Paper merchant, by phone"
start = "08:30"
end = "09:00"

[[tasks]]
title = "Quote for the choir folders"
status = "open"
rank = 2
estimate = 45
since = 2025-03-11
id = "t7k2"

[[tasks]]
title = "Finish the blue guest book"
status = "open"
rank = 1
estimate = 120

[[tasks]]
title = "Stock count"
status = "open"
estimate = 60

[[tasks]]
title = "Sort the button tin"
status = "open"
estimate = 20
since = 2025-03-02
id = "u2p5"
"""


def test_the_effect_of_each_mark_on_the_streak(evening: Evening, folder: Path) -> None:
    page = evening.page
    row = page.locator("li.habit", has_text="Walk by the river")
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        for word in ("done", "not", "rest"):
            expect(row.get_by_text(word, exact=True)).to_be_visible()
        expect(row.locator(".shape:visible")).to_have_count(0)  # it does not look set
    said = row.locator(".aside")
    texts = {"done": "2nd in a row", "not done": "streak ends at 1", "rest": "rest day, streak of 1 kept"}
    for mark, text in texts.items():
        evening.choose("Walk by the river", mark)
        expect(said).to_have_text(text)
        expect(evening.option("Walk by the river", mark)).to_be_checked()
        expect(row.locator(".shape:visible")).to_have_count(1)
    evening.choose("Walk by the river", "rest")  # a second click clears it
    expect(said).to_have_text("due, 1 in a row so far")
    expect(page.get_by_role("radiogroup", name="Walk by the river").get_by_role("radio", checked=True)).to_have_count(0)
    count = page.locator("li.habit", has_text="Read")
    for typed, text in (("20", "2nd in a row"), ("19", "in part, streak ends at 1"), ("", "due, 1 in a row so far")):
        evening.field("Read, pages").fill(typed)
        expect(count.locator(".aside")).to_have_text(text)
        expect(count.locator(".seen")).to_have_text("done" if typed == "20" else "part" if typed else "")
    evening.press("Read, rest")
    expect(count.locator(".aside")).to_have_text("rest day, streak of 1 kept")
    quota = page.locator("li.habit", has_text="Swim").locator(".aside")
    expect(quota).to_have_text("1 of 3 this week, 4 days left")
    evening.choose("Swim", "done")
    expect(quota).to_have_text("2 of 3 this week, 3 days left")
    expect(page.locator("li.habit", has_text="Thirty letters")).to_contain_text("To the river")


def test_errors_are_shown_beside_their_fields(evening: Evening, folder: Path) -> None:
    before = day(folder, TODAY)
    page = evening.page
    evening.field("Good thing 1").fill("Typed and kept.")
    evening.field("Read, pages").fill("many")
    evening.field("High, °C").fill("warm")
    evening.press("+ Add an appointment")
    evening.field("Appointment 1, from").fill("25:00")
    evening.field("Appointment 1, what").fill("Paper merchant")
    evening.choose("What becomes of Post the order to Graz", "another day")
    page.get_by_label("Day for Post the order to Graz").fill("2025-03-01")
    evening.save("Not saved: 4 places need mending. Everything you typed stays here.")
    for name, message in {
        "Read, pages": 'Expected a number, got "many"; write e.g. 3.',
        "High, °C": 'Expected a number, got "warm"; write e.g. 3.',
        "Appointment 1, from": "There is no 25:00; a day runs from 00:00 to 24:00.",
        "Day for Post the order to Graz": "Expected a day after 2025-03-13, got 2025-03-01; give a later one.",
    }.items():
        field = page.get_by_label(name, exact=True)
        expect(field).to_have_attribute("aria-invalid", "true")
        expect(field).to_have_accessible_description(message)
    expect(evening.field("Read, pages")).to_be_focused()
    expect(evening.field("Good thing 1")).to_have_value("Typed and kept.")
    assert day(folder, TODAY) == before
    assert day(folder, "2025-03-14") == ""
    evening.field("Read, pages").fill("-3")  # a number, but only the journal knows its bounds
    evening.field("High, °C").fill("12")
    evening.field("Appointment 1, from").fill("14:00")
    evening.choose("What becomes of Post the order to Graz", "drop")
    evening.save("Not saved: one place needs mending. Everything you typed stays here.")
    expect(evening.field("Read, pages")).to_have_accessible_description(re.compile("^Expected .*, got -3; "))
    evening.field("Read, pages").fill("12")
    evening.save("Saved to")
    expect(page.locator(".wrong:visible")).to_have_count(0)
    assert 'gratitude = ["Typed and kept."]' in day(folder, TODAY)


def test_invalid_hours(evening: Evening, folder: Path) -> None:
    card = evening.write_times("The hours of tomorrow")
    line = card.get_by_role("textbox", name="Hours of tomorrow, line 3", exact=True)  # the second block in the workshop
    for typed, message in {
        "Workshop 13:30-25:00": "There is no 25:00; a day runs from 00:00 to 24:00",
        "Workshop 17:00-13:30": "It ends before it starts; across midnight it is two lines",
        "Wrkshop 13:30-17:00": 'There is no category "wrkshop"; write one of Sleep, Workshop, Outside',
        "Workshop 12:00-17:00": "Overlaps Workshop 09:00-12:30; let one end where the other starts",
        "Workshop": 'Expected a start and an end, got ""; write e.g. 22:30-24:00',
    }.items():
        line.fill(typed)
        expect(line).to_have_accessible_description(message)
    evening.save("Not saved: one place needs mending. Everything you typed stays here.")
    expect(line).to_be_focused()
    expect(line).to_have_value("Workshop")
    line.fill("Workshop 22:00-1:15")
    card.get_by_role("button", name="Make it two lines").click()
    expect(line).to_have_value("Workshop 00:00-01:15")
    expect(card.get_by_role("textbox", name="Hours of tomorrow, line 4", exact=True)).to_have_value(
        "Workshop 22:00-24:00"
    )
    expect(card.locator(".overlap")).to_have_count(2)
    evening.save("Not saved")
    expect(card.locator(".wrong:visible").first).to_be_visible()
    assert day(folder, "2025-03-14") == ""


def test_seven_hours_from_half_past_ten_to_half_past_five(evening: Evening) -> None:
    """Common practice, no source: bed at 10:30 pm and up at 5:30 am is 7 hours of sleep."""
    card = evening.write_times("The hours of tomorrow")
    expect(card).to_contain_text("Tonight from 22:30 to 06:15: 7 h 45 min of sleep.")
    card.get_by_role("textbox", name="Hours of tomorrow, line 1", exact=True).fill("sleep 0 - 5:30 am")
    expect(card).to_contain_text("Tonight from 22:30 to 05:30: 7 h of sleep.")


def test_ranks_by_button_and_key_and_order(evening: Evening, folder: Path) -> None:
    page = evening.page
    for title in ("One", "Two", "Three", "Four"):
        evening.field("A new task for tomorrow").fill(title)
        page.keyboard.press("Enter")
    for title, rank in (("Two", "1st"), ("Three", "2nd"), ("Four", "3rd")):
        evening.choose(f"Rank of {title}", rank)  # one press each
    assert evening.tomorrow() == ["1 Two", "2 Three", "3 Four", "One"]
    evening.choose("Rank of Four", "2nd")  # changes places with the task that has it
    assert evening.tomorrow() == ["1 Two", "2 Four", "3 Three", "One"]
    evening.choose("Rank of Four", "2nd")  # once more takes it away
    assert evening.tomorrow() == ["1 Two", "3 Three", "Four", "One"]
    page.keyboard.press("2")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("2")
    page.keyboard.press("ArrowDown")
    expect(evening.option("Rank of Four", "3rd")).to_be_focused()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("1")  # takes rank 1, whose task loses it
    assert evening.tomorrow() == ["1 One", "2 Three", "3 Four", "Two"]
    expect(evening.option("Rank of One", "1st")).to_be_focused()
    evening.press("Three, earlier")
    assert evening.tomorrow() == ["1 Three", "2 One", "3 Four", "Two"]
    evening.choose("Rank of Four", "3rd")
    evening.press("Two, not tomorrow")
    assert evening.tomorrow() == ["1 Three", "2 One", "Four"]
    expect(page.locator(".taken-off")).to_contain_text("goes to the tasks without a day")
    evening.press("Put it back: Two")
    assert evening.tomorrow() == ["1 Three", "2 One", "Four", "Two"]
    for title in ("Two", "Three"):
        evening.press(f"{title}, not tomorrow")
    expect(page.get_by_role("button", name="Put it back: Three")).to_be_focused()
    evening.press("Delete it: Three")
    evening.save("Saved")
    ranked = re.findall(r'title = "(\w+)"\nstatus = "open"\n(rank = \d)?', day(folder, "2025-03-14"))
    assert ranked == [("One", "rank = 2"), ("Four", "")]
    undated = (folder / "undated.toml").read_text(encoding="utf-8")
    assert undated.count('"Two"') == 1 and "Three" not in undated
    expect(page.locator(".taken-off")).to_be_hidden()
    assert "appointments" not in day(folder, "2025-03-14")


def test_a_carried_task_can_be_marked_done_after_all(evening: Evening, folder: Path) -> None:
    """Common practice, no source."""
    page = evening.page
    quote = "Quote for the choir folders"
    evening.choose(f"What becomes of {quote}", "carry to tomorrow")
    assert evening.tomorrow() == [quote]
    evening.choose(f"What becomes of {quote}", "done")
    assert evening.tomorrow() == []
    evening.choose(f"What becomes of {quote}", "carry to tomorrow")
    evening.press(f"{quote}, not tomorrow")
    expect(
        page.get_by_role("radiogroup", name=f"What becomes of {quote}").get_by_role("radio", checked=True)
    ).to_have_count(0)
    evening.choose(f"What becomes of {quote}", "carry to tomorrow")
    evening.save("Saved")
    assert quote in day(folder, "2025-03-14")
    evening.choose(f"What becomes of {quote}", "done")  # later that evening
    evening.save("Saved")
    assert quote not in day(folder, "2025-03-14")
    assert f'title = "{quote}"\nstatus = "done"' in day(folder, TODAY)


def test_will_it_fit_is_updated(evening: Evening, folder: Path) -> None:
    page = evening.page
    fit = page.get_by_role("region", name="Will it fit?")
    evening.field("A new task for tomorrow").fill("Sew")
    evening.field("Minutes for the new task").fill("90")
    evening.press("Add the task")
    expect(fit).to_contain_text("1 h 30 min of tasks")
    evening.field("Minutes for Sew").fill("30")
    expect(fit).to_contain_text("30 min of tasks")
    expect(fit.get_by_role("img")).to_have_accessible_name(re.compile("^Planned 30 min, room for "))


def test_a_day_of_last_week_is_closed_late(evening_served: Served, folder: Path, tab: Page) -> None:
    (folder / "2025" / "2025-03-09.toml").write_text("mood = 1\n")
    evening = anew(tab, evening_served.opening("evening"))
    page = tab
    evening.field("Good thing 1").fill("Thursday's, not saved yet.")
    choice = page.get_by_label("Day to close", exact=True)
    expect(choice.locator("option")).to_contain_text(["Today, Thursday 13 March", "Wednesday 12 March"])
    choice.select_option("Monday 10 March, not closed")
    expect(page.locator("h1")).to_have_text("Close Monday 10 March")
    expect(page.locator(".opening")).to_contain_text(
        "Closed late. Saved to 2025/2025-03-10.toml. Tuesday 11 March is over, so no plan is asked for."
    )
    for name in ("What the day left", "Carried to today"):
        expect(page.get_by_role("region", name=name, exact=True)).to_be_visible()
    for name in ("Will it fit?", "Tasks for today", "The hours of today"):
        expect(page.get_by_role("region", name=name, exact=True)).to_have_count(0)
    expect(page.get_by_role("button", name="Save the day", exact=True)).to_be_visible()
    evening.choose("Mood", "5 bright")
    evening.choose("Walk by the river", "done")
    evening.save("Saved to 2025/2025-03-10.toml at")
    assert day(folder, "2025-03-10") == "mood = 5\n\n[habits]\nwalk = true\n"
    assert day(folder, "2025-03-11") == "", "a day that is over is not planned by closing the one before"
    choice.select_option("Another day…")
    page.get_by_label("Another day to close").fill("2025-03-01")
    expect(page.locator("h1")).to_have_text("Close Saturday 1 March")
    choice.select_option("2025-03-12")
    expect(page.locator("h1")).to_have_text("Close Wednesday 12 March")
    expect(page.get_by_label("Thirty letters, done on")).to_be_hidden()
    evening.choose("Challenge: Thirty letters", "done later")
    expect(page.get_by_label("Thirty letters, done on")).to_have_value("2025-03-13")
    evening.save("Saved to 2025/2025-03-12.toml at")
    assert day(folder, "2025-03-12") == WEDNESDAY.replace("letters = true", "letters = 2025-03-13")
    choice.select_option("Today")
    expect(page.locator("h1")).to_have_text("Close today, open tomorrow")
    expect(Evening(page).field("Good thing 1")).to_have_value("Thursday's, not saved yet.")


def test_a_month_from_paper_is_saved_at_once(evening_served: Served, folder: Path, tab: Page) -> None:
    (folder / "2025" / "2025-03-02.toml").write_text('memory = "Kept."  # and this\n')
    evening = anew(tab, evening_served.opening("evening"))
    page = tab
    evening.press("Fill in a month")
    expect(page.locator("h1")).to_have_text("Fill in March 2025")
    grid = page.get_by_role("grid", name="Marks of March 2025")
    expect(grid.get_by_role("columnheader")).to_have_count(1 + 13)

    def cell(name: str) -> None:
        expect(page.get_by_role("gridcell", name=name, exact=True)).to_be_focused()

    page.get_by_role("gridcell", name="Challenge: Thirty letters, 13 March: nothing yet", exact=True).click()
    cell("Challenge: Thirty letters, 13 March: done")
    page.get_by_role("gridcell", name="Mood, 12 March: 3", exact=True).click()
    page.get_by_label("Mood, 12 March", exact=True).fill("4")
    page.keyboard.press("Escape")
    page.get_by_role("gridcell", name="Walk by the river, 1 March: nothing yet", exact=True).click()
    cell("Walk by the river, 1 March: done")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Space")
    page.keyboard.press("Space")
    cell("Walk by the river, 2 March: not done")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("r")
    cell("Walk by the river, 3 March: rest")
    page.keyboard.press("ArrowDown")
    page.keyboard.type("125")
    page.keyboard.press("Backspace")
    cell("Read, 3 March: 12 pages")
    page.keyboard.press("Home")
    page.keyboard.press("d")
    cell("Read, 1 March: 20 pages")
    page.keyboard.press("End")
    cell("Read, 13 March: nothing yet")
    _count_by_field(page, cell)
    expect(grid.get_by_role("columnheader", name="Saturday 1 March", exact=True)).to_have_text("Sa1")
    expect(page.get_by_role("gridcell", name="Call home, 9 March: nothing yet", exact=True)).to_be_visible()
    expect(page.get_by_role("gridcell", name="Call home, 10 March: not due", exact=True)).to_be_visible()
    expect(evening.status).to_have_text("9 marks are not saved yet.")
    evening.save("Saved 7 days, from 1 March to 13 March.")
    assert day(folder, "2025-03-01") == "asked = false\n\n[habits]\nwalk = true\nread = 20\n"
    assert day(folder, "2025-03-02") == 'memory = "Kept."  # and this\nasked = false\n\n[habits]\nwalk = false\n'
    assert day(folder, "2025-03-03") == 'asked = false\n\n[habits]\nwalk = "rest"\nread = 12\n'
    assert day(folder, "2025-03-04") == "asked = false\n\n[habits]\nread = 7.5\n"
    assert day(folder, "2025-03-05") == 'asked = false\n\n[habits]\nread = "rest"\n'
    page.get_by_label("Month to fill in").fill("2025-02")
    expect(page.locator("h1")).to_have_text("Fill in February 2025")
    evening.press("Back to the evening")
    expect(page.locator("h1")).to_have_text("Close today, open tomorrow")


def _count_by_field(page: Page, cell: Callable[[str], None]) -> None:
    """A press on a counted habit opens a field, on a phone with number keys. Enter goes to the next day."""
    page.get_by_role("gridcell", name="Read, 4 March: nothing yet", exact=True).click()
    field = page.get_by_label("Read, 4 March", exact=True)
    expect(field).to_be_focused()
    assert field.get_attribute("inputmode") == "decimal"
    page.keyboard.type("many")
    expect(page.get_by_text('Expected a number, 0 or more, got "many"; write e.g. 20.')).to_be_visible()
    field.fill("7,5")
    page.keyboard.press("Enter")  # to the next day
    expect(page.get_by_label("Read, 5 March", exact=True)).to_be_focused()
    page.get_by_role("button", name="rest", exact=True).click()
    page.get_by_label("Read, 5 March", exact=True).press("Escape")
    cell("Read, 5 March: rest")
    expect(page.get_by_role("group", name="A count")).to_be_hidden()


def test_hours_as_planned_are_saved_when_ticked(evening: Evening, folder: Path) -> None:
    page = evening.page
    evening.choose("Mood", "3 even")
    evening.save("Saved")
    assert "[hours.actual]" not in day(folder, TODAY)
    page.get_by_label("They went as planned").check()
    evening.save("Saved")
    assert '[hours.actual]\nsleep = ["00:00-06:15", "22:30-24:00"]' in day(folder, TODAY)


def test_what_is_typed_while_a_save_ends_stays_with_its_caret(evening: Evening, folder: Path) -> None:
    memory, page = evening.field("One to remember (optional)"), evening.page
    memory.fill("Sewn.")
    before = memory.element_handle()
    page.keyboard.press("Control+s")
    expect(evening.status).to_contain_text("Saved to 2025/2025-03-13.toml")
    page.keyboard.press("Home")
    page.keyboard.type("First guest book ", delay=15)  # the files come back meanwhile
    page.wait_for_function("field => !field.isConnected", arg=before)
    expect(memory).to_be_focused()
    expect(memory).to_have_value("First guest book Sewn.")
    expect(evening.status).to_have_text("Not saved yet.")
    page.keyboard.press("Control+s")
    page.keyboard.type("s")
    page.keyboard.press("Control+s")  # before the first one has ended: it follows
    until = time.monotonic() + 10
    while 'memory = "First guest book sSewn."' not in day(folder, TODAY):
        assert time.monotonic() < until, day(folder, TODAY)
        page.wait_for_timeout(20)
