"""Successive evenings with random actions on tasks: each open task is in one place, none is lost or duplicated."""

from __future__ import annotations

import datetime as dt
import random
import tempfile
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.evening.evenings import DAY, NOW, entered, offered, opened, saved, written

EVENINGS = 5
WHATS = ("open", "done", "carry", "carry", "move", "undated", "drop")


def standing(folder: Path) -> Counter[str]:
    """How often each open task occurs: open on a page, or undated."""
    counts: Counter[str] = Counter()
    for path in [*folder.glob("20*/*.toml"), folder / "undated.toml"]:
        for task in tomllib.loads(path.read_text(encoding="utf-8")).get("tasks", []):
            counts[task["title"]] += task.get("status", "open") == "open"
    return +counts


def decided(offer: dict[str, Any], rng: random.Random, day: dt.date, wanted: set[str]) -> dict[str, Any]:
    """An evening with a random action for each task. Updates `wanted` to the tasks that are still open after it."""
    raw = entered(offer)
    following = raw["tomorrow"]["tasks"]
    on_next = {task["source_ref"] for task in following}
    for task, shown in zip(raw["tasks"], offer["tasks"], strict=True):
        if task["what"] not in ("open", "carry") or (task["what"] == "carry" and task["ref"] not in on_next):
            continue
        task["what"] = rng.choice(WHATS)
        task["to"] = str(day + dt.timedelta(rng.randint(2, 4)))
        if task["what"] in ("done", "drop"):
            wanted.discard(shown["title"])
        if task["what"] == "carry" and rng.random() < 0.6 and task["ref"] not in on_next:
            following.append(
                {"ref": None, "title": task["title"], "rank": None, "from": "carried", "source_ref": task["ref"]}
            )
    raw["tomorrow"]["tasks"] = [task for task in following if task["ref"] is None or rng.random() > 0.15]  # taken off
    for task in offer["tomorrow"]["undated"]:
        if rng.random() < 0.3:
            pulled = {"ref": None, "title": task["title"], "from": "undated", "source_ref": task["ref"]}
            raw["tomorrow"]["tasks"].append(pulled)
    for _ in range(rng.randint(0, 2)):
        title = f"New {rng.random():.9f}"
        raw["tomorrow"]["tasks"].append({"ref": None, "title": title, "from": "new"})
        wanted.add(title)
    return raw


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 10**6))
def test_no_task_is_lost_or_doubled(seed: int) -> None:
    rng = random.Random(seed)
    with tempfile.TemporaryDirectory() as name:
        first: list[dict[str, Any]] = [{"title": f"First {i}"} for i in range(4)]
        folder = written(Path(name), {DAY: {"tasks": first}}, '[[tasks]]\ntitle = "Some day"\n')
        wanted = {*(task["title"] for task in first), "Some day"}
        for number in range(EVENINGS):
            day = DAY + dt.timedelta(number)
            for again in range(rng.randint(1, 2)):  # a second thought on the same evening
                before = standing(folder)
                raw = decided(offered(folder, day), rng, day, wanted)
                for _ in range(2):  # and a second click
                    answer = saved(folder, raw, day=day, now=NOW + dt.timedelta(number))
                    assert answer.saved, answer
                    assert standing(folder) == Counter(wanted), (seed, number, again, before)
            assert not opened(folder, day).problems
