"""The common part of the week's, month's and year's page: reading the journal, choosing a period, the heading.

The states (period, count of edits) stay in the notebook, because marimo reruns a cell only for a state that the cell
itself names. Code that does not depend on the state is here.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from journal.language.catalogue import N_, _
from journal.measures import coverage
from journal.pages import (
    controls,
    elements,
    file_watch,
    form_endpoints,
    page_params,
    paper_endpoints,
    setup_endpoints,
    trial_endpoints,
    version_endpoints,
)
from journal.pages.forms import (
    EarlierStates,
    HabitDecisions,
    JsonObject,
    PageCopies,
    PaperSheets,
    ReviewForm,
    TriageForm,
    WeekAheadForm,
)
from journal.pages.trials_widget import TrialsForm
from journal.periods import Period, PeriodKind
from journal.sections import cards, day_cards, page_chapters
from journal.sections.escape import Html, join
from journal.wording import dates

if TYPE_CHECKING:
    from journal import Journal


_FORM_CHAPTERS = {"ahead": N_("The week ahead"), "lot": N_("By lot"), "book": N_("The book")}
"""The chapters that hold a form, with their names in the list of chapters."""


def form_chapter(key: str) -> tuple[str, str]:
    """The key and name of a chapter that holds a form, for `page_chapters.walk`."""
    return key, _(_FORM_CHAPTERS[key])


def ahead_sentence() -> str:
    """The heading of the week ahead."""
    return _("The week ahead: what each day holds, and the tasks to put on it")


class PeriodPage:
    """A page of weeks, months or years. `notebooks` is the folder of the notebook, `query` marimo's query parameters,
    `now` reads the clock."""

    def __init__(self, kind: PeriodKind, notebooks: Path | None, query: Any, now: Callable[[], dt.datetime]) -> None:
        self.kind, self.query, self.now = kind, query, now
        self.folder = page_params.folder(notebooks)
        self._before_reading = file_watch.seen(self.folder)
        self.at_first = self.read()
        # Created once, so typed text stays on the page when the period or the files change.
        self.review = ReviewForm(
            form_endpoints.review(self.at_first, self.first_shown()),
            form_endpoints.reviews(self.read, self.moment),
            journal=form_endpoints.name(self.folder),
        )

        # Offers of the first draw, which its cells ask for a second time.
        self._begun: dict[str, tuple[Period, JsonObject]] = {}
        self.copies = PageCopies(
            version_endpoints.copies(self.at_first.files), version_endpoints.copy_answers(self.folder, self.moment)
        )
        self.earlier = EarlierStates(
            version_endpoints.earlier(self.at_first.files, [self.first_shown().key]),
            version_endpoints.earlier_answers(self.folder, self.moment),
        )
        # The chapters that are open. A cell follows them where it names them; where it shows them, it names the page.
        self.chapters: Any = elements.chapters(kind, form_endpoints.name(self.folder))

    def read(self) -> Journal:
        """Open the journal from the current files."""
        return page_params.opened(self.folder, self.now())

    def moment(self) -> dt.datetime:
        """The time of saving."""
        return page_params.moment(self.folder, self.now())

    def first_shown(self) -> Period:
        """The period that the page opens at."""
        return page_params.first_shown(self.kind, self.query.to_dict(), self.at_first)

    def watch(self, set_edits: Callable[[Callable[[int], int]], None]) -> None:
        """Count edits of the journal's files by any program in a state of the notebook."""
        file_watch.start(self.folder, self._before_reading, lambda: set_edits(lambda count: count + 1))

    def again(self) -> Journal:
        """Open the journal again. Unchanged pages come from the cache."""
        return page_params.again(self.read, self.at_first)

    def arrows(self, move: Callable[[Callable[[Period], Period]], None]) -> tuple[Any, Any]:
        """The buttons to an earlier and a later period."""
        return controls.arrows(page_params.choices(self.kind, self.at_first), move)

    def picker(self, book: Journal, chosen: Period, choose: Callable[[Period], None]) -> Any:
        """The list of periods with the chosen one selected."""
        return controls.picker(page_params.choices(self.kind, book), chosen, choose)

    def undecided(self) -> TriageForm:
        """The list of tasks to decide on. The notebook makes it once, so that choices stay on the page."""
        return TriageForm(
            self._first("decide", form_endpoints.to_decide),
            form_endpoints.decisions(self.read, self.moment),
            journal=form_endpoints.name(self.folder),
        )

    def to_decide(self, undecided: TriageForm, book: Journal, period: Period) -> list[tuple[str, str]]:
        """Offer the tasks to decide on as of a period; the link to them, if there are any."""
        offered = self._offered("decide", form_endpoints.to_decide, book, period)
        undecided.push_offer(offered)
        return form_endpoints.jump_to_decide(offered)

    def deciding(self) -> HabitDecisions:
        """The decisions on each habit of a month. The notebook makes it once, so that an open choice stays."""
        return HabitDecisions(
            self._first("decisions", setup_endpoints.habit_decisions),
            setup_endpoints.habit_decision_answers(self.read, self.moment),
            journal=form_endpoints.name(self.folder),
        )

    def offer_decisions(self, deciding: HabitDecisions, book: Journal, month: Period) -> None:
        """Offer the decisions of a month."""
        deciding.push_offer(self._offered("decisions", setup_endpoints.habit_decisions, book, month))

    def trials(self) -> TrialsForm:
        """The trials by lot. The notebook makes it once, so that a plan that is typed stays."""
        return TrialsForm(
            trial_endpoints.trials(self.at_first),
            trial_endpoints.trial_answers(self.read, self.moment),
            trial_endpoints.trial_lengths(self.read),
            journal=form_endpoints.name(self.folder),
        )

    def paper(self) -> PaperSheets:
        """The place for photographs of sheets. The notebook makes it once, so that what was read stays."""
        return PaperSheets(
            paper_endpoints.sheets_of(self.at_first),
            paper_endpoints.sheet_answers(self.read, self.moment),
            journal=form_endpoints.name(self.folder),
        )

    def coming(self) -> WeekAheadForm:
        """The week ahead. The notebook makes it once, so that the way to take a put back stays on the page."""
        return WeekAheadForm(self._first("ahead", form_endpoints.ahead), form_endpoints.moves(self.read, self.moment))

    def offer_ahead(self, coming: WeekAheadForm, book: Journal, period: Period) -> bool:
        """Offer the week ahead as of a period. Returns whether the page's week has it."""
        offered = self._offered("ahead", form_endpoints.ahead, book, period)
        coming.push_offer(offered)
        return bool(offered["shown"])

    def _first(self, name: str, make: Callable[[Journal, Period], JsonObject]) -> JsonObject:
        """The offer that a form is made with."""
        period = self.first_shown()
        offer = make(self.at_first, period)
        self._begun[name] = period, offer
        return offer

    def _offered(
        self, name: str, make: Callable[[Journal, Period], JsonObject], book: Journal, period: Period
    ) -> JsonObject:
        """The offer of a form now: once more the one that it was made with, if nothing differs, and then a new one."""
        of, offer = self._begun.pop(name, (None, {}))
        return offer if of == period and book is self.at_first else make(book, period)

    def jumps(self, *more: tuple[str, str]) -> Html:
        """Links to the parts of the page: the review, `more`, and the chapters."""
        return page_chapters.jumps([("review", _("Look back")), *more, ("chapters", _("Chapters"))])

    def head(self, book: Journal, period: Period) -> Html:
        """The top of the page with its heading. Also sets the period of the address and of the review, and
        offers the copies and the earlier states."""
        starts = book.settings.week_starts
        on = page_params.anchor(period, self.query.to_dict(), book.today)
        self.query[self.kind] = period.key
        self.review.push_offer(form_endpoints.review(book, period))
        self.copies.push_offer(version_endpoints.copies(book.files))
        self.earlier.push_offer(version_endpoints.earlier(book.files, [period.key]))
        return join(
            [
                cards.header(self.kind, book.settings.title, today=book.today, on=on),
                cards.problems(book.settled_problems, book.read_only),
                cards.heading(
                    dates.title(period),
                    day_cards.days_logged(coverage.coverage(book.lived_in(period), week_starts=starts)),
                ),
            ]
        )
