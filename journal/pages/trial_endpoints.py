"""Endpoints of the trials' form, as in `form_endpoints`: each request opens the journal once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from journal.language.catalogue import _
from journal.pages.background_form import Make, Tell
from journal.pages.form_endpoints import Now, OpenJournal, back, plain_json, reopened, with_offer
from journal.pages.forms import JsonObject, Responder
from journal.saving.form_values import FormValues
from journal.setup import save_trial, trial_advice, trial_entered, trial_form
from journal.setup.save_trial import TrialAction

if TYPE_CHECKING:
    from journal import Journal


def trials(book: Journal) -> JsonObject:
    """The offer of the trials, as JSON."""
    return plain_json(trial_form.offer(book))


def trial_answers(read: OpenJournal, now: Now) -> Mapping[str, Responder]:
    """The handlers of the trials' requests. The answer to a save includes the trials as they are now, except if a field
    has a problem to correct.

    "make" asks once more where a plan names what no trial is for, unless it is `sure`.
    """

    def saved(what: TrialAction) -> Responder:
        def save(params: JsonObject) -> JsonObject:
            book = read()
            if what == "make" and params.get("sure") is not True and (asks := trial_advice.asks_again(book, params)):
                return {"asks": asks}
            answer = plain_json(save_trial.save(book, what, params, now=now(), by="month"))
            if any(problem["field"] for problem in answer["problems"]):
                return {"answer": answer}
            return with_offer({"answer": answer}, lambda: trials(reopened(book)))

        return save

    return {
        "make": saved("make"),
        "stop": saved("stop"),
        "look": saved("look"),
        "off": saved("off"),
        "back": back(read, now, "month", lambda book, _of: trials(book)),
    }


def trial_lengths(read: OpenJournal) -> Mapping[str, Make]:
    """The handler of the slow request: "length" answers in words how long a plan must run, and saves nothing."""

    def length(params: JsonObject, tell: Tell) -> tuple[JsonObject, None]:
        tell(_("Counting in simulated trials…"))
        book, form = read(), FormValues()
        plan = trial_entered.plan(form, params, book, seed=0)
        if plan is None:
            return {"problems": [plain_json(problem) for problem in form.troubles]}, None
        return {"said": trial_advice.words(book, plan)}, None

    return {"length": length}
