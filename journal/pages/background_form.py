"""A form with slow requests. A background thread handles them one after the other and reports progress.

    form = BackgroundForm(offer, {"show": show})

`show` gets the parameters of the request and a function `tell` that reports progress. It returns the answer, and the
bytes of a file or None. Results go over the page's own connection, which `journal.pages.guard` protects, so a browser
can neither fetch nor cache them elsewhere.
"""

from __future__ import annotations

import contextvars
import logging
import threading
from collections.abc import Callable, Mapping
from typing import Any

from journal.errors import JournalError
from journal.language.catalogue import N_, _
from journal.pages.forms import Form, JsonObject, Responder, failure

Tell = Callable[[str], None]
Make = Callable[[JsonObject, Tell], tuple[JsonObject, bytes | None]]

_LOG = logging.getLogger(__name__)

FAULT = N_("It could not be made because of a fault in Duskbook. Nothing in the journal was changed.")


class PageLeftError(Exception):
    """The page that sent the request is closed."""


class BackgroundForm(Form):
    """A form whose requests are answered by a background thread, in the order of arrival."""

    def __init__(
        self,
        offer: JsonObject,
        makes: Mapping[str, Make],
        answers: Mapping[str, Responder] | None = None,
        *,
        journal: str = "",
    ) -> None:
        super().__init__(offer, answers or {}, journal=journal)
        self._makes = dict(makes)
        self._queue: list[tuple[Make, Any, JsonObject]] = []
        self._queue_lock = threading.Lock()
        self._session = threading.current_thread()  # marimo runs each page in a thread that ends with it

    def _receive(self, _widget: object, message: Any, _buffers: object) -> None:
        make = self._makes.get(str(message.get("ask"))) if isinstance(message, dict) else None
        if make is None:
            return
        self.send({"id": message.get("id"), "working": ""})
        with self._queue_lock:
            self._queue.append((make, message.get("id"), message.get("of") or {}))
            if len(self._queue) == 1:
                # In the context of the page, which knows where drawings are kept.
                threading.Thread(target=contextvars.copy_context().run, args=(self._work,), daemon=True).start()

    def _work(self) -> None:
        """Answer the queued requests until the queue is empty."""
        more = True
        while more:
            make, number, params = self._queue[0]
            try:
                self._answer(make, number, params)
            except PageLeftError:
                return
            finally:
                with self._queue_lock:
                    del self._queue[0]
                    more = bool(self._queue)

    def _answer(self, make: Make, number: Any, params: JsonObject) -> None:
        def tell(progress: str) -> None:
            if not self._session.is_alive():
                raise PageLeftError
            self.send({"id": number, "working": progress})

        try:
            answer, data = make(params, tell)
        except JournalError as error:
            answer, data = {"failed": failure(error)}, None
        except PageLeftError:
            raise
        except Exception:
            self.send({"id": number, "failed": _(FAULT)})
            _LOG.exception("a request of a page failed")
            return
        tell("")
        self.send({"id": number, **answer}, None if data is None else [data])
