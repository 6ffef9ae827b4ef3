"""The evening page beside others: a second tab, an editor, a reload, a server that ended."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Dialog, Page, expect

from tests.browser.conftest import SERVE, NewPage, Served
from tests.browser.evenings import TODAY, Evening, day

pytestmark = pytest.mark.xdist_group("evening")


@pytest.fixture
def served(evening_served: Served) -> Served:
    return evening_served


def opened(served: Served, new_page: NewPage) -> tuple[Page, Evening]:
    page = new_page(served)
    page.goto(served.opening("evening"))
    return page, Evening(page)


def test_two_tabs_that_touch_different_things_keep_both(served: Served, folder: Path, new_page: NewPage) -> None:
    (page, first), (other, second) = opened(served, new_page), opened(served, new_page)
    page.bring_to_front()
    first.choose("Mood", "4 good")
    second.field("One to remember (optional)").fill("Sewn.")
    first.save("Saved to 2025/2025-03-13.toml")
    other.bring_to_front()
    second.save("Saved to 2025/2025-03-13.toml")
    text = day(folder, TODAY)
    assert text.startswith('mood = 4\nmemory = "Sewn."\n')
    assert "# What Wednesday evening planned." in text
    expect(second.option("Mood", "4 good")).to_be_checked()


def test_a_stale_tab_cannot_overwrite_and_she_chooses(served: Served, folder: Path, new_page: NewPage) -> None:
    (other, first), (page, second) = opened(served, new_page), opened(served, new_page)
    second.choose("Mood", "2 low")
    second.field("One to remember (optional)").fill("Mine.")
    second.field("Good thing 1").fill("Only here.")
    second.press("+ Add a note")
    second.field("Note 1").fill("My note.")
    other.bring_to_front()
    first.press("+ Add a note")
    first.field("Note 1").fill("Their note.")
    first.choose("Mood", "5 bright")
    first.field("One to remember (optional)").fill("Theirs.")
    first.save("Saved to")
    page.bring_to_front()
    second.save("Not saved: the files were changed elsewhere. Choose what stays, then save.")
    assert day(folder, TODAY).startswith('mood = 5\nmemory = "Theirs."\n'), "nothing of a stale page is written"
    asked = page.get_by_role("region", name="Changed elsewhere meanwhile")
    expect(asked).to_be_focused()
    expect(asked.locator("li").first).to_contain_text("2 low")
    expect(asked.locator("li").first).to_contain_text("5 bright")
    second.save("Not saved: choose first what stays, in 3 places above.")
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


def test_an_edit_from_outside_is_offered_and_nothing_typed_is_lost(
    served: Served, folder: Path, new_page: NewPage
) -> None:
    page, evening = opened(served, new_page)
    path = folder / "2025" / f"{TODAY}.toml"
    path.write_text('memory = "From an editor."\n' + path.read_text())
    expect(evening.field("One to remember (optional)")).to_have_value("From an editor.", timeout=15_000)
    expect(evening.said).to_have_text("The files were changed elsewhere; this is how they are now.")
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


def test_a_reload_loses_nothing_and_warns(served: Served, folder: Path, new_page: NewPage) -> None:
    page, evening = opened(served, new_page)
    warned: list[str] = []

    def leave(dialog: Dialog) -> None:
        warned.append(dialog.type)
        dialog.accept()

    page.on("dialog", leave)
    page.reload()
    evening = Evening(page)
    assert warned == [], "there is nothing to lose yet"
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
    page.get_by_role("button", name="Start from the files instead").click()
    expect(evening.field("Good thing 1")).to_have_value("")
    page.reload()
    expect(Evening(page).field("Good thing 1")).to_have_value("")
    evening.field("Good thing 1").fill("Now it is.")
    evening.save("Saved")
    page.reload()
    assert warned == ["beforeunload"], "what is saved needs no warning"
    expect(page.get_by_text("What you had typed")).to_have_count(0)


def test_what_is_typed_is_shown_and_never_run(served: Served, folder: Path, new_page: NewPage) -> None:
    """Markup is text: in what was typed, in what the files say, in a task, in a name."""
    hostile = '<img src=x onerror="document.title=1"><script>document.title=2</script> **b** $x$ ::lucide:x::'
    path = folder / "2025" / f"{TODAY}.toml"
    path.write_text(f"memory = '''{hostile}'''\n" + path.read_text())
    settings = folder / "journal.toml"
    settings.write_text(settings.read_text().replace('name = "Swim"', f"name = '{hostile}'"))
    page, evening = opened(served, new_page)
    expect(evening.field("One to remember (optional)")).to_have_value(hostile)
    evening.field("A new task for tomorrow").fill(hostile)
    page.keyboard.press("Enter")
    evening.save("Saved to")
    assert evening.tomorrow() == [hostile]
    expect(page.get_by_role("radiogroup", name=hostile, exact=True)).to_be_visible()
    assert page.locator(".sheet img, .sheet script").count() == 0
    assert page.title() == "Evening · Duskbook"


def test_a_server_that_ended_is_said_and_nothing_is_lost(
    served: Served, folder: Path, browser: Browser, tmp_path: Path
) -> None:
    """Ended for real, and started again at the same port. A context of its own: a lost connection is on its console."""
    page = browser.new_context(viewport={"width": 1280, "height": 900}).new_page()
    process, address = started(folder, tmp_path, 0)
    page.goto(address.replace("/week?", "/evening?"))
    evening = Evening(page)
    evening.field("Good thing 1").fill("Still here.")
    end(process)
    page.get_by_role("button", name="Save ").click()
    expect(evening.said).to_contain_text("Not saved: the journal does not answer.")
    expect(evening.field("Good thing 1")).to_have_value("Still here.")
    port = int(address.partition("//127.0.0.1:")[2].partition("/")[0])
    process, address = started(folder, tmp_path, port)
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto(address.replace("/week?", "/evening?"))
    evening = Evening(page)
    expect(evening.field("Good thing 1")).to_have_value("Still here.")
    evening.save("Saved to")
    assert 'gratitude = ["Still here."]' in day(folder, TODAY)
    page.context.close()
    end(process)


def started(folder: Path, home: Path, port: int) -> tuple[subprocess.Popen[str], str]:
    process = subprocess.Popen(
        [sys.executable, "-c", SERVE.replace("port=0", f"port={port}"), str(folder), TODAY],
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"HOME": str(home), "PYTHONDONTWRITEBYTECODE": "1"},
    )
    assert process.stdout is not None
    return process, process.stdout.readline().strip()


def end(process: subprocess.Popen[str]) -> None:
    process.send_signal(signal.SIGINT)
    process.communicate(timeout=20)
