"""The evening page with concurrent changes: a second tab, an editor, a reload, a server that ends."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import Dialog, Page, expect

from tests.browser import axe
from tests.browser.conftest import NewPage, Opened, Served
from tests.browser.evenings import TODAY, Evening, day

pytestmark = pytest.mark.xdist_group("evening")


def test_two_tabs_keep_both_and_a_stale_one_cannot_overwrite(
    evening: Evening, evening_served: Served, folder: Path, new_page: NewPage
) -> None:
    other = new_page(evening_served)
    other.goto(evening_served.opening("evening"))
    _different_things(evening, Evening(other), folder)
    _the_same_things(evening, Evening(other), folder)


def _different_things(first: Evening, second: Evening, folder: Path) -> None:
    """Changes of different fields in two tabs are both kept."""
    first.page.bring_to_front()
    first.choose("Mood", "4 good")
    second.field("One to remember (optional)").fill("Sewn.")
    first.save("Saved to 2025/2025-03-13.toml")
    second.page.bring_to_front()
    second.save("Saved to 2025/2025-03-13.toml")
    text = day(folder, TODAY)
    assert text.startswith('mood = 4\nmemory = "Sewn."\n')
    assert "# What Wednesday evening planned." in text
    expect(second.option("Mood", "4 good")).to_be_checked()


def _the_same_things(first: Evening, second: Evening, folder: Path) -> None:
    """Changes of the same field in two tabs are a conflict. Nothing is saved before it is settled."""
    second.choose("Mood", "2 low")
    second.field("One to remember (optional)").fill("Mine.")
    second.field("Good thing 1").fill("Only here.")
    second.press("+ Add a note")
    second.field("Note 1").fill("My note.")
    first.page.bring_to_front()
    expect(first.field("One to remember (optional)")).to_have_value("Sewn.")  # shows the other tab's save
    first.press("+ Add a note")
    first.field("Note 1").fill("Their note.")
    first.choose("Mood", "5 bright")
    first.field("One to remember (optional)").fill("Theirs.")
    first.save("Saved to")
    page = second.page
    page.bring_to_front()
    second.save("Not saved: the files were changed elsewhere. Choose what stays, then save.")
    assert day(folder, TODAY).startswith('mood = 5\nmemory = "Theirs."\n'), "nothing of a stale page is written"
    asked = page.get_by_role("region", name="Changed elsewhere meanwhile")
    expect(asked).to_be_focused()
    expect(asked.locator("li").first).to_contain_text("2 low")
    expect(asked.locator("li").first).to_contain_text("5 bright")
    second.save("Not saved: choose first what stays, in 3 places above.")
    assert axe.everywhere(page) == []
    asked.get_by_role("button", name="Mood: keep mine").click()
    asked.get_by_role("button", name="One to remember: take the file's").click()
    asked.get_by_role("button", name="Notes: keep both").click()
    expect(asked).to_have_count(0)
    expect(second.field("Note 2")).to_have_value("My note.")
    expect(second.option("Mood", "2 low")).to_be_checked()
    expect(second.field("One to remember (optional)")).to_have_value("Theirs.")
    expect(second.field("Good thing 1")).to_have_value("Only here.")
    second.save("Saved to")
    assert sorted(day(folder, TODAY).splitlines()[:4]) == [
        'gratitude = ["Only here."]', 'memory = "Theirs."', "mood = 2", 'notes = ["Their note.", "My note."]',
    ]  # fmt: skip


def test_an_external_edit_is_offered_and_no_input_is_lost(evening: Evening, folder: Path) -> None:
    page = evening.page
    path = folder / "2025" / f"{TODAY}.toml"
    path.write_text('memory = "From an editor."\n' + path.read_text())
    expect(evening.field("One to remember (optional)")).to_have_value("From an editor.", timeout=15_000)
    expect(evening.status).to_have_text("The files were changed elsewhere; this is how they are now.")
    evening.field("Good thing 1").fill("Typed here.")
    path.write_text("mood = 1\n" + path.read_text().replace("From an editor.", "Edited again."))
    page.get_by_role("button", name="Show what changed").click(timeout=15_000)
    expect(evening.option("Mood", "1 heavy")).to_be_checked()
    expect(evening.field("One to remember (optional)")).to_have_value("Edited again.")
    expect(evening.field("Good thing 1")).to_have_value("Typed here.")
    evening.save("Saved to")
    assert sorted(day(folder, TODAY).splitlines()[:3]) == [
        'gratitude = ["Typed here."]', 'memory = "Edited again."', "mood = 1",
    ]  # fmt: skip


def test_a_reload_asks_again_about_an_open_conflict(evening: Evening, folder: Path) -> None:
    """Otherwise the next save would overwrite the other text without a choice."""
    page = evening.page
    page.on("dialog", lambda dialog: dialog.accept())
    path = folder / "2025" / f"{TODAY}.toml"
    evening.field("One to remember (optional)").fill("Mine.")
    path.write_text('memory = "Theirs."\n' + path.read_text())
    page.get_by_role("button", name="Show what changed").click(timeout=15_000)
    question = page.get_by_role("region", name="Changed elsewhere meanwhile")
    expect(question).to_contain_text("Theirs.")
    page.reload()
    evening = Evening(page)
    expect(question).to_contain_text("Theirs.")
    expect(evening.field("One to remember (optional)")).to_have_value("Mine.")
    evening.save("Not saved: choose first what stays, in one place above.")
    assert day(folder, TODAY).startswith('memory = "Theirs."\n')
    question.get_by_role("button", name="One to remember: keep mine").click()
    evening.save("Saved to")
    assert 'memory = "Mine."' in day(folder, TODAY)


def test_a_reload_loses_nothing_and_warns(evening: Evening) -> None:
    page, warned = evening.page, list[str]()

    def leave(dialog: Dialog) -> None:
        warned.append(dialog.type)
        dialog.accept()

    page.on("dialog", leave)
    evening.field("Good thing 1").fill("Not saved yet.")
    evening.choose("Walk by the river", "rest")
    evening.field("A new task for tomorrow").fill("Sew the spine")
    page.keyboard.press("Enter")
    page.reload()
    assert warned == ["beforeunload"]
    evening = Evening(page)
    expect(page.get_by_text("What you had typed and not saved is here again.")).to_be_visible()
    expect(evening.field("Good thing 1")).to_have_value("Not saved yet.")
    expect(evening.option("Walk by the river", "rest")).to_be_checked()
    assert evening.tomorrow() == ["Sew the spine"]
    assert (stored := kept_by_the_browser(page)), "for the next reload"
    assert not re.search(r"saved|Walk|spine|2025|mood|TGVuYS|offer", stored), "encrypted, and so are the names"
    page.get_by_role("button", name="Start from the files instead").click()
    expect(evening.field("Good thing 1")).to_have_value("")
    page.reload()
    assert warned == ["beforeunload"], "there is nothing to lose"
    expect(Evening(page).field("Good thing 1")).to_have_value("")
    evening.field("Good thing 1").fill("Now it is.")
    evening.save("Saved")
    assert kept_by_the_browser(page) == "", "a draft that is saved is not kept"
    page.reload()
    assert warned == ["beforeunload"], "what is saved needs no warning"
    expect(Evening(page).field("Good thing 1")).to_have_value("Now it is.")
    expect(page.get_by_text("What you had typed")).to_have_count(0)
    page.remove_listener("dialog", leave)


def test_what_is_typed_since_a_save_is_there_after_a_reload(evening: Evening, folder: Path) -> None:
    """Between the answer "Saved" and the page as it is then, its draft was gone. It asks nothing: the save was hers."""
    page = evening.page
    page.on("dialog", lambda dialog: dialog.accept())
    evening.field("One to remember (optional)").fill("Rain")
    page.route("**/set_model_value", lambda _: None)
    page.keyboard.press("Control+s")
    expect(evening.status).to_have_text("Saving…")
    page.keyboard.type(", at last")
    page.locator(".card.today h2").hover()
    page.mouse.down()  # the page is not drawn anew while something is pressed
    page.unroute("**/set_model_value")  # which lets go what is held
    expect(evening.status).to_contain_text("Saved to")
    kept_by_the_browser(page)
    page.reload()
    page.mouse.up()
    evening = Evening(page)
    expect(evening.field("One to remember (optional)")).to_have_value("Rain, at last")
    expect(page.get_by_role("region", name="Changed elsewhere meanwhile")).to_have_count(0)
    evening.save("Saved to")
    assert 'memory = "Rain, at last"' in day(folder, TODAY)


def test_a_task_that_is_not_added_yet_stays_and_is_saved(evening: Evening, folder: Path) -> None:
    """Its title went when the page was drawn anew: after a reload, an edit elsewhere, and with every save."""
    page = evening.page
    page.on("dialog", lambda dialog: dialog.accept())
    task, did = evening.field("A new task for tomorrow"), evening.field("Something else that you did")
    task.fill("Sew the spine")
    evening.field("Minutes for the new task").fill("40")
    did.fill("Swept")
    page.reload()
    evening = Evening(page)
    for field, text in ((task, "Sew the spine"), (evening.field("Minutes for the new task"), "40"), (did, "Swept")):
        expect(field).to_have_value(text)
    assert evening.tomorrow() == []
    path = folder / "2025" / f"{TODAY}.toml"
    path.write_text('memory = "Rain."\n' + path.read_text())
    page.get_by_role("button", name="Show what changed").click(timeout=15_000)
    expect(evening.field("One to remember (optional)")).to_have_value("Rain.")
    expect(task).to_have_value("Sew the spine")
    expect(did).to_have_value("Swept")
    evening.save("Saved to")
    expect(task).to_have_value("")
    expect(did).to_have_value("")
    assert evening.tomorrow() == ["Sew the spine"]
    assert '[[tasks]]\ntitle = "Sew the spine"\nstatus = "open"\nestimate = 40\n' in day(folder, "2025-03-14")
    assert '[[tasks]]\ntitle = "Swept"\nstatus = "done"\n' in day(folder, TODAY)


def kept_by_the_browser(page: Page) -> str:
    """What the window's storage holds, as whoever has the port next could read it."""
    page.wait_for_timeout(50)  # it is stored a moment after it was typed
    ours = "Object.entries({...sessionStorage}).filter(([name]) => name.startsWith('duskbook '))"
    return str(page.evaluate(f"{ours}.join()"))


def test_input_is_shown_as_text_and_never_run(evening_served: Served, folder: Path, tab: Page) -> None:
    """Markup is shown as text: in input, in files, in a task, in a name."""
    hostile = '<img src=x onerror="document.title=1"><script>document.title=2</script> **b** $x$ ::lucide:x::'
    path = folder / "2025" / f"{TODAY}.toml"
    path.write_text(f"memory = '''{hostile}'''\n" + path.read_text())
    settings = folder / "journal.toml"
    settings.write_text(settings.read_text().replace('name = "Swim"', f"name = '{hostile}'"))
    tab.goto(evening_served.opening("evening"))
    evening = Evening(tab)
    expect(evening.field("One to remember (optional)")).to_have_value(hostile)
    evening.field("A new task for tomorrow").fill(hostile)
    tab.keyboard.press("Enter")
    evening.save("Saved to")
    assert evening.tomorrow() == [hostile]
    expect(tab.get_by_role("radiogroup", name=hostile, exact=True)).to_be_visible()
    assert tab.locator(".sheet img, .sheet script").count() == 0
    assert tab.title() == "Evening · Duskbook"


def test_a_server_that_ended_is_reported_and_nothing_is_lost(
    evening: Evening, evening_served: Served, folder: Path, evening_opened: Opened
) -> None:
    """The server ends and starts again at the same port. The console may report the lost connection."""
    page, reader = evening_opened
    evening.field("Good thing 1").fill("Still here.")
    with evening_served.ended():
        page.get_by_role("button", name=re.compile("^Save ")).click()
        expect(evening.status).to_contain_text("Not saved: the journal does not answer.")
        said = page.locator(".connection")
        expect(said).to_have_text(
            "The journal has ended. Run the command again, then reload this page; what you typed is kept."
        )
    expect(said).to_have_text("The journal was started again. Reload this page; what you typed is kept.")
    other = page.context.new_page()  # the window that the command opens
    evening_served.let_in(other)
    other.close()
    page.reload()
    evening = Evening(page)
    expect(evening.field("Good thing 1")).to_have_value("Still here.")
    evening.save("Saved to")
    assert 'gratitude = ["Still here."]' in day(folder, TODAY)
    assert [line for line in reader.watched.taken() if not any(text in line for text in LOST)] == []


# The only allowed console errors: of the lost connection, of the pictures that marimo would show then, and of the
# guard, which rejects pages of the previous start.
LOST = (
    "ERR_CONNECTION_REFUSED", "Failed to fetch", "WebSocket", "403 (Forbidden)", "the journal does not answer",
    'directive: "img-src data: blob:"',
)  # fmt: skip
