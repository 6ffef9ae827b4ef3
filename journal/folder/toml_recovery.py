"""Recovery of a broken journal.toml: what does not parse is left out, with a problem each, and all else applies.

The text is divided into statements (`toml_statements`), and each is parsed alone. What parses alone can still repeat a
key or a table: the whole text is parsed, and the second of the two is left out, at most `MAX_PLACES` times. So the time
grows with the size of the text, whatever is in it.

- A broken header takes its lines along, up to the next valid header. They would otherwise fall into the table above.
- A block of a list, such as a habit, is left out whole if the broken line says when or what it counts. A habit without
  its last day would be due again.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import Any, Literal

import msgspec
import rtoml

from journal.errors import Problem
from journal.folder import broken_places, syntax_problem
from journal.folder.broken_places import BrokenPlace, Recovery
from journal.folder.faults import Key, quoted
from journal.folder.toml_statements import KEY_START, Statement, statements, swallows_header
from journal.language.lazy_text import L_

MAX_PLACES = 50
"""Broken places of one file that are told apart. A file with more has one cause for most of them."""
_AT_MOST, _TABLE_NAME = L_("at most {count} broken places", count=MAX_PLACES), L_("a table's name in brackets")
_DOUBLE = L_("write it with double brackets")


def recover(path: str, text: str) -> Recovery:
    """Return what applies of a text that is no valid TOML. Never raises.

    >>> recovery = recover("journal.toml", 'title = "Spine\\nclock = 12\\n[day\\nturns = "04:00"\\n[mood]\\nlow = 0')
    >>> recovery.values, [(place.first, place.last, place.where) for place in recovery.places]
    ({'clock': 12, 'mood': {'low': 0}}, [(1, 1, ('title',)), (3, 4, ('day',))])
    >>> print(recovery.problems[1])  # doctest: +NORMALIZE_WHITESPACE
    journal.toml:3:5: expected a closing "]", got the end of the line; close the name of the table; line 4 is left out
    until then
    """
    return _Recovery(path, text).run()


class _Loss(msgspec.Struct):
    """Statements that are left out for one reason, by their positions."""

    first: int
    last: int
    problem: Problem
    kind: Literal["key", "body", "versions"]  # "body": with the lines below it, up to the next header
    block: str = ""  # the list of tables whose block falls with it


class _Recovery:
    def __init__(self, path: str, text: str) -> None:
        self.path, self.rows = path, text.split("\n")
        self.statements = statements(text)
        self.firsts = [statement.first for statement in self.statements]
        self.kept = [True] * len(self.statements)
        self.left = list(self.rows)  # with empty rows in place of what is left out
        self.losses: list[_Loss] = []
        self.number = 0  # of all losses, those beyond MAX_PLACES included

    def run(self) -> Recovery:
        self._leave_out_unparsed()
        self._parsed()
        self._leave_out_blocks()
        text, values = self._parsed()
        self.losses.sort(key=lambda loss: loss.first)
        wheres = self._wheres()
        places = tuple(self._place(loss, wheres[loss.first]) for loss in self.losses)
        problems = [place.problem for place in places]
        if self.number > len(places):
            problems.append(problems[-1].but(expected=_AT_MOST, got=self.number, remedy=L_("mend these first")))
        applied = frozenset((s.first, s.last) for s, kept in zip(self.statements, self.kept, strict=True) if kept)
        return Recovery(text, values, places, tuple(problems), applied)

    # --- statements that do not parse -----------------------------------------------------------------------------

    def _leave_out_unparsed(self) -> None:
        header: _Loss | None = None  # a broken header above, whose lines are left out
        before: _Loss | None = None  # the loss of the statement directly before
        versions: _Loss | None = None  # that of two versions put together
        for i in range(len(self.statements)):
            statement = self._as_header(i, before)
            error, is_header = self._error(statement), statement.kind == "header"
            goes_on = before is not None and self._goes_on(statement, before)
            if error is not None or goes_on or (header is not None and not is_header):
                self._drop(i, i + 1)
            if statement.kind == "theirs" and versions is not None:
                versions.last, versions = i, None
            elif header is not None and not is_header:
                header.last = i
            elif before is not None and goes_on:
                before.last = i
            elif error is None:
                before = header = None
            else:
                before = self._lose(
                    i, self._problem(statement, error), "versions" if statement.kind == "ours" else "key"
                )
                versions = before if statement.kind == "ours" else versions
                header = None
                if is_header or (statement.kind == "pair" and swallows_header(self.rows[statement.last])):
                    before.kind, header = "body", before

    def _as_header(self, i: int, before: _Loss | None) -> Statement:
        """Return a statement, as a header if it is a line in brackets that is no part of a broken list above it."""
        statement = self.statements[i]
        if statement.kind == "other" and self.rows[statement.first].lstrip().startswith("["):
            above = self.rows[self.statements[i - 1].last].partition("#")[0].rstrip() if before is not None else ""
            if not above.endswith(("=", ",", "[", "{")):
                self.statements[i] = msgspec.structs.replace(statement, kind="header")
        return self.statements[i]

    def _goes_on(self, statement: Statement, before: _Loss) -> bool:
        """Return whether a line that is no statement belongs to what is broken above it, e.g. an item of a list."""
        if statement.kind != "other" or before.kind == "versions":
            return False
        return self.statements[before.first].kind == "other" or not self.rows[statement.first].lstrip()[:1].isalnum()

    def _error(self, statement: Statement) -> rtoml.TomlParsingError | None:
        """Return what the parser says of a statement alone, or None if it is valid."""
        if statement.kind in ("ours", "theirs"):
            return rtoml.TomlParsingError("versions at line 1 column 1")
        try:
            rtoml.loads(self._source(statement))
        except rtoml.TomlParsingError as error:
            return error
        return None

    def _problem(self, statement: Statement, error: rtoml.TomlParsingError) -> Problem:
        if self.number >= MAX_PLACES:  # counted, not told
            return Problem(path=self.path, expected="", got="", remedy="")
        source = self._source(statement)
        is_last = statement is self.statements[-1]
        problem = syntax_problem.of_statement(self.path, source if is_last else f"{source}\n#", error)
        if statement.kind == "header" and (written := broken_places.as_header(self.rows[statement.first])):
            remedy = L_("write {name}", name=written)
            problem = problem.but(column=1, expected=_TABLE_NAME, got=quoted(source.strip()), remedy=remedy)
        line = statement.first + max(problem.line, 1)
        return problem.but(line=line, column=max(problem.column, 1))

    def _source(self, statement: Statement) -> str:
        return "\n".join(self.rows[statement.first : statement.last + 1]).removesuffix("\r")

    def _lose(self, i: int, problem: Problem, kind: Literal["key", "body", "versions"] = "key") -> _Loss:
        loss = _Loss(i, i, problem, kind)
        self._drop(i, i + 1)
        self.number += 1
        if len(self.losses) < MAX_PLACES:
            self.losses.append(loss)
        return loss

    # --- keys and tables that stand twice -------------------------------------------------------------------------

    def _parsed(self) -> tuple[str, dict[str, Any]]:
        """Return the text of what is kept, and its values. What repeats a key or a table is left out."""
        while True:
            text = "\n".join(self.left)
            try:
                return text, rtoml.loads(text)
            except rtoml.TomlParsingError as error:
                at = max(bisect_right(self.firsts, syntax_problem.line_of_repeated(text, error) - 1) - 1, 0)
                if not self.kept or not self.kept[at]:  # not known to happen: nothing of the text is certain then
                    return "", {}
                if self.number < MAX_PLACES:
                    self._leave_out_repeated(at, syntax_problem.of_repeated(self.path, text, error))
                else:
                    self.number += sum(self.kept[at:])
                    self._drop(at, len(self.kept))

    def _leave_out_repeated(self, at: int, problem: Problem) -> None:
        if self.statements[at].kind == "header":
            names = broken_places.header_names(self.rows[self.statements[at].first])
            if len(names) == 1 and names[0] in broken_places.LISTS and (single := self._not_in_double(names[0])):
                for i in single:
                    self._lose_list(i, names[0])
                return
            self._lose_body(self._lose(at, problem))
            return
        block = self._list_of(header := self._header_above(at))
        if block and header is not None and self._key(at) == self._key(header + 1):
            # A habit begins with its key: a second one is most likely the next habit, whose header is missing.
            loss = self._lose(at, problem.but(remedy=L_("write [[{name}]] above it", name=block)))
            self._lose_body(loss)
        else:
            self._lose(at, problem)

    def _not_in_double(self, name: str) -> list[int]:
        """Return the statements that write a list of tables in another way than with double brackets."""
        found, is_top = [], True
        for i, statement in enumerate(self.statements):
            if statement.kind == "header":
                is_top, line = False, self.rows[statement.first]
                is_other = "[[" not in line and broken_places.header_names(line) == (name,)
            else:
                is_other = is_top and self._key(i) == name
            found += [i] if is_other and self.kept[i] else []
        return found

    def _lose_list(self, i: int, name: str) -> None:
        line = self.rows[self.statements[i].first]
        is_header = self.statements[i].kind == "header"
        loss = self._lose(
            i,
            Problem(
                path=self.path,
                line=self.statements[i].first + 1,
                column=len(line) - len(line.lstrip()) + 1,
                expected=L_("[[{name}]] each time", name=name),
                got=quoted(line.partition("#")[0].strip()),
                remedy=_DOUBLE if is_header else L_("write its parts as [[{name}]] as well", name=name),
            ),
        )
        if is_header:
            self._lose_body(loss)

    def _lose_body(self, loss: _Loss) -> None:
        """Leave out the statements below one as well, up to the next header."""
        loss.kind, loss.last = "body", self._end_of_body(loss.first) - 1
        self._drop(loss.first, loss.last + 1)

    def _end_of_body(self, i: int) -> int:
        following = range(i + 1, len(self.statements))
        return next((j for j in following if self.statements[j].kind == "header"), len(self.statements))

    def _drop(self, start: int, end: int) -> None:
        for i in range(start, end):
            if self.kept[i]:
                self.kept[i] = False
                rows = range(self.statements[i].first, self.statements[i].last + 1)
                self.left[rows.start : rows.stop] = [""] * len(rows)

    # --- blocks that cannot stand without what is broken ----------------------------------------------------------

    def _leave_out_blocks(self) -> None:
        for loss in self.losses:
            is_line = loss.kind != "versions" and self.statements[loss.first].kind != "header"
            header = self._header_above(loss.first) if is_line else None
            block = self._list_of(header)
            if block and header is not None and self.kept[header]:
                end = self._end_of_body(header)
                others = {self._key(i) for i in range(header + 1, end) if self.kept[i]}
                if broken_places.falls(block, self._key(loss.first), others):
                    loss.block = block
                    self._drop(header, end)

    def _header_above(self, i: int) -> int | None:
        return next((j for j in range(i, -1, -1) if self.statements[j].kind == "header"), None)

    def _list_of(self, header: int | None) -> str:
        """Return the list of tables that a header adds to, "" if it adds to none."""
        if header is None:
            return ""
        line = self.rows[self.statements[header].first]
        names = broken_places.header_names(line)
        return names[0] if "[[" in line and len(names) == 1 and names[0] in broken_places.LISTS else ""

    def _key(self, i: int) -> str:
        """Return the key of a statement, of a broken one the letters before its "=", or its first word."""
        line = self.rows[self.statements[i].first] if i < len(self.statements) else ""
        if (key := KEY_START.match(line)) is None and "=" in line:
            return re.sub(r"[^A-Za-z0-9_-]", "", line.partition("=")[0])
        word = re.search(r"[A-Za-z0-9_-]+", key["key"] if key else line)
        return word[0] if word else ""

    def _wheres(self) -> dict[int, Key]:
        """Return the key of each loss by its first statement, as far as it can be told."""
        wheres: dict[int, Key] = {}
        counts: dict[str, int] = {}
        table: Key = ()
        lost = {loss.first: loss for loss in self.losses}
        for i, statement in enumerate(self.statements):
            if statement.kind == "header" and self.kept[i]:
                table = broken_places.header_names(self.rows[statement.first])
                if block := self._list_of(i):
                    counts[block] = counts.get(block, -1) + 1
                    table = (block, counts[block])
            if (loss := lost.get(i)) is None:
                continue
            if statement.kind == "header":
                wheres[i] = broken_places.meant(self.rows[statement.first])
            elif loss.kind != "key":  # also a line that is run together with a header: names of any table
                wheres[i] = ()
            else:
                wheres[i] = (loss.block,) if loss.block else (*table, self._key(i)) if self._key(i) else ()
        return wheres

    def _place(self, loss: _Loss, where: Key) -> BrokenPlace:
        first, last = self.statements[loss.first].first, self.statements[loss.last].last
        below = self.statements[loss.first + 1].first if loss.kind == "body" and loss.last > loss.first else None
        mend = loss.problem.words.remedy
        problem = loss.problem.but(remedy=broken_places.left_out(mend, below, last, loss.block))
        return BrokenPlace(first + 1, last + 1, "\n".join(self.rows[first : last + 1]), problem, where, mend)
