"""The meaning of the columns of the computed tables, for the data dictionary."""

from __future__ import annotations

from journal.export.column_docs import DATE, FIRST, HABIT, LAST, MARK, NEVER, TARGET, VALUE, ColumnDoc, TableDoc

_COUNT = "occasions"

COUNTED = {
    "states": TableDoc(
        "A row is a habit on a day on which it is in force, with its state on that day.",
        {
            "habit": HABIT,
            "date": DATE,
            "state": ColumnDoc(
                "none",
                NEVER,
                "Partial: some, below an at-least target. Missed: due and asked, not done. Blank: due, past, without "
                "a mark and not asked. Pending: due today or later.",
            ),
            "mark": MARK,
            "value": VALUE,
            "target": TARGET,
        },
    ),
    "occasions": TableDoc(
        "A row is an occasion that streaks and rates count: a due day, or a whole week or month of a quota.",
        {
            "habit": HABIT,
            "unit": ColumnDoc("none", NEVER, 'Its kind: "occasion" for a due day, or a quota\'s "week" or "month".'),
            "from": FIRST,
            "to": LAST,
            "date": ColumnDoc("day", NEVER, "The day that decides its month and year: the middle of its days."),
            "state": ColumnDoc("none", NEVER, "As in `states`. A quota is done if it was met."),
            "unit_to": ColumnDoc("day", "the unit does not change", "The last day before the habit changes its unit."),
        },
    ),
    "streaks": TableDoc(
        "A row is a habit, with its runs of due occasions that were done.",
        {
            "habit": HABIT,
            "unit": ColumnDoc("none", NEVER, "What is counted, as in `occasions`."),
            "current": ColumnDoc(_COUNT, NEVER, "The length of the running streak; 0 if the last occasion broke it."),
            "current_from": ColumnDoc("day", "no streak runs", "The first day of the running streak."),
            "pending": ColumnDoc("none", NEVER, "Whether an occasion that includes today is still open."),
            "longest": ColumnDoc(_COUNT, NEVER, "The length of the longest streak."),
            "longest_from": ColumnDoc("day", "no streak", "The first day of the longest streak."),
            "longest_to": ColumnDoc("day", "no streak", "The last day of the longest streak."),
        },
    ),
    "rates_by_month": TableDoc(
        "A row is a habit in a month in which it had an occasion.",
        {
            "habit": HABIT,
            "period": ColumnDoc("ISO 8601", NEVER, "The month by its name."),
            "from": FIRST,
            "to": LAST,
            "due": ColumnDoc(_COUNT, NEVER, "All occasions."),
            "done": ColumnDoc(_COUNT, NEVER, "Done occasions."),
            "missed": ColumnDoc(_COUNT, NEVER, "Missed occasions, including partial ones."),
            "partial": ColumnDoc(_COUNT, NEVER, "Partial occasions."),
            "blank": ColumnDoc(_COUNT, NEVER, "Past occasions without a mark that were not asked."),
            "rest": ColumnDoc(_COUNT, NEVER, "Excused occasions."),
            "pending": ColumnDoc(_COUNT, NEVER, "Occasions that are still open."),
            "counted": ColumnDoc(_COUNT, NEVER, "done + missed + blank, the denominator of the rate."),
            "rate": ColumnDoc("share, 0 to 1", "nothing counted was logged", "done / counted."),
            "low": ColumnDoc(
                "share, 0 to 1",
                "nothing counted was logged",
                "The lower end of its 95 % interval (Wilson 1927, over n_effective).",
            ),
            "high": ColumnDoc("share, 0 to 1", "nothing counted was logged", "The upper end of its 95 % interval."),
            "logged_rate": ColumnDoc("share, 0 to 1", "nothing was logged", "done / (done + missed)."),
            "n_effective": ColumnDoc("occasions", NEVER, "The independent occasions that counted is worth."),
        },
    ),
    "mood_by_day": TableDoc(
        "A row is a calendar day, as in `days`.",
        {
            "date": DATE,
            "value": ColumnDoc("scale of the journal", "not rated", "The day's mood."),
            "trailing_7": ColumnDoc("scale of the journal", "under 4 rated days", "Mean of this day and the 6 before."),
            "trailing_28": ColumnDoc(
                "scale of the journal", "under 14 rated days", "Mean of this day and the 27 before."
            ),
        },
    ),
    "nights": TableDoc(
        "A row is a night with both ends known, by the day of waking.",
        {
            "date": ColumnDoc("day", NEVER, "The day of waking."),
            "bed": ColumnDoc("HH:MM", "there was no sleep", "When sleep began, in the time zone of the place."),
            "wake": ColumnDoc("HH:MM", "there was no sleep", "When it ended, in the time zone of the place."),
            "minutes": ColumnDoc("minutes", NEVER, "Time asleep: elapsed time without wakings."),
            "bed_minute": ColumnDoc(
                "minutes from midnight", "there was no sleep", "As `bed`; negative on the day before."
            ),
            "wake_minute": ColumnDoc("minutes from midnight", "there was no sleep", "As `wake`."),
            "mid_minute": ColumnDoc("minutes from midnight", "there was no sleep", "Halfway between the two."),
            "wakings": ColumnDoc("count", NEVER, "Interruptions of up to an hour each."),
            "nap_minutes": ColumnDoc("minutes", NEVER, "Sleep on that day outside the night."),
            "work": ColumnDoc("none", "today, or no category is work", "Whether the day has actual hours of work."),
        },
    ),
}
