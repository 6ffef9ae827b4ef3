"""Any sequence of saves by two tabs: a save changes what was changed in its tab and nothing else, or asks."""

from __future__ import annotations

import tempfile
import tomllib
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.choosing import Chooser
from tests.reviews.written import begin, entered, offered, path, saved, text

PROMPTS = ("A?", "B?", "C?")
PAGE = '# Hers.\nunknown = 1\n\n[[reflection]]\nprompt = "Old?"  # asked once\nanswer = "Kept."\n'
SETTINGS = 'title = "Spine and thread"\n\n# Asked.\n[prompts]\nweek = ["A?", "B?"]  # on Sundays\n'


def on_disk(folder: Path) -> dict[str, Any]:
    """What the files say: answers by their prompt, notes, prompts."""
    page = tomllib.loads(text(folder))
    of_journal = tomllib.loads((folder / "journal.toml").read_text(encoding="utf-8"))
    answers = {row["prompt"]: row["answer"] for row in page.get("reflection", [])}
    return {"answers": answers, "notes": page.get("notes", []), "prompts": of_journal["prompts"]["week"]}


def typed(offer: dict[str, Any], choose: Chooser) -> dict[str, Any]:
    """What is sent of an offer in which anything may have been touched."""
    shown = [question["prompt"] for question in offer["questions"]]
    touched = {prompt: choose.one(("", "one", "two")) for prompt in shown if choose.flip()}
    changed: dict[str, Any] = {}
    if choose.flip(3):
        changed["prompts"] = choose.order(PROMPTS)[: choose.one(range(1, 4))]
    if choose.flip(3):
        changed["notes"] = [*offer["notes"], choose.one(("x", "y"))]
    return entered(offer, touched, **changed)


def differs(offer: dict[str, Any], raw: dict[str, Any]) -> tuple[dict[str, str], list[str] | None]:
    """What was touched: answers by their prompt, and the prompts where they were."""
    sent = zip(offer["questions"], raw["answers"], strict=True)
    answers = {was["prompt"]: row["answer"] for was, row in sent if row["answer"] != was["answer"]}
    asked = [question["prompt"] for question in offer["questions"] if question["asked"]]
    return answers, None if raw["prompts"] == asked else raw["prompts"]


@settings(max_examples=40)
@given(st.data())
def test_nothing_is_lost_that_was_not_overwritten_by_choice(data: st.DataObject) -> None:
    choose = Chooser(data.draw)
    with tempfile.TemporaryDirectory() as name:
        folder = begin(Path(name), PAGE, SETTINGS)
        tabs = [offered(folder), offered(folder)]
        for _ in range(5):
            at = choose.one((0, 1))
            _one_save(folder, tabs, at, choose)


def _one_save(folder: Path, tabs: list[dict[str, Any]], at: int, choose: Chooser) -> None:
    offer, before = tabs[at], on_disk(folder)
    raw = typed(offer, choose)
    answers, prompts = differs(offer, raw)
    begun = {question["prompt"]: question["answer"] for question in offer["questions"]}
    asked = [question["prompt"] for question in offer["questions"] if question["asked"]]
    files = text(folder), (folder / "journal.toml").read_text(encoding="utf-8")
    answer = saved(folder, raw)
    now = before["answers"]
    clashing = {p for p, given in answers.items() if now.get(p, "") not in (begun[p], given)}
    both_prompts = prompts is not None and before["prompts"] not in (asked, prompts)
    if clashing or both_prompts:
        assert not answer.saved
        assert len(answer.conflict) == len(clashing) + both_prompts
        assert files == (text(folder), (folder / "journal.toml").read_text(encoding="utf-8"))
        tabs[at] = offered(folder)  # she looked at what was changed elsewhere
        return
    assert answer.saved, answer
    after = on_disk(folder)
    assert after["answers"] == {p: given for p, given in (now | answers).items() if given}
    assert after["prompts"] == (prompts if prompts is not None else before["prompts"])
    assert set(after["notes"]) == {*before["notes"], *raw["notes"]}
    assert text(folder).startswith("# Hers.\nunknown = 1\n")
    assert "# asked once" in text(folder)
    written = (folder / "journal.toml").read_text(encoding="utf-8")
    assert written.startswith('title = "Spine and thread"\n\n# Asked.\n[prompts]\nweek = [')
    assert written.endswith("]  # on Sundays\n")
    tabs[at] = offered(folder)
    assert path(folder).exists()
