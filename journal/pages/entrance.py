"""Who is let in to a running server: one-time tokens and codes, and the session that they are exchanged for.

A token comes to the browser in a file (`journal.pages.redirect_file`), a code is typed. Each is spent at its first use.
The session consists of a cookie and a window key. The cookie is sent by the browser, also to a program at another port
that knows the path of the pages. The window key lies in the browser's storage of this very address and port. What is
private is given for both together, so neither a program at another port nor a stale copy of one of them opens
anything. All of it is of one start of the server: what a program learns that takes the port afterwards is of no use.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from collections.abc import Callable
from pathlib import Path

from journal.language.catalogue import _
from journal.pages.redirect_file import SECONDS, RedirectFile

ENTER = "/enter"
"""The path of the exchange. It is outside of the secret path."""

AGAIN = "/again"
"""The path at which a command of the same user asks for another way in."""

PROOF = "/proof"
"""The path at which a server proves that it is of a journal."""

# No two of its 32 characters look alike. Twelve of them are 60 bits: a year of ten thousand guesses a second succeeds
# once in three million. So nobody needs to wait after a wrong code, and no stranger who guesses keeps the owner out.
_ALPHABET = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
_GROUPS, _GROUP = 3, 4
_WRONG_TOLD = 5
_TOKENS_KEPT = 8


class Entrance:
    """The ways in to the server at a port, by the name of its host.

    `first` is the page that a command asked for, for a browser that asks for none. `say` tells the user in the terminal
    of wrong codes.
    """

    def __init__(
        self,
        port: int,
        host: str = "127.0.0.1",
        *,
        first: str = "",
        say: Callable[[str], None] = lambda text: None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.port = port
        self.host = host
        self.control_key = secrets.token_bytes(32)
        self.cookie_value = secrets.token_urlsafe(32)
        self.window_key = secrets.token_urlsafe(32)
        self.start = secrets.token_hex(8)  # names this start; no secret
        self.code = new_code(secrets.token_bytes(16))
        self.first = first
        self._say = say
        self._clock = clock
        self._tokens: dict[str, tuple[float, RedirectFile | None]] = {}  # with the time of expiry and the file
        self._wrong = 0

    def new_token(self) -> str:
        """A one-time token."""
        while len(self._tokens) >= _TOKENS_KEPT:
            self._forget(next(iter(self._tokens)))
        token = secrets.token_urlsafe(32)
        self._tokens[token] = (self._clock() + SECONDS, None)
        return token

    def write_redirect(self, to: str) -> Path | None:
        """Write a file that takes the browser to the page `to`. None if no private file can be written."""
        token = self.new_token()
        try:
            file = RedirectFile(f"http://{self.host}:{self.port}{ENTER}", token, to)
        except OSError:
            self._forget(token)
            return None
        self._tokens[token] = (self._tokens[token][0], file)
        return file.path

    def spend_token(self, text: str) -> bool:
        """Whether a text is a token that was not spent yet. It is spent then."""
        given = [token for token in self._tokens if equal(text, token)]
        if not given:
            return False
        in_time = self._clock() < self._tokens[given[0]][0]
        self._forget(given[0])
        return in_time

    def spend_code(self, text: str) -> bool:
        """Whether a text is the code, typed in any way. It is spent then. Several wrong ones are told once."""
        typed = "".join(character for character in text.upper() if character.isalnum())
        if self.code and equal(typed, self.code.replace("-", "")):
            self.code = ""
            return True
        self._wrong += 1
        if self._wrong == _WRONG_TOLD:
            self._say(
                _(
                    "{count} wrong codes were typed. If that was not you, another program is guessing.",
                    count=_WRONG_TOLD,
                )
            )
        return False

    def grant(self, nonce: str, to: str, proof: str) -> str | None:
        """Answer a command's request for another way in, or None if it is not of this user.

        Gives the path of a redirect file, with a proof that this server wrote it. The code is then the one that the
        command prints.
        """
        if not equal(proof, prove(self.control_key, "ask", self.port, nonce, to)):
            return None
        self.first = to
        path = str(self.write_redirect(to) or "")
        self.code = granted_code(self.control_key, self.port, nonce)
        return f"{prove(self.control_key, 'granted', self.port, nonce, path)} {path}"

    def close(self) -> None:
        """Remove the files of tokens that were not spent."""
        for token in list(self._tokens):
            self._forget(token)

    def _forget(self, token: str) -> None:
        _expiry, file = self._tokens.pop(token)
        if file is not None:
            file.remove()


def new_code(random: bytes) -> str:
    """Twelve characters in three groups, from at least eight random bytes.

    >>> new_code(bytes(16)), new_code(bytes(range(16)))
    ('2222-2222-2222', 'HJ5U-28E3-CA4J')
    """
    number = int.from_bytes(random, "big")
    characters = "".join(_ALPHABET[number >> 5 * place & 31] for place in range(_GROUPS * _GROUP))
    return "-".join(characters[at : at + _GROUP] for at in range(0, len(characters), _GROUP))


def granted_code(control_key: bytes, port: int, nonce: str) -> str:
    """The code that a server sets and a command prints. Both make it from the nonce, so it is never sent."""
    return new_code(bytes.fromhex(prove(control_key, "code", port, nonce)))


def prove(key: bytes, *what: object) -> str:
    """A proof that its maker has the key: HMAC-SHA256 of the parts, in hexadecimal. Parts are told apart by NUL.

    The port is among the parts, so a program at another port cannot pass a proof on.
    """
    return hmac.new(key, "\0".join(map(str, what)).encode(), hashlib.sha256).hexdigest()


def equal(given: str, expected: str) -> bool:
    """Whether two texts are equal, in constant time."""
    return hmac.compare_digest(given.encode(errors="replace"), expected.encode())
