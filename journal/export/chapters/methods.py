"""How each number is counted, and where the way of counting is from."""

from __future__ import annotations

from journal.export.document import Block, Words
from journal.export.year_data import Subject
from journal.sections import care_box
from journal.wording import numbers

LOGGED = (
    "A day is logged when its page has a mood or marks of habits. A page that was only planned is not. "
    "What was not recorded is never counted as zero."
)
STATES = (
    "A habit is due on the days its rule falls on. A due day is done, partly done, missed, at rest, or blank where the "
    "day was not logged. Partly done counts as missed in a rate. A quota, so many times a week or a month, counts "
    "whole weeks or months."
)
STREAKS = (
    "A streak is a run of due occasions that were done. Days at rest and days on which nothing was due neither add nor "
    "break; a missed one breaks. {blank}"
)
BLANKS = {"breaks": "So does a blank one.", "bridges": "A blank one does not: this journal bridges them."}
RATES = (
    f"A rate is what was done of what was due, less what was excused and what is still open, with its Wilson "
    f"{numbers.NINETY_FIVE} interval (Wilson 1927; Newcombe 1998, method 3). A change is clear when the "
    f"{numbers.NINETY_FIVE} interval of the difference "
    "(Newcombe 1998, method 10) leaves out zero."
)
MOOD = (
    "Mood and energy are means of the rated days. High and low days lie in the upper and the lower two fifths of the "
    "scale. The lines are means of the last 7 and 28 days, drawn where 4 and 14 of them are rated."
)
FINDINGS = (
    "What stands out is ranked among the same numbers of this journal's other years or, while there are few, of its "
    "months, and told where it lies beyond Tukey's fences (Tukey 1977). It says what was, not why."
)
SLEEP = (
    "Sleep is read off the hours as they were written. A night belongs to the day of waking; minutes are those that "
    "passed, across clock changes. Times of going to bed and getting up are circular means. Regularity is the Sleep "
    "Regularity Index (Phillips et al. 2017); the distance of work and free days is social jetlag (Wittmann et al. "
    "2006). Seven hours or more: Watson et al. 2015."
)
TASKS = (
    "A task lives from the day it first stood on a page to the day it was done. How long tasks wait is the "
    "Kaplan-Meier curve (Kaplan and Meier 1958): open tasks count up to the last day looked at, dropped ones up to the "
    "day they were dropped."
)
LINKS = (
    "A link compares the mean mood of days with a habit and of due days without it, at least 14 on each side. How rare "
    "such a distance is by chance is counted by shifting the marks along the days (DeRuiter and Solow 2008) and "
    "corrected for the number of comparisons (q, Benjamini and Hochberg 1995). One goes with the other; neither is "
    "shown to cause it."
)
JOURNAL = (
    "These are one person's own notes. They are a journal and no diagnosis, and nothing here is advice on health. "
    "Where low mood, bad sleep or strain last, that is a reason to talk to a doctor, or to someone you trust."
)


def blocks(subject: Subject, told: frozenset[str]) -> list[Block]:
    """The chapter of counting: of what is told in the chapters `told`, by their keys, and what a journal is."""
    streak = STREAKS.format(blank=BLANKS[subject.settings.blank])
    parts: dict[str, list[tuple[str, tuple[str, ...]]]] = {
        "year": [("Days and mood", (LOGGED, MOOD)), ("What stands out", (FINDINGS,))],
        "habits": [("Habits", (STATES, streak, RATES))],
        "sleep": [("Sleep", (SLEEP,))],
        "tasks": [("Tasks", (TASKS,))],
        "links": [("Links", (LINKS,))],
    }
    shown = [part for key, words in parts.items() if key in told for part in words]
    counted: list[Block] = [Words(title=title, paragraphs=paragraphs) for title, paragraphs in shown]
    return [*counted, Words(title="A journal, no diagnosis", paragraphs=(JOURNAL, care_box.IN_DANGER), care=True)]
