"""The secrets of a journal's server that outlive it, in `.cache/server.json`, readable by their owner only.

    lasting(folder)                          the secrets as kept, or new ones that are kept from now on
    keep_running(folder, secrets, running)   keep them, with the server that runs

They last as long as the file does. The path stays, so that open tabs and the browser's cache are of use after a new
start; the drafts key stays, so that drafts of an earlier evening can be read. What lets a browser in is not among
them: it is of one start (`journal.pages.entrance`). If `.cache` cannot be written, they last as long as the process.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import secrets
from pathlib import Path

import msgspec

from journal.folder import cache

NAME = "server.json"
_SIZE_LIMIT = 4_096  # bytes; the file has about 400
_KEY_BYTES = 32
_PREFIX = re.compile(r"[A-Za-z0-9_-]{22,64}", re.ASCII)  # 22 characters of base64 are 132 bits


class RunningServer(msgspec.Struct, frozen=True):
    """The server that was started last: its port, the path of its journal, the day that replaces today ("" for none),
    and a key of its start. A copied journal has the path of the one it was copied from, whose server is not its own.

    With the key, a command proves to the server that it is run by the same user, and the server that it is this one.
    """

    port: int
    folder: str
    today: str
    control_key: bytes


class ServerSecrets(msgspec.Struct, frozen=True):
    """`prefix` is the first part of every page's path. `drafts_key` encrypts unsaved text in the browser; only the
    server gives it, to a browser that is let in. With `proof_key` a tab recognises a server of this journal.
    """

    prefix: str
    drafts_key: bytes
    proof_key: bytes
    running: RunningServer | None = None

    @property
    def host(self) -> str:
        """The name of this journal's server, which browsers take for this machine (RFC 6761, 6.3).

        No other program knows it. So none can leave anything in the browser for it: no cookie, and no worker that would
        read what is answered later. It tells nothing of the prefix.
        """
        return f"{hashlib.sha256(f'host {self.prefix}'.encode()).hexdigest()[:12]}.localhost"


def lasting(folder: Path) -> ServerSecrets:
    """The secrets of a journal. New ones are kept if that is possible."""
    found = _read(folder)
    if found is not None:
        return found
    made = ServerSecrets(
        prefix=secrets.token_urlsafe(24),
        drafts_key=secrets.token_bytes(_KEY_BYTES),
        proof_key=secrets.token_bytes(_KEY_BYTES),
    )
    _keep(folder, made)
    return made


def keep_running(folder: Path, kept: ServerSecrets, running: RunningServer) -> bool:
    """Keep the secrets with the server that runs from now on. Return whether that succeeded."""
    return _keep(folder, msgspec.structs.replace(kept, running=running))


def _keep(folder: Path, kept: ServerSecrets) -> bool:
    return cache.put(folder, NAME, [msgspec.json.encode(kept)])


def _read(folder: Path) -> ServerSecrets | None:
    """The secrets as kept, or None if there are none, or if others could have read or written them."""
    content = _private_content(folder)
    with contextlib.suppress(msgspec.DecodeError, UnicodeDecodeError):
        found = msgspec.json.decode(content, type=ServerSecrets)
        keys = (found.drafts_key, found.proof_key)
        if _PREFIX.fullmatch(found.prefix) and all(len(key) == _KEY_BYTES for key in keys):
            return found
    return None


def _private_content(folder: Path) -> bytes:
    """The content of the file if it is small, and only this user could read and write it; else nothing."""
    try:
        with cache.opened(folder) as private:
            handle = private.open_file(NAME, os.O_RDONLY)
    except OSError:
        return b""
    try:
        status = os.fstat(handle)
        is_ours = not hasattr(os, "geteuid") or (status.st_uid == os.geteuid() and not status.st_mode & 0o077)
        is_small = status.st_nlink == 1 and status.st_size <= _SIZE_LIMIT
        return os.read(handle, _SIZE_LIMIT) if is_ours and is_small else b""
    except OSError:
        return b""
    finally:
        os.close(handle)
