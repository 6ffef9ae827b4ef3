"""The cells of a marimo notebook, run once from their file as plain Python, without marimo's runtime.

    cells = NotebookCells.of_file(Path("notebooks/month.py"))
    outputs = cells.run()

The file of a notebook is Python: the body of `app.setup`, then a function for each cell, whose parameters are the names
that it reads and whose result are those that it binds. So a cell runs when its parameters are there. What it shows is
the expression in front of its return.
"""

from __future__ import annotations

import ast
import builtins
from collections.abc import Callable, Mapping
from pathlib import Path
from types import CodeType
from typing import Any, NamedTuple

_SETUP, _CELL = "app.setup", "app.cell"
_DEFINITIONS = ("app.function", "app.class_definition")


class _NotebookCell(NamedTuple):
    """A cell: its function in the namespace of a run, and the names that it reads."""

    function: str
    reads: tuple[str, ...]


class NotebookCells:
    """The cells of a notebook, compiled once. Each run has a namespace of its own, so several may be under way."""

    def __init__(self, text: str, filename: str) -> None:
        self.filename = filename
        self._cells: list[_NotebookCell] = []
        body = [part for statement in ast.parse(text, filename).body for part in self._kept(statement)]
        module = ast.fix_missing_locations(ast.Module(body, type_ignores=[]))
        self._code: CodeType = compile(module, filename, "exec")

    @classmethod
    def of_file(cls, path: Path) -> NotebookCells:
        """The cells of a notebook's file. Raises OSError and SyntaxError."""
        return cls(path.read_text(encoding="utf-8"), str(path))

    def run(self, marimo: object = None) -> list[object]:
        """Run all cells, each after those that it reads from. Returns what they show, in their order in the file.

        With `marimo`, the notebook gets that for `import marimo`.

        >>> first = "@app.cell\\ndef _(b):\\n    b + 1\\n    return\\n\\n"
        >>> second = "@app.cell\\ndef _():\\n    b = 1\\n    return (b,)\\n"
        >>> NotebookCells(first + second, "sum.py").run()
        [2, None]

        Raises NameError if a cell reads a name that no cell binds, and whatever a cell raises.
        """
        module: dict[str, Any] = {"__name__": "notebook", "__file__": self.filename}
        if marimo is not None:
            module["__builtins__"] = {**vars(builtins), "__import__": _importing(marimo)}
        exec(self._code, module)
        bound: dict[str, object] = {}
        shown: dict[int, object] = {}
        waiting = dict(enumerate(self._cells))
        while waiting:
            ready = [place for place, cell in waiting.items() if bound.keys() >= set(cell.reads)]
            if not ready:
                missing = {name for cell in waiting.values() for name in cell.reads} - bound.keys()
                raise NameError(f"{self.filename}: no cell binds {', '.join(sorted(missing))} before it is read")
            for place in ready:
                cell = waiting.pop(place)
                results: Mapping[str, object]
                shown[place], results = module[cell.function](*(bound[name] for name in cell.reads))
                bound |= results
        return [shown[place] for place in sorted(shown)]

    def _kept(self, statement: ast.stmt) -> list[ast.stmt]:
        """What a run needs of a statement of the file: not the app itself, nor how it is started."""
        if isinstance(statement, ast.With) and ast.unparse(statement.items[0].context_expr).startswith(_SETUP):
            return statement.body
        if not isinstance(statement, ast.FunctionDef | ast.ClassDef):
            return [statement] if isinstance(statement, ast.AsyncFunctionDef) else []
        decorator = ast.unparse(statement.decorator_list[0]).partition("(")[0] if statement.decorator_list else ""
        if decorator in _DEFINITIONS:
            statement.decorator_list = statement.decorator_list[1:]
        elif decorator == _CELL and isinstance(statement, ast.FunctionDef):
            self._take_cell(statement)
        return [statement]

    def _take_cell(self, function: ast.FunctionDef) -> None:
        """Rename the function of a cell, and let it return what it shows and a dict of what it binds."""
        function.name = f"cell_{len(self._cells)}"
        function.decorator_list = []
        self._cells.append(_NotebookCell(function.name, tuple(one.arg for one in function.args.args)))
        shown: ast.expr = ast.Constant(None)
        names: list[ast.expr] = []
        if isinstance(end := function.body[-1], ast.Return):
            names = end.value.elts if isinstance(end.value, ast.Tuple) else [end.value] if end.value else []
            function.body.pop()
        if function.body and isinstance(last := function.body[-1], ast.Expr):
            shown = last.value
            function.body.pop()
        binds = ast.Dict([ast.Constant(ast.unparse(name)) for name in names], list(names))
        function.body.append(ast.Return(ast.Tuple([shown, binds], ast.Load())))


def _importing(marimo: object) -> Callable[..., object]:
    """What `import` calls: it gives `marimo` for marimo itself, and imports all else."""

    def load(name: str, given: Any = None, local: Any = None, names: Any = (), level: int = 0) -> object:
        return marimo if name == "marimo" and not names else __import__(name, given, local, names, level)

    return load
