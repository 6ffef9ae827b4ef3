"""The files of the journal: name -> bytes. Files that are entirely hand-written are copied from lines/."""

from __future__ import annotations

import tomllib
from pathlib import Path

from tests.invented_year import pictures
from tests.invented_year.hours import add_hours
from tests.invented_year.marks import add_marks
from tests.invented_year.meetings import add_appointments
from tests.invented_year.mood import PLANTED, add_mood
from tests.invented_year.story import YEAR, Day, outline
from tests.invented_year.tasks import add_tasks
from tests.invented_year.toml_text import page, text
from tests.invented_year.truth import table
from tests.invented_year.weather import add_weather
from tests.invented_year.words import Line, add_words

LINES = Path(__file__).parent / "lines"
_WHOLE = ("journal.toml", "undated.toml", "README.md")


def year() -> tuple[list[Day], list[Line]]:
    """Every day of the year, complete, and the lines that fit no day."""
    days = outline()
    add_weather(days)
    add_marks(days)
    add_mood(days)
    add_appointments(days)
    add_hours(days)
    add_tasks(days)
    pictures.add_pictures(days)
    return days, add_words(days)


def _reviews() -> dict[str, str]:
    """Week, month and year pages from lines/reviews.toml: answers in the order of the journal's prompts."""
    prompts = tomllib.loads((LINES / "journal.toml").read_text(encoding="utf-8"))["prompts"]
    pages = {}
    for name, review in tomllib.loads((LINES / "reviews.toml").read_text(encoding="utf-8")).items():
        kind = "week" if "W" in name else "month" if "-" in name else "year"
        blocks = [
            f"[[reflection]]\nprompt = {text(prompt)}\nanswer = {text(answer)}"
            for prompt, answer in zip(prompts[kind], review["answers"], strict=False)
            if answer
        ]
        if "notes" in review:
            blocks.insert(0, "notes = [\n" + "".join(f"    {text(note)},\n" for note in review["notes"]) + "]")
        if "decisions" in review:
            decisions = "\n".join(f"{habit} = {text(choice)}" for habit, choice in review["decisions"].items())
            blocks.append(f"[decisions]\n{decisions}")
        for habit, first in review.get("changed_from", {}).items():
            blocks.append(f"[decision_dates.{habit}]\nfrom = {first}")
        pages[f"{YEAR}/{name}.toml"] = "\n\n".join(blocks) + "\n"
    return pages


def files() -> dict[str, bytes]:
    """Every file of the example year: path relative to the folder -> bytes."""
    days, _ = year()
    whole = {name: (LINES / name).read_text(encoding="utf-8") for name in _WHOLE}
    whole["README.md"] = whole["README.md"].replace("{table}", table(days, PLANTED))
    dated = {f"{YEAR}/{day.date}.toml": page(day) for day in days if day.written}
    texts = whole | dated | _reviews()
    return {name: text.encode("utf-8") for name, text in texts.items()} | pictures.files()


def write(folder: Path) -> int:
    """Write every file with Unix line ends; return the number of files."""
    contents = files()
    for name, content in contents.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return len(contents)
