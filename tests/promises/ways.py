"""Every way in which Duskbook writes a journal, each as a page or command sends it, on copies of one small journal."""

from __future__ import annotations

import contextlib
import datetime as dt
import io
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

import journal
from journal import periods
from journal.commands import import_files
from journal.commands import log as logging
from journal.errors import JournalError
from journal.evening import month_fill, save_evening
from journal.folder.opened_files import OpenedFiles
from journal.planning import day_edits, day_offer
from journal.reviews import review_form, save_review
from journal.saving import earlier_states, merge_copy
from journal.saving.save_pages import SaveResult
from journal.setup import decision_form, save_decision, save_settings, save_trial, trial_form
from journal.setup.save_trial import TrialAction
from tests.evening import evenings
from tests.planning.days import journal_at
from tests.setup import forms

TODAY, TOMORROW = evenings.DAY, evenings.NEXT
NOW = evenings.NOW
OURS = "typed here"
"""Stands in every text that a way writes."""


class Told(NamedTuple):
    """What the person is told: whether it is saved, and everything else that the answer has, as text."""

    saved: bool
    text: str


class Way(NamedTuple):
    """A way of writing: the folder to start from, and the save, made in a copy of it.

    `again` makes what a killed save has left half made once more, where nothing finishes it by itself.
    """

    name: str
    template: Path
    save: Callable[[Path], Told]
    again: Callable[[Path], object] | None = None


def prepared(place: Path) -> list[Way]:
    """Return the ways. Their folders and forms are made once, below `place`; see `prepare`."""
    stored = place / "forms.json"
    if not stored.exists():
        prepare(place)
    sent = json.loads(stored.read_text(encoding="utf-8"))
    table = place / "days.csv"
    saves: dict[str, Callable[[Path], object]] = {
        "evening": lambda folder: save_evening.save(_opened(folder), sent["evening"], now=NOW),
        "day": lambda folder: day_edits.save(_opened(folder), sent["day"], now=NOW).answer,
        "move": lambda folder: day_edits.save(_opened(folder), sent["move"], now=NOW).answer,
        "review": lambda folder: save_review.save(_opened(folder), sent["review"], now=NOW),
        "settings": lambda folder: save_settings.save(_opened(folder), sent["settings"], now=NOW),
        "decision": lambda folder: save_decision.decide(_opened(folder), sent["decision"], now=NOW),
        "month": lambda folder: month_fill.save_month(_opened(folder), sent["month"], now=NOW),
        "log": lambda folder: logging.log(folder, logging.Given(notes=(f"{OURS} twice",)), TODAY, now=NOW),
        "import": lambda folder: import_files.spreadsheet(
            table, folder, columns=(), order=None, yes=True, dry_run=False
        ),
        "undo": lambda folder: day_edits.undo(_opened(folder), {"undo": sent["undo"]}, now=NOW).answer,
    }
    saves |= {
        "merge a copy": lambda folder: merge_copy.merge(OpenedFiles(folder), sent["merge a copy"], now=NOW),
        "put a copy away": lambda folder: merge_copy.put_away(OpenedFiles(folder), sent["merge a copy"], now=NOW),
        "bring back": lambda folder: earlier_states.bring_back(OpenedFiles(folder), sent["bring back"], now=NOW),
        "make a trial": lambda folder: _trial(folder, "make", sent, seed=4711),
        "stop a trial": lambda folder: _trial(folder, "stop", sent),
        "look at a trial": lambda folder: _trial(folder, "look", sent),
    }
    # A merged page whose copy is not yet removed: the page offers the copy again, and merging it changes nothing more.
    again = {"merge a copy": lambda folder: _merged(folder, sent["merge a copy"]["path"])}
    return [
        Way(name, place / _TEMPLATES.get(name, "start"), _telling(save), again.get(name))
        for name, save in saves.items()
    ]


_TEMPLATES = {
    "undo": "undone",
    "merge a copy": "copied",
    "put a copy away": "copied",
    "bring back": "earlier",
    "stop a trial": "drawn",
    "look at a trial": "drawn",
}
"""The folders that ways start from, other than the first."""


def _merged(folder: Path, path: str) -> SaveResult:
    seen = merge_copy.view(OpenedFiles(folder), {"path": path}, now=NOW).seen
    return merge_copy.merge(OpenedFiles(folder), {"path": path, "seen": seen}, now=NOW)


def _trial(folder: Path, what: TrialAction, sent: dict[str, Any], *, seed: int | None = None) -> SaveResult:
    return save_trial.save(_opened(folder), what, sent[f"trial {what}"], now=NOW, by="month", seed=seed)


def prepare(place: Path) -> None:
    """Make the folders, and the forms as the pages send them."""
    start = journal_at(place / "start")
    page = start / "2025" / "2025-03-14.toml"
    page.write_text('# Friday.\nmemory = "Of Friday."\n\n[[tasks]]\ntitle = "Press"  # the covers\n')
    book = _opened(start)
    day = _sent(day_offer.offer(book, TODAY, NOW))
    review = _sent(review_form.offer(book, periods.parse("2025-W11", week_starts="monday")))
    decision = _sent(decision_form.offer(book, periods.parse("2025-03", "month", week_starts="monday")))
    settings = forms.sent(start)
    post = next(task["ref"] for task in day["tasks"] if task["title"].startswith("Post"))
    of_day = {"base": day["base"], "day": day["day"]}
    answers = [{"ref": "What carried?", "prompt": "What carried?", "answer": f"{OURS}: the letters."}]
    sent: dict[str, Any] = {
        "evening": _evening(_sent(evenings.offered(start))),
        "day": of_day | {"edit": {"what": "line", "list": "notes", "text": f"{OURS} at noon."}},
        "move": of_day | {"edit": {"what": "move", "ref": post, "to": "2025-03-20"}},
        "review": {
            "base": review["base"], "period": "2025-W11", "prompts": [], "answers": answers, "notes": [f"{OURS} again"]
        },
        "settings": settings | {"singles": settings["singles"] | {"title": f"Thread {OURS}"}},
        "decision": {
            "base": decision["base"], "period": "2025-03", "habit": "walk", "what": "rest",
            "from": "2025-04-01", "until": "2025-04-10",
        },
        "month": {
            "base": _sent(month_fill.month(book, "2025-03"))["base"],
            "marks": {"walk": {"2025-03-10": True, "2025-03-12": False, str(TODAY): True}},
        },
    }  # fmt: skip
    shutil.copytree(start, place / "undone")
    sent["undo"] = day_edits.save(_opened(place / "undone"), sent["move"], now=NOW).undo
    sent |= {"merge a copy": _copied(start, place / "copied"), "bring back": _earlier(start, place / "earlier")}
    sent |= _trials(start, place / "drawn")
    rows = f"2025-03-12,{OURS} on Wednesday\n2025-03-13,{OURS} on Thursday\n2025-03-05,{OURS} too\n"
    (place / "days.csv").write_text(f"date,notes\n{rows}", encoding="utf-8")
    (place / "forms.json").write_text(json.dumps(sent, default=str), encoding="utf-8")


def _copied(start: Path, folder: Path) -> dict[str, Any]:
    """A folder with a copy of a page that a sync has left, and its merge as it is sent."""
    shutil.copytree(start, folder)
    page = folder / "2025" / "2025-03-14.toml"
    copy = page.with_name("2025-03-14.sync-conflict-20250314-101010-ABCDEFG.toml")
    copy.write_text(f'notes = ["{OURS}, on the other machine."]\n{page.read_text(encoding="utf-8")}', encoding="utf-8")
    path = copy.relative_to(folder).as_posix()
    return {"path": path, "seen": merge_copy.view(OpenedFiles(folder), {"path": path}, now=NOW).seen}


def _earlier(start: Path, folder: Path) -> dict[str, Any]:
    """A folder in which a page had a line that it has no more, and bringing that state back as it is sent."""
    shutil.copytree(start, folder)
    page = folder / "2025" / "2025-03-13.toml"
    for note in (f"{OURS} before.", "After it."):
        logging.log(folder, logging.Given(notes=(note,)), TODAY, now=NOW)
        text = page.read_text(encoding="utf-8")
        page.write_text(text.replace(f"{OURS} before.", "Another line."), encoding="utf-8")
    states = earlier_states.listed(OpenedFiles(folder), {"key": "2025-03-13"}).states
    for state in states:
        chosen = {"key": "2025-03-13", "ref": state.ref}
        view = earlier_states.view(OpenedFiles(folder), chosen)
        if any(OURS in words for words in view.changes):
            return chosen | {"seen": view.seen}
    raise AssertionError("no earlier state has the line")


def _trials(start: Path, folder: Path) -> dict[str, Any]:
    """A folder with a trial that runs, and a trial made, stopped and looked at as it is sent."""
    shutil.copytree(start, folder)
    plan = {"habit": "walk", "outcome": "mood", "lag": 1, "from": "2025-03-15", "question": f"{OURS}: does it help?"}
    make = plan | {"base": _sent(trial_form.offer(_opened(start)))["base"]}
    settings = folder / "journal.toml"
    drawn = '\n[[trials]]\nkey = "w"\nquestion = "?"\nhabit = "walk"\nfrom = 2025-03-10\ndays = 60\nseed = 12\n'
    settings.write_text(settings.read_text(encoding="utf-8") + drawn, encoding="utf-8")
    ref = {"base": _sent(trial_form.offer(_opened(folder)))["base"], "ref": "w"}
    return {"trial make": make, "trial stop": ref, "trial look": ref}


def later(folder: Path, note: str = "Later.") -> None:
    """A small save on another day, as the next command makes it."""
    with contextlib.redirect_stderr(io.StringIO()):
        logging.log(folder, logging.Given(notes=(note,)), dt.date(2025, 3, 1), now=NOW)


def _telling(save: Callable[[Path], object]) -> Callable[[Path], Told]:
    def told(folder: Path) -> Told:
        with contextlib.redirect_stdout(io.StringIO()) as printed, contextlib.redirect_stderr(io.StringIO()):
            try:
                result = save(folder)
            except (JournalError, OSError) as error:
                return Told(saved=False, text=f"{type(error).__name__}: {error}")
        text = f"{msgspec.json.encode(msgspec.to_builtins(result)).decode()} {printed.getvalue()}"
        return Told(result.saved if isinstance(result, SaveResult) else result not in (1, 2), text)

    return told


def _evening(offer: dict[str, Any]) -> dict[str, Any]:
    """An evening that writes the day, the next day and the undated tasks."""
    refs = {task["title"]: task["ref"] for task in offer["tasks"]}
    what = {"Cook wheat paste": "done", "Quote for the choir folders": "carry", "Post the order to Graz": "undated"}
    return evenings.entered(
        offer,
        mood=4,
        memory=f"{OURS}: sewn.",
        habits={"walk": True},
        tasks=[{"ref": ref, "title": title, "what": what.get(title, "carry")} for title, ref in refs.items()],
        tomorrow={"planned": {"workshop": ["09:00-10:00"]}},
    )


def _opened(folder: Path) -> journal.Journal:
    return journal.open(folder, today=TODAY, cache=False)


def _sent(offer: object) -> dict[str, Any]:
    plain = msgspec.json.decode(msgspec.json.encode(offer))
    assert isinstance(plain, dict)
    return plain
