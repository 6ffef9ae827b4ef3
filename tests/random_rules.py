"""Recurrence rules thrown with a seeded dice, where Hypothesis would be too slow or too thorough."""

from __future__ import annotations

import random

from journal.recurrence import WEEKDAY_CODES


def random_rule(dice: random.Random) -> str:
    """A short rule of small numbers: of a few thousand, many fall on the same days."""
    freq = dice.choice(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"])
    parts = [f"FREQ={freq}", f"WKST={dice.choice(['MO', 'SU'])}"]
    interval, chance = dice.choice([1, 1, 1, 2, 3]), dice.random
    parts += [f"INTERVAL={interval}"] if interval > 1 else []
    months = dice.sample(range(1, 13), dice.choice([1, 1, 2])) if chance() < 0.25 else []
    parts += [f"BYMONTH={_list(months)}"] if months else []
    if freq != "WEEKLY" and chance() < 0.35:
        parts.append(f"BYMONTHDAY={_list(dice.sample([1, 2, 13, 29, 30, 31, -1, -2], dice.choice([1, 1, 2])))}")
    if freq == "YEARLY" and chance() < 0.15:
        parts.append(f"BYYEARDAY={_list(dice.sample([1, 2, 60, 366, -1], dice.choice([1, 2])))}")
    if freq == "YEARLY" and chance() < 0.15:
        parts.append(f"BYWEEKNO={_list(dice.sample([1, 20, 53, -1], dice.choice([1, 2])))}")
    if chance() < 0.6:
        numbers = [""]
        if freq in ("MONTHLY", "YEARLY") and "BYWEEKNO" not in parts[-1]:
            numbers = ["", "", "1", "2", "5", "-1", "-2"]
        days = [f"{dice.choice(numbers)}{day}" for day in dice.sample(WEEKDAY_CODES, dice.choice([1, 1, 2, 5, 7]))]
        parts.append(f"BYDAY={_list(days)}")
    if any(part.startswith("BY") for part in parts) and chance() < 0.15:
        parts.append(f"BYSETPOS={_list(dice.sample([1, 2, -1], dice.choice([1, 2])))}")
    return ";".join(parts)


def _list(items: list[int] | list[str]) -> str:
    return ",".join(map(str, items))
