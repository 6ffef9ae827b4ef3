"""`duskbook` with protections taken away, to see that each attack is noticed: `--without=NAME ... COMMAND`.

Only `tests.promises.strangers --without NAME` runs it. Every name takes one protection away in this process.
"""

from __future__ import annotations

import os
import sys
import tempfile
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import Any

import journal.pages.page_head
import journal.pages.server as pages_server
from journal.folder import access, folder_walk, locking, plain_file, private_folder
from journal.pages import (
    browser_modules,
    connections,
    entrance,
    entrance_pages,
    exchange,
    guard,
    listeners,
)

Anything = Any


def _set(target: Anything, name: str, value: object) -> None:
    setattr(target, name, value)


def _private_files() -> None:
    """The owner's folder is opened after it was made, see `owner`."""


def _private_redirect() -> None:
    make = tempfile.mkdtemp

    def opened(*given: Any, **named: Any) -> str:
        folder = str(make(*given, **named))
        Path(folder).chmod(0o755)
        os.umask(0)
        return folder

    _set(tempfile, "mkdtemp", opened)
    is_open = os.open

    def readable(path: Any, flags: int, mode: int = 0o777, **named: Any) -> int:
        return is_open(path, flags, mode | 0o044, **named)

    _set(os, "open", readable)


def _token_in_no_list() -> None:
    show = webbrowser.open

    def opened(address: str) -> bool:
        page = Path(address.removeprefix("file://")).read_text().replace("&#45;", "-").replace("&#95;", "_")
        return bool(show(address + "#" + page.partition('name="token" value="')[2].partition('"')[0]))

    _set(webbrowser, "open", opened)


def _token_once() -> None:
    forget = entrance.Entrance._forget
    _set(entrance.Entrance, "spend_token", lambda self, text: text in self._tokens)
    _set(entrance.Entrance, "_forget", lambda self, token: None if token in self._tokens else forget(self, token))


def _long_codes() -> None:
    _set(entrance, "_GROUPS", 1)


def _secret_path() -> None:
    def inside(self: Anything, path: str) -> str | None:
        return "/" + path[1:].partition("/")[2] if path.count("/") > 1 else None

    _set(guard.Guard, "_inside", inside)
    _set(guard.Guard, "_has_cookie", lambda self, scope: True)


def _host() -> None:
    class Every(frozenset[str]):
        def __contains__(self, _: object) -> bool:
            return True

    made = guard.Guard.__init__

    def init(self: Anything, *given: Any, **named: Any) -> None:
        made(self, *given, **named)
        self.hosts = Every()

    _set(guard.Guard, "__init__", init)


def _origin() -> None:
    _set(guard.Guard, "_rejection_status", lambda self, scope, must_name_origin: 0)


def _cookie_limits() -> None:
    def wide(self: Anything) -> tuple[bytes, bytes]:
        return b"set-cookie", f"{self.cookie}={self.entrance.cookie_value}; Path=/".encode()

    _set(exchange.Exchange, "_set_cookie", wide)


def _window_key() -> None:
    _set(guard.Guard, "_is_window_key", lambda self, shown: True)


def _lenient_cookies() -> None:
    def strict(headers: list[str], name: str) -> list[str]:
        pairs = [part.partition("=") for line in headers for part in line.split("; ")]
        if any('"' in value or not key for key, _, value in pairs):
            return []  # as a parser does that refuses the header
        return [value for key, _, value in pairs if key == name][:1]

    _set(guard, "cookie_values", strict)
    _set(connections, "cookie_values", strict)


def _renewal() -> None:
    _set(entrance_pages, "_RENEW", "")


def _second_address() -> None:
    both = listeners._bound

    def one(port: int, closing: Anything) -> list[Any]:
        found = both(port, closing)
        for extra in found[1:]:
            extra.close()
        return found[:1]

    _set(listeners, "_bound", one)


def _silence() -> None:
    replace = _head("if (lost || leaving) return;", "return;")
    replace()


def _head(old: str, new: str) -> Callable[[], None]:
    """The script in the head of each page, with a part of it replaced."""
    made = journal.pages.page_head.page_head

    def head(*given: Any) -> str:
        text = made(*given)
        assert old in text
        return text.replace(old, new)

    return lambda: _set(pages_server, "page_head", head)


def _one_start() -> None:
    init = entrance.Entrance.__init__

    def lasting(self: Anything, *given: Any, **named: Any) -> None:
        init(self, *given, **named)
        self.cookie_value, self.window_key = "c" * 43, "k" * 43

    _set(entrance.Entrance, "__init__", lasting)


def _encryption() -> None:
    texts = dict(browser_modules.module_texts())
    old = "await cipher.seal(JSON.stringify([name, value]))"
    assert old in texts["kept_values.js"]
    texts["kept_values.js"] = texts["kept_values.js"].replace(old, "JSON.stringify([name, value])")
    _set(browser_modules, "module_texts", lambda: texts)


def _bound() -> None:
    _set(connections, "_bound", lambda: 1_000_000)
    _set(connections, "SECONDS", 10_000.0)


def _links() -> None:
    made = private_folder._open_folder
    _set(private_folder, "_open_folder", lambda path, above, follow: made(path, above, follow=True))
    _set(folder_walk, "is_outside", lambda top, path: False)
    for name in ("writing", "write_refusals"):
        module = sys.modules.get(f"journal.folder.{name}")
        if module is not None and hasattr(module, "is_outside"):
            _set(module, "is_outside", lambda top, path: False)


def _irregular() -> None:
    _set(private_folder.PrivateFolder, "_refuse_irregular", lambda self, name, status: None)
    _set(private_folder, "_PLAIN", 0)
    _set(plain_file, "_refuse_irregular", lambda path, status: None)
    _set(plain_file, "_OPEN", os.O_RDONLY)


def _own_lock() -> None:
    _set(locking, "_locked_file", lambda folder, patience, held: False)


def _access() -> None:
    _set(access, "others", lambda folder: ())


PROTECTIONS: dict[str, Callable[[], None]] = {
    "private files": _private_files, "private redirect": _private_redirect, "token in no list": _token_in_no_list,
    "token once": _token_once, "long codes": _long_codes, "secret path": _secret_path, "host": _host, "origin": _origin,
    "cookie limits": _cookie_limits, "window key": _window_key, "lenient cookies": _lenient_cookies,
    "renewal": _renewal, "second address": _second_address, "silence": _silence, "one start": _one_start,
    "encryption": _encryption, "bound": _bound, "links": _links, "irregular": _irregular, "own lock": _own_lock,
    "access": _access,
}  # fmt: skip


def main() -> None:
    arguments = sys.argv[1:]
    while arguments and arguments[0].startswith("--without="):
        PROTECTIONS[arguments.pop(0).removeprefix("--without=")]()
    from journal.cli import duskbook

    duskbook(arguments, prog_name="duskbook")


if __name__ == "__main__":
    main()
