"""The save of a trial: one [[trials]] of journal.toml drawn, stopped, looked at, or called off before it begins."""

from __future__ import annotations

import datetime as dt
import secrets
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal, get_args

import msgspec

from journal import lots
from journal.errors import JournalError, UsageError
from journal.folder.history_records import PageWriter
from journal.folder.identity import identities
from journal.folder.page_versions import SETTINGS
from journal.language.catalogue import _
from journal.saving import base_pages
from journal.saving.base_pages import Pages
from journal.saving.form_values import FormValues
from journal.saving.save_pages import PagesSave, PageWrite, SaveResult
from journal.settings import Trial
from journal.setup import trial_entered, trial_form
from journal.setup.settings_tables import SettingsTables
from journal.wording import trial_words

if TYPE_CHECKING:
    from journal import Journal

TrialAction = Literal["make", "stop", "look", "off"]
_DAY = dt.timedelta(days=1)
_SEEDS = 10**9


def new_seed() -> int:
    """A seed of a new trial, from the system's randomness: at most nine digits, to be copied by hand."""
    return secrets.randbelow(_SEEDS)


def save(
    book: Journal, what: TrialAction, raw: object, *, now: dt.datetime, by: PageWriter, seed: int | None = None
) -> SaveResult:
    """Save a trial: {"base" of the offer}, and for "make" the plan, else "ref", its key.

    "make" draws a new trial. "stop" ends it with today. "look" notes that its result was asked for today, before the
    end. "off" takes it out of journal.toml before its first day. `seed`, if given, is that of the new trial.

    >>> import journal, pathlib, tempfile
    >>> from journal.setup import trial_form
    >>> folder, now = tempfile.TemporaryDirectory(), dt.datetime(2025, 2, 27, 21, 4, tzinfo=dt.UTC)
    >>> settings = pathlib.Path(folder.name, "journal.toml")
    >>> _ = settings.write_text('[[habits]]\\nkey = "walk"\\nname = "Walk"\\nevery = "FREQ=DAILY"\\nfrom = 2025-01-01')
    >>> book = journal.open(folder.name, today=dt.date(2025, 2, 27))
    >>> plan = {"question": "Does it help?", "habit": "walk", "outcome": "mood", "lag": 1, "from": "2025-03-01"}
    >>> save(book, "make", plan | {"base": trial_form.offer(book).base}, now=now, by="month", seed=4711).saved
    True
    >>> print(settings.read_text().partition("\\n\\n")[2])
    [[trials]]
    key = "walk"
    question = "Does it help?"
    habit = "walk"
    outcome = "mood"
    lag = 1
    from = 2025-03-01
    days = 60
    block = 2
    washout = 0
    seed = 4711
    plan = "a64c049c3b59"
    >>> folder.cleanup()
    """
    form = FormValues()
    try:
        if not isinstance(raw, Mapping):
            raise UsageError(_("the form has sent no trial; open the page anew"))
        pages = Pages(base_pages.submitted(raw.get("base"), book.files.pages), book.files.pages.current)
        tables = SettingsTables(pages.base(SETTINGS).values)
        if what == "make":
            if reason := trial_form.no_new(book):
                raise UsageError(reason.rstrip("."))
            trial = trial_entered.plan(form, raw, book, seed=new_seed() if seed is None else seed)
            tables.trials += [table_of(trial)] if trial else []
        else:
            _apply(book, tables, what, raw.get("ref"))
    except JournalError as error:
        text = str(error)
        form.report("", f"{text[:1].upper()}{text[1:]}.")
    if form.troubles:
        return SaveResult(saved=False, problems=form.troubles)
    steps = [PageWrite(SETTINGS, tables.changes)] if tables.changes else []
    result = PagesSave(book.files, pages, raw, field=_field, now=now, by=by).save(steps)
    # What was stopped or looked at is not made undone: it would be told of no more.
    return result if what in ("make", "off") else msgspec.structs.replace(result, undo="")


def table_of(trial: Trial) -> dict[str, Any]:
    """A new trial as a table of journal.toml, with the digest of its plan. All that the draw uses is written."""
    named = {"key": trial.key, "question": trial.question, "habit": trial.habit}
    return {**named, **lots.plan_values(trial), "plan": lots.digest(trial)}


def _apply(book: Journal, tables: SettingsTables, what: TrialAction, ref: object) -> None:
    trial = next((one for one in book.trials if one.key == ref), None)
    tables_by_key = dict(zip(identities("trials", tables.trials), tables.trials, strict=True))
    table = tables_by_key.get(str(ref))
    if trial is None or table is None:
        raise UsageError(_("this trial is no longer in journal.toml; open the page anew"))
    phase = trial_words.phase(trial, book.today)
    if what == "off":
        if phase != "ahead":
            raise UsageError(_("this trial has begun; stop it instead"))
        tables.remove(table)
    elif what == "stop":
        if phase != "running" or book.today == lots.last_drawn(trial):
            raise UsageError(_("nothing is drawn for this trial after today, so there is nothing to stop"))
        table["stopped"] = book.today + _DAY
    elif what == "look":
        if phase not in ("running", "waiting"):
            raise UsageError(_("this trial is not between its first day and its end; nothing is to be noted"))
        looked = [*table.get("looked", [])]
        table["looked"] = looked if book.today in looked else [*looked, book.today]
    else:
        actions = ", ".join(get_args(TrialAction))
        raise UsageError(_("a trial can be {actions}; open the page anew", actions=actions))


def _field(_key: str, path: Sequence[str | int]) -> str:
    """The field of the form for a path in journal.toml."""
    name = str(path[2]) if len(path) > 2 else ""
    return name if name in trial_entered.FIELDS else ""
