"""The last chapter: how each number is counted, with the source of each method."""

from __future__ import annotations

from journal.export.document import Block, Words
from journal.export.year_data import YearData
from journal.language.catalogue import N_, _
from journal.sections import care_box
from journal.wording import numbers

LOGGED = N_(
    "A day is logged when its page has a mood or marks of habits. A page that was only planned is not. "
    "Values that were not recorded never count as zero."
)
STATES = N_(
    "A habit is due on the days its rule falls on. A due day is done, partly done, missed, at rest, or blank if "
    "nobody asked for it: the day was not logged, or its marks were imported. Partly done counts as missed in a rate. "
    "A quota, a number of times a week or month, counts whole weeks or months."
)
STREAKS = {
    "breaks": N_(
        "A streak is a run of due occasions that were done. Days at rest and days that are not due neither add to it "
        "nor break it; a missed day breaks it. So does a blank day."
    ),
    "bridges": N_(
        "A streak is a run of due occasions that were done. Days at rest and days that are not due neither add to it "
        "nor break it; a missed day breaks it. A blank day does not: this journal bridges them."
    ),
}
RATES = N_(
    "A rate is the share of due occasions that were done, without excused and open ones, with its Wilson "
    "{level} interval (Wilson 1927; Newcombe 1998, method 3). Neighbouring days of a habit are alike. "
    "The interval counts as many independent days as they are worth (Bayley and Hammersley 1946), by the correlations "
    "within the months of the whole journal. A change is clear when the {level} interval of the "
    "difference (Newcombe 1998, method 10) excludes zero, among all due days and among those that were logged, and "
    "still after correction for the number of habits (Benjamini and Hochberg 1995)."
)
MOOD = N_(
    "Mood and energy are means of the rated days. High and low days lie in the upper and the lower two fifths of the "
    "scale. The lines are means of the last 7 and 28 days, drawn if at least 4 and 14 of them are rated."
)
FINDINGS = N_(
    "A number stands out if chance alone would rarely put it so far from the same number of earlier years, month by "
    "month, or from other months (a prediction test by Student's t), with all numbers counted that were looked at. A "
    "streak stands out if the habit's own way of going on would rarely bring it about. This says what was, not why."
)
SLEEP = N_(
    "Sleep is computed from the actual hours. A night belongs to the day of waking; minutes are elapsed minutes, "
    "also across clock changes. Times of going to bed and getting up are circular means. Regularity is the Sleep "
    "Regularity Index (Phillips et al. 2017); the distance of work and free days is social jetlag (Wittmann et al. "
    "2006). Seven hours or more: Watson et al. 2015."
)
TASKS = N_(
    "A task waits from its first day on a page to the day it was done. Waiting times are shown as a "
    "Kaplan-Meier curve (Kaplan and Meier 1958): open tasks are censored at the last day, dropped ones at the day they "
    "were dropped."
)
LINKS = N_(
    "A link compares the mean mood of days with a habit and of due days without it, at least 14 on each side. How rare "
    "such a difference is by chance is estimated by shifting the marks along the days (DeRuiter and Solow 2008) and "
    "corrected for the number of comparisons (q, Benjamini and Hochberg 1995). It is called clear by the evidence of "
    "all months of the journal so far: looked at every month, at most 5 of 100 journals without a link ever have one "
    "called clear. A link does not show a cause."
)
JOURNAL = N_(
    "These are one person's own notes. They are a journal and no diagnosis, and nothing here is advice on health. "
    "If low mood, bad sleep or strain last, that is a reason to talk to a doctor, or to someone you trust."
)


def blocks(subject: YearData, chapters: frozenset[str]) -> list[Block]:
    """The chapter of methods for the given chapters (keys), and the note that a journal is no diagnosis."""
    streak, rate = _(STREAKS[subject.settings.blank]), _(RATES, level=numbers.NINETY_FIVE)
    parts: dict[str, list[tuple[str, tuple[str, ...]]]] = {
        "year": [(_("Days and mood"), (_(LOGGED), _(MOOD))), (_("What stands out"), (_(FINDINGS),))],
        "habits": [(_("Habits"), (_(STATES), streak, rate))],
        "sleep": [(_("Sleep"), (_(SLEEP),))],
        "tasks": [(_("Tasks"), (_(TASKS),))],
        "links": [(_("Links"), (_(LINKS),))],
    }
    used = [part for key, words in parts.items() if key in chapters for part in words]
    methods: list[Block] = [Words(title=title, paragraphs=paragraphs) for title, paragraphs in used]
    last = Words(title=_("A journal, no diagnosis"), paragraphs=(_(JOURNAL), _(care_box.IN_DANGER)), care=True)
    return [*methods, last]
