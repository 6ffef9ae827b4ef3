"""What the checks of the files expect beyond the types, as keywords of JSON Schema.

Each keyword says what a check of `journal.folder` says. What needs two values at a time, or another file, is for the
check alone (`tests/promises/schemas.py` has the list).
"""

from __future__ import annotations

from typing import Any

import msgspec

from journal import lots
from journal.entry import Appointment, Entry, Task, UndatedTask
from journal.folder import check_pictures, check_settings, check_trials, picture_names
from journal.settings import WEEKDAYS, Category, DaySettings, Habit, Place, Routine, Settings, Trial

JsonSchema = dict[str, Any]

CLOCK = r"([01]\d|2[0-3]):[0-5]\d"
_MINUTES: JsonSchema = {"exclusiveMinimum": 0}
_RULE: JsonSchema = {"examples": ["FREQ=DAILY", "FREQ=WEEKLY;BYDAY=MO,WE,FR", "FREQ=MONTHLY;BYMONTHDAY=1"]}
_ENDINGS = "|".join("".join(f"[{c}{c.upper()}]" for c in ending[1:]) for ending in picture_names.ENDINGS)

OF_KEYS: dict[type[msgspec.Struct], dict[str, JsonSchema]] = {
    Entry: {
        "pictures": {
            "items": {
                "type": "string",
                "pattern": rf'^[^./\\:*?"<>|\s]([^/\\:*?"<>|]*[^/\\:*?"<>|\s])?\.({_ENDINGS})$',
            },
            "uniqueItems": True,
            "maxItems": check_pictures.MOST_PICTURES,
        },
        "captions": {"additionalProperties": {"type": "string", "maxLength": check_pictures.LONGEST_CAPTION}},
    },
    Appointment: {"start": {"pattern": f"^{CLOCK}$"}},
    Task: {"rank": {"minimum": 1}, "estimate": _MINUTES, "took": _MINUTES},
    UndatedTask: {"estimate": _MINUTES},
    Settings: {
        "format": {"const": check_settings.FORMAT},
        "places": {"minItems": 1},
        "hours": {
            "description": "the plan a new day starts with: `usual`, and each weekday that differs",
            "propertyNames": {"enum": ["usual", *WEEKDAYS]},
        },
        "categories": {
            "contains": {"type": "object", "properties": {"sleep": {"const": True}}, "required": ["sleep"]},
            "maxContains": 1,
        },
    },
    DaySettings: {name: {"minimum": 0, "maximum": limit} for name, limit in check_settings.LIMITS.items()},
    Place: {
        "latitude": {"minimum": -90, "maximum": 90},
        "longitude": {"minimum": -180, "maximum": 180},
        "timezone": {"examples": ["Europe/Ljubljana", "Etc/UTC"]},
    },
    Category: {"colour": {"pattern": rf"^({check_settings.COLOUR.pattern})?$"}},
    Habit: {"every": _RULE, "times": {"minimum": 1, "maximum": max(check_settings.MOST_TIMES.values())}},
    Routine: {"every": _RULE, "estimate": _MINUTES},
    Trial: {
        "days": {"minimum": 1, "maximum": check_trials.LONGEST_DAYS},
        "block": {"minimum": check_trials.BLOCKS[0], "maximum": check_trials.BLOCKS[-1]},
        "washout": {"minimum": 0, "maximum": check_trials.BLOCKS[-1] - 1},
        "seed": {"minimum": 0},
        "plan": {"pattern": f"^([0-9a-f]{{{lots.DIGEST_LENGTH}}})?$"},
    },
}
"""Further keywords of a key, by the type of its table."""

_QUOTA = ["times", "per"]

OF_TABLES: dict[type[msgspec.Struct], JsonSchema] = {
    Appointment: {"dependentRequired": {"end": ["start"]}},
    Habit: {
        # Due by a rule or by a quota, never by both.
        "oneOf": [
            {"required": ["every"], "properties": dict.fromkeys(_QUOTA, False)},
            {"required": _QUOTA, "properties": {"every": False}},
        ],
        "allOf": [
            {
                "if": {"properties": {"per": {"const": "week"}}, "required": ["per"]},
                "then": {"properties": {"times": {"maximum": check_settings.MOST_TIMES["week"]}}},
            },
            {
                # "At most 0 cups" is a valid target, "at least 0 pages" is not.
                "if": {"properties": {"aim": {"const": "at most"}}, "required": ["aim"]},
                "then": {"properties": {"target": {"minimum": 0}}},
                "else": {"properties": {"target": {"exclusiveMinimum": 0}}},
            },
        ],
    },
    Trial: {
        # A night belongs to the day of waking, and is over before the habit.
        "if": {"properties": {"outcome": {"const": "sleep"}}, "required": ["outcome"]},
        "then": {"properties": {"lag": {"const": 1}}, "required": ["lag"]},
    },
}
"""Further keywords of a table, by its type: what its keys have to do with one another."""
