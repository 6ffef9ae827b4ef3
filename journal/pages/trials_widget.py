"""The form of the trials by lot. How long a trial must run is counted in the background, so the page stays quick."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from journal.pages.background_form import BackgroundForm, Make
from journal.pages.forms import JsonObject, Responder


class TrialsForm(BackgroundForm):
    """The trials by lot: those there are, and a new one. Its offer is that of `setup.trial_form`.

    `makes` answers the slow requests in a thread of its own, `answers` all others as for every form.
    """

    _module = "trials"
    _renewing = ("make", "stop", "look", "off", "back")

    def __init__(
        self, offer: JsonObject, answers: Mapping[str, Responder], makes: Mapping[str, Make], *, journal: str = ""
    ) -> None:
        super().__init__(offer, makes, answers, journal=journal)

    def _receive(self, widget: object, message: Any, buffers: object) -> None:
        is_slow = isinstance(message, dict) and message.get("ask") in self._makes
        (super()._receive if is_slow else super(BackgroundForm, self)._receive)(widget, message, buffers)
