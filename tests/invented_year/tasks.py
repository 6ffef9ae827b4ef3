"""Tasks, in chains: a chain is one task over its days, until it is done or dropped. Its title may change when carried.

Work tasks are the steps of jobs in order (lines/jobs.txt), routines, and small recurring tasks. Household tasks come
from lines/household.txt. A chain has an id and a `since` date once it was carried.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
import random
from pathlib import Path

from tests.invented_year.story import ANKLE, FLU, Day, Task, date, stream

LINES = Path(__file__).parent / "lines"

# Taken over estimated is lognormal: median 1.2, and 80 % of it within 0.8 to 1.8 (1.2 x or / exp(1.28 x 0.316)).
_MEDIAN_RATIO, _LOG_SPREAD = 1.2, 0.316
_DONE = {"ranked": 0.72, "unranked": 0.44}
_END = date(12, 31)


@dataclasses.dataclass
class Chain:
    """One task over its days."""

    titles: list[str]
    estimate: int
    work: bool
    from_job: int | None = None
    routine: str = ""
    must: bool = False
    days: int = 0
    since: dt.date | None = None
    id: str = ""

    @property
    def title(self) -> str:
        """The current title: the next of `titles` each time the task was carried, then the last one."""
        return self.titles[min(max(self.days - 1, 0), len(self.titles) - 1)]


def _parse(line: str, work: bool, job: int | None = None) -> Chain:
    title, minutes, *others = (part.strip() for part in line.removeprefix("! ").split("|"))
    return Chain([title, *others], int(minutes), work, job, must=line.startswith("! "))


def _sections(name: str) -> list[tuple[dt.date, list[str]]]:
    """The blocks of lines of a file, each with the date of its heading "@ MM-DD"."""
    blocks: list[tuple[dt.date, list[str]]] = []
    for line in (LINES / name).read_text(encoding="utf-8").splitlines():
        if line.startswith("@"):
            blocks.append((date(int(line[2:4]), int(line[5:7])), []))
        elif line and not line.startswith("#"):
            blocks[-1][1].append(line)
    return blocks


def at_work(day: Day) -> bool:
    """Whether work is planned for the day. The first day of the flu counts, since it was planned the evening before. So
    does the last day of the year, which has the tasks left on the 30th."""
    return day.works or day.date in {FLU[0], _END}


class Desk:
    """The state of all tasks: current jobs, chains that wait for their day, small recurring tasks."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.jobs = [[_parse(line, True, i) for line in lines] for i, (_, lines) in enumerate(_sections("jobs.txt"))]
        self.ready = [first for first, _ in _sections("jobs.txt")]
        self.household = [(day, _parse(line, False)) for day, lines in _sections("household.txt") for line in lines]
        self.small = [
            _parse(line, True)
            for line in (LINES / "small.txt").read_text(encoding="utf-8").splitlines()
            if line and not line.startswith("#")
        ]
        self.small_free_from = [date(1, 1)] * len(self.small)
        self.waiting: list[tuple[dt.date, Chain]] = []
        self.ids: set[str] = set()

    def new_id(self) -> str:
        """A new id of four distinguishable characters, such as t7k2."""
        while True:
            letters, digits = "abcdefghkmnprstuvwxyz", "23456789"
            name = "".join(self.rng.choice(pool) for pool in (letters, digits, letters, digits))
            if name not in self.ids:
                self.ids.add(name)
                return name

    def standing(self, day: Day) -> list[Chain]:
        """Chains that were carried to this day, or wait for a day of its kind."""
        fits = [(d, c) for d, c in self.waiting if d <= day.date and (at_work(day) or not c.work)]
        self.waiting = [item for item in self.waiting if item not in fits]
        return [chain for _, chain in fits]

    def fresh(self, day: Day, room: int) -> list[Chain]:
        """New chains for a day, at most `room`: the next steps of jobs, household tasks, then small tasks."""
        chains: list[Chain] = []
        if at_work(day):
            for i, steps in enumerate(self.jobs):
                if steps and self.ready[i] <= day.date and len(chains) < room:
                    chains.append(steps.pop(0))
                    self.ready[i] = dt.date(9999, 1, 1)  # until this step is done
        most = self.rng.choice([0, 0, 1]) if at_work(day) else 2
        chains += self._of_the_household(day, min(room - len(chains), most))
        while at_work(day) and len(chains) < room:
            free = [i for i, first in enumerate(self.small_free_from) if first <= day.date]
            if not free:
                break
            pick = self.rng.choice(free)
            self.small_free_from[pick] = day.date + dt.timedelta(days=self.rng.randrange(24, 60))
            chains.append(dataclasses.replace(self.small[pick]))
        return chains

    def _of_the_household(self, day: Day, room: int) -> list[Chain]:
        """Household chains of the last five weeks, newest first; older ones are out of season."""
        since = day.date - dt.timedelta(days=35)
        able = [item for item in self.household if since <= item[0] <= day.date]
        chosen = sorted(able, key=lambda item: -item[0].toordinal())[: max(room, 0)]
        self.household = [item for item in self.household if item not in chosen]
        return [chain for _, chain in chosen]

    def settled(self, chain: Chain, day: dt.date) -> None:
        """Let the next step of the job start one to four days after this one."""
        if chain.from_job is not None:
            self.ready[chain.from_job] = day + dt.timedelta(days=self.rng.choice([1, 1, 2, 3, 4]))


def routines_due(day: Day) -> list[Chain]:
    """The routines due on a day, with the rules of journal.toml."""
    if not at_work(day):
        return []
    weeks = (day.date - date(1, 3)).days
    due = []
    if day.date.weekday() == 4:
        due.append(Chain(["Sweep and oil the press"], 30, True, routine="press"))
        if weeks % 14 == 0:
            due.append(Chain(["Stock count"], 60, True, routine="stock"))
    if day.date.weekday() == 0 and (day.date - date(1, 6)).days % 14 == 0:
        due.append(Chain(["Sharpen the knives"], 30, True, routine="knives"))
    if day.date.day == 5 or (day.date.weekday() == 0 and day.date.day in {6, 7}):
        due.append(Chain(["Books for the accountant"], 90, True, routine="books"))
    return due


def _ranked(day: Day, chains: list[Chain], rng: random.Random) -> dict[int, int]:
    """The ranks of a day's chains, by position. Routines get none."""
    able = [i for i, chain in enumerate(chains) if not chain.routine]
    wanted = rng.choice([3, 3, 3, 3, 2]) if at_work(day) else rng.choice([0, 1, 1, 2])
    heavy = sorted(able, key=lambda i: (-(chains[i].days * 30 + chains[i].estimate) - rng.randrange(90), i))
    return {i: rank for rank, i in enumerate(heavy[:wanted], start=1)}


def _done(day: Day, chain: Chain, rank: int | None, room: int, rng: random.Random) -> bool:
    coin = rng.random()
    if day.flu or day.date == _END:
        return False
    if chain.routine == "stock":
        return day.marks.get("stock") is True
    chance = _DONE["ranked" if rank else "unranked"] + (0.25 if chain.routine else 0)
    if chain.estimate > 90:
        chance -= 0.08
    if day.date >= date(12, 27):
        chance -= 0.3  # slow days between the years
    return room > 0 and coin < chance


def _next_day(day: Day, days: list[Day], chain: Chain, rng: random.Random) -> dt.date | None:
    """The next suitable day; one carry in eight goes further. None past the end of the year."""
    later = [
        d for d in days if d.date > day.date and (at_work(d) if chain.work else d.written and not (d.trip or d.flu))
    ]
    skip = rng.randrange(2, 5) if rng.random() < 0.125 else 0
    return later[skip].date if len(later) > skip else None


def _outcome(day: Day, chain: Chain, done: bool, rng: random.Random) -> str:
    dropping = rng.random() < (0.05 + 0.04 * chain.days) * (0.2 if chain.from_job is not None else 1.0)
    dropping = dropping and not chain.must and chain.routine != "books"
    forgotten = rng.random() < 0.012
    if day.blank or day.date == _END:
        return "done" if done and not day.blank else "open"
    if done:
        return "done"
    if chain.routine == "stock":
        return "dropped"
    if forgotten and chain.from_job is None and not chain.must:
        return "open"
    return "dropped" if dropping else "carried"


def _close(day: Day, days: list[Day], chains: list[Chain], desk: Desk) -> None:
    """Set the status of each chain at the end of the day, and carry the unfinished ones on."""
    rng = desk.rng
    ranks = _ranked(day, chains, rng)
    room = sum(end - start for start, end in day.actual.get("workshop", [])) + (90 if day.works else 240)
    for i in sorted(range(len(chains)), key=lambda i: (ranks.get(i, 9), i)):
        chain = chains[i]
        chain.days += 1
        chain.since = chain.since or day.date
        title = chain.title
        done = _done(day, chain, ranks.get(i), room, rng)
        status = _outcome(day, chain, done, rng)
        after = _next_day(day, days, chain, rng) if status == "carried" or day.blank else None
        if status == "carried" and after is None:
            status = "open"
        ratio = _MEDIAN_RATIO * math.exp(rng.gauss(0, _LOG_SPREAD))
        took = max(5, 5 * round(chain.estimate * ratio / 5))
        says_took, says_estimate = rng.random() < 0.93, rng.random() < 0.95
        if after is not None:
            chain.id = chain.id or desk.new_id()
            desk.waiting.append((after, chain))
        if status == "done":
            room -= took
        if status in {"done", "dropped"}:
            desk.settled(chain, day.date)
        day.tasks.append(
            Task(
                title=title,
                status=status,
                rank=ranks.get(i),
                estimate=chain.estimate if says_estimate else None,
                took=took if status == "done" and says_took else None,
                since=chain.since if chain.id else None,
                id=chain.id or None,
            )
        )


def add_tasks(days: list[Day]) -> None:
    """Set the tasks of every written day. Days in bed and away get none."""
    desk = Desk(stream("tasks"))
    for day in days:
        if not day.written or day.trip or (day.flu and day.date != FLU[0]):
            continue
        wanted = desk.rng.choice([4, 4, 5, 5, 6]) if at_work(day) else desk.rng.choice([0, 1, 1, 2])
        if day.date in ANKLE:
            wanted -= 1
        if day.date == _END:
            wanted = 0
        chains = desk.standing(day) + routines_due(day)
        chains += desk.fresh(day, max(wanted - len(chains), 0))
        _close(day, days, chains, desk)
