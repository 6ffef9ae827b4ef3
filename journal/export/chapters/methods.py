"""The last chapter: how each number is counted, with the source of each method."""

from __future__ import annotations

from journal.export.document import Block, Words
from journal.export.year_data import YearData
from journal.sections import care_box
from journal.wording import numbers

LOGGED = (
    "A day is logged when its page has a mood or marks of habits. A page that was only planned is not. "
    "Values that were not recorded never count as zero."
)
STATES = (
    "A habit is due on the days its rule falls on. A due day is done, partly done, missed, at rest, or blank if "
    "nobody asked for it: the day was not logged, or its marks were imported. Partly done counts as missed in a rate. "
    "A quota, a number of times a week or month, counts whole weeks or months."
)
STREAKS = (
    "A streak is a run of due occasions that were done. Days at rest and days that are not due neither add to it nor "
    "break it; a missed day breaks it. {blank}"
)
BLANKS = {"breaks": "So does a blank day.", "bridges": "A blank day does not: this journal bridges them."}
RATES = (
    f"A rate is the share of due occasions that were done, without excused and open ones, with its Wilson "
    f"{numbers.NINETY_FIVE} interval (Wilson 1927; Newcombe 1998, method 3). Neighbouring days of a habit are alike. "
    "The interval counts as many independent days as they are worth (Bayley and Hammersley 1946), by the correlations "
    f"within the months of the whole journal. A change is clear when the {numbers.NINETY_FIVE} interval of the "
    "difference (Newcombe 1998, method 10) excludes zero, among all due days and among those that were logged, and "
    "still after correction for the number of habits (Benjamini and Hochberg 1995)."
)
MOOD = (
    "Mood and energy are means of the rated days. High and low days lie in the upper and the lower two fifths of the "
    "scale. The lines are means of the last 7 and 28 days, drawn if at least 4 and 14 of them are rated."
)
FINDINGS = (
    "A number stands out if chance alone would rarely put it so far from the same number of earlier years, month by "
    "month, or from other months (a prediction test by Student's t), with all numbers counted that were looked at. A "
    "streak stands out if the habit's own way of going on would rarely bring it about. This says what was, not why."
)
SLEEP = (
    "Sleep is computed from the actual hours. A night belongs to the day of waking; minutes are elapsed minutes, "
    "also across clock changes. Times of going to bed and getting up are circular means. Regularity is the Sleep "
    "Regularity Index (Phillips et al. 2017); the distance of work and free days is social jetlag (Wittmann et al. "
    "2006). Seven hours or more: Watson et al. 2015."
)
TASKS = (
    "A task waits from its first day on a page to the day it was done. Waiting times are shown as a "
    "Kaplan-Meier curve (Kaplan and Meier 1958): open tasks are censored at the last day, dropped ones at the day they "
    "were dropped."
)
LINKS = (
    "A link compares the mean mood of days with a habit and of due days without it, at least 14 on each side. How rare "
    "such a difference is by chance is estimated by shifting the marks along the days (DeRuiter and Solow 2008) and "
    "corrected for the number of comparisons (q, Benjamini and Hochberg 1995). It is called clear by the evidence of "
    "all months of the journal so far: looked at every month, at most 5 of 100 journals without a link ever have one "
    "called clear. A link does not show a cause."
)
JOURNAL = (
    "These are one person's own notes. They are a journal and no diagnosis, and nothing here is advice on health. "
    "If low mood, bad sleep or strain last, that is a reason to talk to a doctor, or to someone you trust."
)


def blocks(subject: YearData, chapters: frozenset[str]) -> list[Block]:
    """The chapter of methods for the given chapters (keys), and the note that a journal is no diagnosis."""
    streak = STREAKS.format(blank=BLANKS[subject.settings.blank])
    parts: dict[str, list[tuple[str, tuple[str, ...]]]] = {
        "year": [("Days and mood", (LOGGED, MOOD)), ("What stands out", (FINDINGS,))],
        "habits": [("Habits", (STATES, streak, RATES))],
        "sleep": [("Sleep", (SLEEP,))],
        "tasks": [("Tasks", (TASKS,))],
        "links": [("Links", (LINKS,))],
    }
    used = [part for key, words in parts.items() if key in chapters for part in words]
    methods: list[Block] = [Words(title=title, paragraphs=paragraphs) for title, paragraphs in used]
    return [*methods, Words(title="A journal, no diagnosis", paragraphs=(JOURNAL, care_box.IN_DANGER), care=True)]
