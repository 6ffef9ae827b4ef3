"""The lists of tables of journal.toml as the settings page shows them: the fields of a row of each."""

from __future__ import annotations

import msgspec

from journal.language.catalogue import N_
from journal.setup.setting_fields import SettingField, choices


class RowKind(msgspec.Struct, frozen=True, kw_only=True):
    """A list of tables: what one is called, the key of its name, its fields, and whether it has a schedule.

    `add` is the button that adds one, `unnamed` what one without a name is called. These words, and `about`, are those
    of the catalogue, to be shown by `_`.
    `key_word` stands in a key that is made from a name without a Latin letter; empty if the tables have no key.
    `made_on` is the page that makes and changes the tables, where the settings page only shows them; `about` is then
    the sentence that says so.
    """

    noun: str
    name_key: str
    unnamed: str
    add: str = ""
    fields: tuple[SettingField, ...]
    key_word: str = ""
    has_schedule: bool = False
    made_on: str = ""
    about: str = ""


_FROM = SettingField(key="from", label=N_("From"), control="date", required=True)
_UNTIL = SettingField(key="until", label=N_("Until"), control="date", hint=N_("The last day. Empty: without an end."))
_LAST_DAY = SettingField(key="until", label=N_("Until"), control="date", hint=N_("The last day."), required=True)
_KEY = SettingField(
    key="key",
    label=N_("Key in the pages"),
    control="key",
    hint=N_("Pages name it by this key. Left empty, it is made from the name."),
)

ROW_KINDS: dict[str, RowKind] = {
    "places": RowKind(
        noun=N_("place"),
        add=N_("+ Add a place"),
        unnamed=N_("New place"),
        name_key="name",
        key_word="place",
        fields=(
            SettingField(key="name", label=N_("Name"), required=True),
            SettingField(
                key="timezone", label=N_("Time zone"), control="zone", required=True, example="Europe/Ljubljana"
            ),
            SettingField(
                key="latitude",
                label=N_("Degrees north"),
                control="number",
                required=True,
                hint=N_("Below zero is south."),
            ),
            SettingField(
                key="longitude",
                label=N_("Degrees east"),
                control="number",
                required=True,
                hint=N_("Below zero is west."),
            ),
            _KEY,
        ),
    ),
    "categories": RowKind(
        noun=N_("category"),
        add=N_("+ Add a category"),
        unnamed=N_("New category"),
        name_key="name",
        key_word="category",
        fields=(
            SettingField(key="name", label=N_("Name"), required=True),
            SettingField(key="colour", label=N_("Colour"), control="colour"),
            SettingField(
                key="sleep", label=N_("These hours are sleep"), control="tick", hint=N_("Exactly one category is.")
            ),
            SettingField(key="work", label=N_("A day with these hours is a work day"), control="tick"),
            _KEY,
        ),
    ),
    "habits": RowKind(
        noun=N_("habit"),
        add=N_("+ Add a habit"),
        unnamed=N_("New habit"),
        name_key="name",
        key_word="habit",
        has_schedule=True,
        fields=(
            SettingField(key="name", label=N_("Name"), required=True),
            _FROM,
            _UNTIL,
            SettingField(
                key="target",
                label=N_("Amount"),
                control="number",
                example="20",
                hint=N_("Empty for a habit of yes or no."),
            ),
            SettingField(key="unit", label=N_("Unit"), example=N_("pages")),
            SettingField(
                key="aim",
                label=N_("The amount is"),
                control="choice",
                default="at least",
                options=choices(("at least", N_("at least this much")), ("at most", N_("at most this much"))),
            ),
            _KEY,
        ),
    ),
    "challenges": RowKind(
        noun=N_("challenge"),
        add=N_("+ Add a challenge"),
        unnamed=N_("New challenge"),
        name_key="name",
        key_word="challenge",
        fields=(
            SettingField(key="name", label=N_("Name"), required=True),
            _FROM,
            _LAST_DAY,
            SettingField(
                key="prompts",
                label=N_("Prompts"),
                control="lines",
                hint=N_("Optional. One on each line, one for each day."),
            ),
            _KEY,
        ),
    ),
    "routines": RowKind(
        noun=N_("routine"),
        add=N_("+ Add a routine"),
        unnamed=N_("New routine"),
        name_key="title",
        has_schedule=True,
        fields=(
            SettingField(key="title", label=N_("Task"), required=True),
            _FROM,
            _UNTIL,
            SettingField(key="estimate", label=N_("Minutes it takes"), control="number", example="30"),
        ),
    ),
    "rests": RowKind(
        noun=N_("time off"),
        add=N_("+ Add time off"),
        unnamed=N_("New time off"),
        name_key="reason",
        fields=(
            _FROM,
            _LAST_DAY,
            SettingField(
                key="habits", label=N_("Habits that rest"), control="habits", hint=N_("None chosen: all of them.")
            ),
            SettingField(key="reason", label=N_("Reason"), hint=N_("Private. It is in no export for others.")),
        ),
    ),
    "trials": RowKind(
        noun=N_("trial"),
        unnamed=N_("New trial"),
        name_key="question",
        key_word="trial",
        made_on="month",
        about=N_(
            "Trials are made, stopped and looked at on the month page, in the chapter “By lot”. There a trial says how "
            "long it must run and what it is not for, and its days are drawn. Here they are only shown."
        ),
        fields=(
            SettingField(key="question", label=N_("Question")),
            SettingField(key="habit", label=N_("Habit that is done by lot")),
            SettingField(key="outcome", label=N_("What is looked at"), default="mood"),
            SettingField(
                key="lag",
                label=N_("Looked at"),
                control="choice",
                default="0",
                options=choices(("0", N_("on the same day")), ("1", N_("on the day after"))),
            ),
            SettingField(key="from", label=N_("From"), control="date"),
            SettingField(key="days", label=N_("Days"), control="whole"),
            SettingField(key="block", label=N_("Days in a block"), control="whole", default="2"),
            SettingField(
                key="washout", label=N_("Days left out at the start of a block"), control="whole", default="0"
            ),
            SettingField(key="seed", label=N_("Seed of the draw"), control="whole"),
            SettingField(key="plan", label=N_("Digest of the plan as drawn")),
            SettingField(
                key="looked", label=N_("Days on which the result was asked for before the end"), control="dates"
            ),
            SettingField(key="stopped", label=N_("Stopped on"), control="date"),
            SettingField(key="interrupted", label=N_("Interrupted on, after many low days"), control="date"),
            SettingField(key="key", label=N_("Key"), control="key"),
        ),
    ),
}
"""The lists of tables, in the order of the page."""

SCHEDULE_KEYS = ("every", "times", "per")
"""The keys of a schedule, which has fields of its own."""
