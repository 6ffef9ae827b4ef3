"""What an edit of a day works with: the day's page as its window saw it, the entered values, and the pages to write."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING, Any

import msgspec

from journal.entry import Entry
from journal.evening import carryover
from journal.evening.page_changes import NewTable, PageWrites
from journal.folder import check_day
from journal.folder.page_names import Known
from journal.language.catalogue import N_, _
from journal.saving import base_pages
from journal.saving.base_pages import Pages
from journal.saving.form_values import FormValues, fault_message
from journal.saving.save_pages import ChangeSet

if TYPE_CHECKING:
    from journal import Journal

GONE = N_("This is not on the page any more, or under another name; look at the page, then do it again.")


class EditContext:
    """One edit of the page of `day`. `fields` collects its problems, `steps` the pages to write."""

    def __init__(self, book: Journal, day: dt.date, pages: Pages) -> None:
        self.book, self.day, self.pages = book, day, pages
        self.key = day.isoformat()
        self.fields = FormValues()
        self.steps = PageWrites(day)

    @property
    def known(self) -> Known:
        """The names of journal.toml, with the ranks that the page has already."""
        known = self.book.files.basis.known
        ranks = max((task.rank or 0 for task in self.entry.tasks), default=0)
        return msgspec.structs.replace(known, ranks=max(known.ranks, ranks))

    @cached_property
    def entry(self) -> Entry:
        """The page of the day without the values that have a problem."""
        return base_pages.entry(self.pages.base(self.key), self.book.files.basis.known)[0]

    @property
    def is_logged_by_now(self) -> bool:
        """Whether the page of the day on disk is logged."""
        base = self.book.files.pages.current(self.key)
        return base_pages.entry(base, self.book.files.basis.known)[0].logged

    @cached_property
    def names(self) -> carryover.Naming:
        """The ids of the journal's tasks."""
        return carryover.Naming(carryover.IdsInUse(self.book.tables.tasks, self.book.undated))

    def rows(self, name: str, key: str | None = None) -> dict[str, NewTable]:
        """Return the tasks or appointments of a page by identity. Raises WriteError if the page cannot be read."""
        return self.pages.rows(name, key or self.key)

    def row(self, name: str, ref: object) -> tuple[str, NewTable] | None:
        """Return an entry of the day's page by its identity. A missing one is a problem, and None."""
        row = self.rows(name).get(str(ref))
        if row is None:
            self.fields.report("", _(GONE))
            return None
        return str(ref), row

    def text(self, edit: Mapping[str, Any], name: str, missing: str) -> str:
        """Return a text on one line. A missing one is a problem, told as `missing`, and empty."""
        text = self.fields.text(edit, name) or ""
        if not text and not self.fields.troubles:
            self.fields.report(name, missing)
        return " ".join(text.splitlines()) if text else ""

    def check(self, page: Entry, field: str = "", *, only: int | None = None) -> None:
        """Report the faults of the edited values, as those of a page. `field` names them all, else the last key does.

        With `only`, faults of other entries of a list are left out.
        """
        for fault in check_day.entry(page, self.day, self.known):
            if only is None or (len(fault.where) > 1 and fault.where[1] == only):
                self.fields.report(field or str(fault.where[-1]), fault_message(fault))

    def mark(self, changes: ChangeSet) -> None:
        """Change the page of the day."""
        self.steps.mark(self.key, changes)

    def new_name(self, name: str, key: str | None = None) -> str:
        """Return a name for a new entry of a list that no other entry has."""
        taken, number = self.rows(name, key), 1
        while f"new {number}" in taken:
            number += 1
        return f"new {number}"
