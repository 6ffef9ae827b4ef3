"""The entered settings as changes of journal.toml. A control that shows what the file says changes nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from journal.errors import JournalError
from journal.folder.identity import identities, is_same
from journal.folder.new_journal_text import key_for
from journal.folder.settings_order import ORDERS_WITHIN
from journal.folder.three_way_merge import REMOVE
from journal.language.catalogue import _
from journal.saving.form_values import FormValues
from journal.saving.save_pages import ChangeSet
from journal.setup import field_values, file_values, row_schedules, settings_form
from journal.setup.setting_fields import SINGLE_FIELDS
from journal.setup.setting_lists import ROW_KINDS, RowKind
from journal.setup.setting_sections import STRIPS

Hanging = Mapping[str, Mapping[str, str]]
"""What hangs on the keys of a list, by list and key: a sentence, or empty."""


class EnteredSettings:
    """Reads what was entered, against the values that the form has shown. Problems go to `form`.

    Fields of problems are named "day.turns", "habits.0.from" with the position in the form, and "hours.usual".
    """

    def __init__(self, raw: Mapping[str, Any], values: Mapping[str, Any], hanging: Hanging, form: FormValues) -> None:
        self.values, self.hanging, self.form = values, hanging, form
        self._raw = raw

    def changes(self) -> ChangeSet:
        """The changes of journal.toml."""
        changed = self._singles()
        lists = _table(self._raw.get("lists"))
        for name, kind in ROW_KINDS.items():
            if name in lists:
                changed |= self._list(name, kind, lists[name])
        return changed | self._strips()

    def _singles(self) -> ChangeSet:
        entered, shown = _table(self._raw.get("singles")), settings_form.singles(self.values)
        changed: ChangeSet = {}
        for path, field in SINGLE_FIELDS.items():
            name = ".".join(path)
            if name in entered and entered[name] != shown[name]:
                before = file_values.single(self.values, path)
                changed[path] = field_values.read(self.form, field, entered[name], name, before=before)
        for table in {path[0] for path in changed if len(path) == 2 and path[0] not in self.values}:
            # What applies to a file without the table need not be what applies to a table without the key.
            for path in SINGLE_FIELDS:
                if path[0] == table and not file_values.is_default_within(path):
                    changed.setdefault(path, file_values.single(self.values, path))
        return changed

    def _list(self, name: str, kind: RowKind, sent: object) -> ChangeSet:
        try:
            tables = file_values.tables_of(self.values, name)
        except JournalError:
            return {}  # the form has said that it cannot be changed here
        by_ref = dict(zip(identities(name, tables), tables, strict=True))
        rows = list(self.form.tables(sent, name))
        if kind.made_on:
            self._refuse_change(name, kind, by_ref, [row for _place, row in rows])
            return {}
        taken = {str(by_ref[row["ref"]].get("key")) for _place, row in rows if row.get("ref") in by_ref}
        entered = []
        for i, row in rows:
            table = by_ref.get(str(row.get("ref")))
            entered.append(self._row(kind, row, table, f"{name}.{i}", taken))
        self._refuse_loss(name, tables, entered)
        if is_same(entered, tables):
            return {}
        return {(name,): entered or REMOVE}

    def _refuse_change(
        self, name: str, kind: RowKind, by_ref: Mapping[str, Mapping[str, Any]], rows: Sequence[Mapping[str, Any]]
    ) -> None:
        """Report a row that is new, gone, moved or changed in a list that another page makes."""
        shown = {ref: settings_form.row(kind, table) for ref, table in by_ref.items()}
        refs = [str(row.get("ref")) for row in rows]
        entered = {
            ref: shown.get(ref, {}) | dict(_table(row.get("values"))) for ref, row in zip(refs, rows, strict=True)
        }
        if list(entered.items()) != list(shown.items()) or len(rows) != len(shown):
            self.form.report(name, _("Nothing was changed here. {reason}", reason=_(kind.about)))

    def _row(
        self, kind: RowKind, row: Mapping[str, Any], table: Mapping[str, Any] | None, at: str, taken: set[str]
    ) -> dict[str, Any]:
        """Return a table as entered. Keys that have no control stay."""
        before = dict(table or {})
        shown, values = settings_form.row(kind, before), _table(row.get("values"))
        changed: dict[str, Any] = {}
        for field in kind.fields:
            entered = values.get(field.key, shown[field.key])
            if entered != shown[field.key] or (table is None and field.required):
                value = field_values.read(self.form, field, entered, f"{at}.{field.key}", before=before.get(field.key))
                changed[field.key] = REMOVE if field.control == "lines" and value == [] else value
        if kind.has_schedule and row.get("schedule") is not None:
            changed |= row_schedules.entered(self.form, row["schedule"], f"{at}.schedule", before, changed.get("from"))
        name = values.get(kind.name_key)
        if kind.key_word and table is None and not changed.get("key") and isinstance(name, str) and name.strip():
            changed["key"] = key_for(name, taken, kind.key_word)
            taken.add(changed["key"])
        elif kind.key_word and "key" in changed and not changed["key"]:
            self.form.report(f"{at}.key", _("The key is empty; write one, as the pages name it."))
        result = {key: value for key, value in (before | changed).items() if value is not REMOVE}
        return result if table is not None else _ordered(result, kind)

    def _refuse_loss(
        self, name: str, tables: Sequence[Mapping[str, Any]], entered: Sequence[Mapping[str, Any]]
    ) -> None:
        """Report a key that pages use and that would be gone, unless the form has asked, and a habit of a trial."""
        left = {str(table.get("key")) for table in entered}
        if name == "habits" and (gone := {str(table.get("key")) for table in tables} - left):
            self._refuse_loss_of_trials(gone)
        agreed = _table(self._raw.get("removed")).get(name)
        for key in dict.fromkeys(str(table.get("key")) for table in tables):
            said = self.hanging.get(name, {}).get(key, "")
            if said and key not in left and not (isinstance(agreed, list) and key in agreed):
                loss = _('"{key}" would be gone, and {said}; put it back, or take it out again.', key=key, said=said)
                self.form.report(name, loss)

    def _refuse_loss_of_trials(self, gone: set[str]) -> None:
        """Report a habit that would be gone and is part of a trial, which would not be drawn without it."""
        for trial in file_values.tables_of(self.values, "trials"):
            for key in dict.fromkeys((trial.get("habit"), trial.get("outcome"))):
                if key in gone:
                    asked = trial.get("question", trial.get("key"))
                    stays = _(
                        '"{key}" stays: the trial “{question}” needs it. Give it a last day instead.',
                        key=key,
                        question=asked,
                    )
                    self.form.report("habits", stays)

    def _strips(self) -> ChangeSet:
        sent, shown = _table(self._raw.get("strips")), file_values.strips_of(self.values)
        changed: ChangeSet = {}
        for day in STRIPS:
            if day not in sent:
                continue
            if sent[day] is None:
                changed |= {("hours", day): REMOVE} if day in shown else {}
                continue
            strip = self.form.strip(sent, day, "hours") or {}
            spans = {str(key): list(texts) for key, texts in _table(sent[day]).items() if strip.get(str(key))}
            if spans != shown.get(day):
                order = [*shown.get(day, {}), *spans]
                changed[("hours", day)] = {key: spans[key] for key in dict.fromkeys(order) if key in spans}
        return changed


def _ordered(table: dict[str, Any], kind: RowKind) -> dict[str, Any]:
    """Return a new table in the order of the file that `duskbook start` writes."""
    order = next(ORDERS_WITHIN[name] for name, one in ROW_KINDS.items() if one is kind)
    return {key: table[key] for key in order if key in table}


def _table(value: object) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}
