"""A form that has things made which take a while: each on a thread beside the page, one after the other, saying what
it does.

    form = Making(offer, {"show": show})

`show` gets what the form sends, and `tell`, which it tells what it is about to do; it returns what the form is
answered, and the bytes of a file or None. Nothing of it lies anywhere that a browser could fetch it from or would keep
it: it goes over the page's own connection, whose door is `journal.pages.guard`.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Mapping
from typing import Any

from journal.errors import JournalError
from journal.pages.forms import Form, Plain

Tell = Callable[[str], None]
Make = Callable[[Plain, Tell], tuple[Plain, bytes | None]]

_LOG = logging.getLogger(__name__)

FAULT = "It could not be made. That is a fault of Duskbook's own, and nothing in the journal was touched."


class LeftError(Exception):
    """The page that asked is gone."""


class Making(Form):
    """A form whose questions are answered from a thread, in the order in which they come."""

    def __init__(self, offer: Plain, makes: Mapping[str, Make]) -> None:
        super().__init__(offer, {})
        self._makes = dict(makes)
        self._waiting: list[tuple[Make, Any, Plain]] = []
        self._changing = threading.Lock()
        self._session = threading.current_thread()  # marimo runs each page in one, which ends with it

    def _heard(self, _widget: object, message: Any, _buffers: object) -> None:
        make = self._makes.get(str(message.get("ask"))) if isinstance(message, dict) else None
        if make is None:
            return
        self.send({"id": message.get("id"), "working": ""})
        with self._changing:
            self._waiting.append((make, message.get("id"), message.get("of") or {}))
            if len(self._waiting) == 1:
                threading.Thread(target=self._work, daemon=True).start()

    def _work(self) -> None:
        """Answer what waits, until nothing does."""
        more = True
        while more:
            make, number, of = self._waiting[0]
            try:
                self._answer(make, number, of)
            except LeftError:
                return
            finally:
                with self._changing:
                    del self._waiting[0]
                    more = bool(self._waiting)

    def _answer(self, make: Make, number: Any, of: Plain) -> None:
        def tell(doing: str) -> None:
            if not self._session.is_alive():
                raise LeftError
            self.send({"id": number, "working": doing})

        try:
            answer, data = make(of, tell)
        except JournalError as error:
            answer, data = {"failed": str(error)}, None
        except LeftError:
            raise
        except Exception:
            self.send({"id": number, "failed": FAULT})
            _LOG.exception("what was asked for on a page could not be made")
            return
        tell("")
        self.send({"id": number, **answer}, None if data is None else [data])
