"""Somebody who writes while the notebook takes over from the first sight: `python -m tests.promises.takeovers`.

Each case opens the evening in Chromium. Its frame comes at any moment within three seconds, on a processor that may be
slow. About twenty things are done as by a person who does not wait: typing at any place of a line, composing, marking,
choosing, adding tasks, saving, reloading, and saving the page in an editor. After each of them the page shows what was
done, and in the end the files have it.
"""

from __future__ import annotations

import contextlib
import random
import re
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, CDPSession, Route, expect, sync_playwright

from tests.browser.conftest import SIGHT, Served
from tests.browser.evenings import TODAY, Evening, begin, day
from tests.chromium import ARGUMENTS, chromium
from tests.promises import campaign

NEXT = "2025-03-14"
LINES = ("Good thing 1", "Good thing 2", "One to remember (optional)")
LATEST = 3.0  # seconds until the frame comes, at the latest
THINGS = 20  # that are done in a case
SAVED = 10.0  # seconds until the files have everything, at the latest
MOODS = ("1 heavy", "2 low", "3 even", "4 good", "5 bright")
WALKS = {"done": True, "not done": False, "rest": "rest"}
OUTCOMES = {"done": "done", "carry to tomorrow": "carried", "drop": "dropped"}
TASKS = ("Cook wheat paste", "Photograph the spring papers", "Post the order to Graz")


class Case:
    """One evening: what was done so far, and the page on which it has to be."""

    def __init__(self, context: BrowserContext, served: Served, chance: random.Random) -> None:
        self.served, self.chance = served, chance
        self.done: list[str] = []
        self.lines = dict.fromkeys(LINES, "")
        self.chosen: dict[str, str] = {}
        self.pages_read = ""
        self.tasks: list[str] = []
        self.typed_elsewhere: list[str] = []
        self.held: list[Route] = []
        self.coming = 0.0
        self.page = context.new_page()
        self.chrome: CDPSession = context.new_cdp_session(self.page)
        self.chrome.send("Emulation.setCPUThrottlingRate", {"rate": chance.choice((1, 1, 2, 4))})
        self.page.route("**/assets/index-*.js", self._hold)

    def _hold(self, route: Route) -> None:
        if time.monotonic() < self.coming:
            self.held.append(route)
        else:
            route.continue_()

    def release(self) -> None:
        while self.held and time.monotonic() >= self.coming:
            self.held.pop().continue_()

    def open(self, go: Callable[[], object]) -> None:
        self.held.clear()
        self.coming = time.monotonic() + self.chance.uniform(0, LATEST)
        go()
        self.page.locator("main.sheet:not(.day)").first.wait_for(state="attached")
        self.evening = Evening(self.page)

    def type(self) -> None:
        """Letters at any place of a line, one after the other."""
        name = self.chance.choice(LINES)
        field = self.evening.field(name)
        field.click()
        text = self.lines[name]
        at = self.chance.randint(0, len(text))
        self.page.keyboard.press("Home")
        for _ in range(at):
            self.page.keyboard.press("ArrowRight")
        more = "".join(self.chance.choices("abcdefghij", k=self.chance.randint(1, 12)))
        for letter in more:
            self.release()
            self.page.keyboard.press(letter)
        self.lines[name] = text[:at] + more + text[at:]

    def compose(self) -> None:
        """A word that an input method composes, as for Japanese, at the end of a line."""
        name = self.chance.choice(LINES)
        self.evening.field(name).click()
        self.page.keyboard.press("End")
        for text in ("か", "かわ", "かわが"):
            self.release()
            self.chrome.send(
                "Input.imeSetComposition", {"text": text, "selectionStart": len(text), "selectionEnd": len(text)}
            )
            self.page.wait_for_timeout(self.chance.randint(0, 120))
        self.chrome.send("Input.insertText", {"text": "川が"})
        self.lines[name] += "川が"

    def choose(self) -> None:
        self._choose(*self.chance.choice([("Mood", MOODS), ("Walk by the river", tuple(WALKS))]))

    def decide(self) -> None:
        self._choose(f"What becomes of {self.chance.choice(TASKS)}", tuple(OUTCOMES))

    def _choose(self, group: str, options: tuple[str, ...]) -> None:
        option = self.chance.choice(options)
        if self.chosen.get(group) != option:  # chosen once more, a mark is taken back
            self.evening.choose(group, option)
        self.chosen[group] = option

    def count(self) -> None:
        self.pages_read = str(self.chance.randint(1, 90))
        self.evening.field("Read, pages").fill(self.pages_read)

    def add(self) -> None:
        title = f"Task {len(self.tasks) + 1} of the case"
        field = self.evening.field("A new task for tomorrow")
        field.click()
        self.page.keyboard.type(title)
        self.page.keyboard.press("Enter")
        self.tasks.append(title)

    def save(self) -> None:
        self.page.keyboard.press("Control+s")

    def reload(self) -> None:
        self.open(self.page.reload)
        first, second = LINES[:2]
        if not self.lines[first] and self.evening.field(first).input_value() == self.lines[second]:
            self.lines |= {first: self.lines[second], second: ""}  # saved: the files have no empty line

    def edit(self) -> None:
        """Somebody saves the page in an editor, with a line more."""
        line = f"# typed in an editor {len(self.typed_elsewhere)}"
        page = self.served.folder / "2025" / f"{TODAY}.toml"
        page.write_text(f"{line}\n{page.read_text(encoding='utf-8')}", encoding="utf-8")
        self.typed_elsewhere.append(line)

    def wait(self) -> None:
        self.page.wait_for_timeout(self.chance.randint(0, 500))

    def check(self) -> str:
        """What the page shows otherwise than it was done, or ""."""
        for name, text in self.lines.items():
            if (shown := self.evening.field(name).input_value()) != text:
                return f"{name}: {shown!r} in place of {text!r}"
        if (shown := self.evening.field("Read, pages").input_value()) != self.pages_read:
            return f"pages: {shown!r} in place of {self.pages_read!r}"
        for group, option in self.chosen.items():
            if not self.evening.option(group, option).is_checked():
                return f"{group}: not {option}"
        added = [title for title in self.evening.tomorrow() if "of the case" in title]
        return "" if sorted(added) == sorted(self.tasks) else f"tasks: {added} in place of {self.tasks}"

    def written(self) -> str:
        """What the files have otherwise than it was done, or ""."""
        text = day(self.served.folder, TODAY)
        today, tomorrow = tomllib.loads(text), tomllib.loads(day(self.served.folder, NEXT))
        titles = [task["title"] for task in tomorrow.get("tasks", ())]
        first, second, memory = self.lines.values()
        marks = today.get("habits", {})
        mood, walk = self.chosen.get("Mood"), self.chosen.get("Walk by the river")
        expected: list[tuple[str, object, object]] = [
            ("gratitude", today.get("gratitude", []), [line for line in (first, second) if line]),
            ("memory", today.get("memory", ""), memory),
            ("mood", today.get("mood"), mood and MOODS.index(mood) + 1),
            ("walk", marks.get("walk"), walk and WALKS[walk]),
            ("read", marks.get("read"), int(self.pages_read) if self.pages_read else None),
            ("added", sorted(title for title in titles if "of the case" in title), sorted(self.tasks)),
            ("edited", [line for line in self.typed_elsewhere if text.count(line) != 1], []),
        ]
        for task in today["tasks"]:
            chosen = self.chosen.get(f"What becomes of {task['title']}")
            expected.append((task["title"], task.get("status", "open"), OUTCOMES[chosen] if chosen else "open"))
            expected.append(
                (f"{task['title']} carried", titles.count(task["title"]), int(chosen == "carry to tomorrow"))
            )
        return "; ".join(
            f"{name}: {found!r} in place of {wanted!r}" for name, found, wanted in expected if found != wanted
        )

    def run(self) -> str:
        """What is wrong, or ""."""
        begin(self.served.folder)
        self.open(lambda: self.page.goto(self.served.opening("evening"), wait_until="commit"))
        things = [self.type] * 6 + [
            self.compose,
            self.choose,
            self.choose,
            self.decide,
            self.count,
            self.add,
            self.save,
        ]
        for thing in self.chance.choices([*things, self.reload, self.edit, self.wait, self.wait], k=THINGS):
            self.done.append(thing.__name__)
            self.release()
            thing()
            if wrong := self.check():
                return wrong
        self.coming = 0.0
        self.release()
        self.page.locator(SIGHT).wait_for(state="detached", timeout=60_000)
        if wrong := self.check():
            return f"after the takeover: {wrong}"
        self.page.get_by_role("button", name=re.compile("^Save ")).click()
        expect(self.evening.status).to_contain_text(re.compile(r"^(Saved|Nothing to save)"))
        until = time.monotonic() + SAVED  # a save may be under way still, and this one follows it
        while (wrong := self.check() or self.written()) and time.monotonic() < until:
            self.page.wait_for_timeout(100)
        return wrong


def one(context: BrowserContext, served: Served, chance: random.Random) -> str:
    """A line for a case that breaks the promise, or ""."""
    case = Case(context, served, chance)
    try:
        wrong = case.run()
        return f"{wrong} ({', '.join(case.done)})" if wrong else ""
    except Exception as error:
        return f"{type(error).__name__}: {str(error)[:300]} ({', '.join(case.done)})"
    finally:
        case.page.unroute_all(behavior="ignoreErrors")
        case.page.close()


@contextlib.contextmanager
def evening_in(browser: Browser) -> Iterator[tuple[BrowserContext, Served]]:
    """The small journal of the evening's tests, served, and a browser that is let in."""
    with tempfile.TemporaryDirectory() as name:
        folder, home = Path(name) / "journal", Path(name) / "home"
        for place in (folder, home):
            place.mkdir()
        begin(folder)
        served = Served(folder, TODAY, home)
        try:
            context = browser.new_context()
            context.set_default_timeout(20_000)
            page = context.new_page()
            served.let_in(page)
            yield context, served
        finally:
            served.end()


def run(count: int, seed: int, told: Callable[[str], None] = print) -> list[str]:
    """Write through so many takeovers. Return a line for each that breaks the promise."""
    failures = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium(), args=list(ARGUMENTS))
        with evening_in(browser) as (context, served):
            for number in range(count):
                if wrong := one(context, served, random.Random(f"{seed}:{number}")):
                    failures.append(f"case {seed}:{number}: {wrong}")
                    told(failures[-1])
        browser.close()
    return failures


if __name__ == "__main__":
    sys.exit(campaign.main("takeovers", "evenings", run, count=200, about=__doc__))
