"""The lists of tables of journal.toml as the settings page shows them: the fields of a row of each."""

from __future__ import annotations

import msgspec

from journal.setup.setting_fields import SettingField, choices


class RowKind(msgspec.Struct, frozen=True, kw_only=True):
    """A list of tables: what one is called, the key of its name, its fields, and whether it has a schedule.

    `key_word` stands in a key that is made from a name without a Latin letter; empty if the tables have no key.
    `made_on` is the page that makes and changes the tables, where the settings page only shows them; `about` is then
    the sentence that says so.
    """

    noun: str
    name_key: str
    fields: tuple[SettingField, ...]
    key_word: str = ""
    has_schedule: bool = False
    made_on: str = ""
    about: str = ""


_FROM = SettingField(key="from", label="From", control="date", required=True)
_UNTIL = SettingField(key="until", label="Until", control="date", hint="The last day. Empty: without an end.")
_LAST_DAY = SettingField(key="until", label="Until", control="date", hint="The last day.", required=True)
_KEY = SettingField(
    key="key",
    label="Key in the pages",
    control="key",
    hint="Pages name it by this key. Left empty, it is made from the name.",
)

ROW_KINDS: dict[str, RowKind] = {
    "places": RowKind(
        noun="place",
        name_key="name",
        key_word="place",
        fields=(
            SettingField(key="name", label="Name", required=True),
            SettingField(key="timezone", label="Time zone", control="zone", required=True, example="Europe/Ljubljana"),
            SettingField(
                key="latitude", label="Degrees north", control="number", required=True, hint="Below zero is south."
            ),
            SettingField(
                key="longitude", label="Degrees east", control="number", required=True, hint="Below zero is west."
            ),
            _KEY,
        ),
    ),
    "categories": RowKind(
        noun="category",
        name_key="name",
        key_word="category",
        fields=(
            SettingField(key="name", label="Name", required=True),
            SettingField(key="colour", label="Colour", control="colour"),
            SettingField(key="sleep", label="These hours are sleep", control="tick", hint="Exactly one category is."),
            SettingField(key="work", label="A day with these hours is a work day", control="tick"),
            _KEY,
        ),
    ),
    "habits": RowKind(
        noun="habit",
        name_key="name",
        key_word="habit",
        has_schedule=True,
        fields=(
            SettingField(key="name", label="Name", required=True),
            _FROM,
            _UNTIL,
            SettingField(
                key="target", label="Amount", control="number", example="20", hint="Empty for a habit of yes or no."
            ),
            SettingField(key="unit", label="Unit", example="pages"),
            SettingField(
                key="aim",
                label="The amount is",
                control="choice",
                default="at least",
                options=choices(("at least", "at least this much"), ("at most", "at most this much")),
            ),
            _KEY,
        ),
    ),
    "challenges": RowKind(
        noun="challenge",
        name_key="name",
        key_word="challenge",
        fields=(
            SettingField(key="name", label="Name", required=True),
            _FROM,
            _LAST_DAY,
            SettingField(
                key="prompts", label="Prompts", control="lines", hint="Optional. One on each line, one for each day."
            ),
            _KEY,
        ),
    ),
    "routines": RowKind(
        noun="routine",
        name_key="title",
        has_schedule=True,
        fields=(
            SettingField(key="title", label="Task", required=True),
            _FROM,
            _UNTIL,
            SettingField(key="estimate", label="Minutes it takes", control="number", example="30"),
        ),
    ),
    "rests": RowKind(
        noun="time off",
        name_key="reason",
        fields=(
            _FROM,
            _LAST_DAY,
            SettingField(key="habits", label="Habits that rest", control="habits", hint="None chosen: all of them."),
            SettingField(key="reason", label="Reason", hint="Private. It is in no export for others."),
        ),
    ),
    "trials": RowKind(
        noun="trial",
        name_key="question",
        key_word="trial",
        made_on="month",
        about=(
            "Trials are made, stopped and looked at on the month page, in the chapter “By lot”. There a trial says how "
            "long it must run and what it is not for, and its days are drawn. Here they are only shown."
        ),
        fields=(
            SettingField(key="question", label="Question"),
            SettingField(key="habit", label="Habit that is done by lot"),
            SettingField(key="outcome", label="What is looked at", default="mood"),
            SettingField(
                key="lag",
                label="Looked at",
                control="choice",
                default="0",
                options=choices(("0", "on the same day"), ("1", "on the day after")),
            ),
            SettingField(key="from", label="From", control="date"),
            SettingField(key="days", label="Days", control="whole"),
            SettingField(key="block", label="Days in a block", control="whole", default="2"),
            SettingField(key="washout", label="Days left out at the start of a block", control="whole", default="0"),
            SettingField(key="seed", label="Seed of the draw", control="whole"),
            SettingField(key="plan", label="Digest of the plan as drawn"),
            SettingField(key="looked", label="Days on which the result was asked for before the end", control="dates"),
            SettingField(key="stopped", label="Stopped on", control="date"),
            SettingField(key="interrupted", label="Interrupted on, after many low days", control="date"),
            SettingField(key="key", label="Key", control="key"),
        ),
    ),
}
"""The lists of tables, in the order of the page."""

SCHEDULE_KEYS = ("every", "times", "per")
"""The keys of a schedule, which has fields of its own."""
