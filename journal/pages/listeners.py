"""The sockets of the server: one port of this machine, at both of its loopback addresses.

Browsers know a name under `localhost` as ::1 and as 127.0.0.1, and try ::1 first. If only 127.0.0.1 were taken, another
program could listen at the same port of ::1, and would get everything: the way in, the cookie, and the storage of the
pages, which are of the same name and port. So a port is free only if it is free at both.
"""

from __future__ import annotations

import contextlib
import errno
import socket
import sys
from collections.abc import Iterator

from journal.errors import UsageError
from journal.language.catalogue import _

_PORTS_TRIED = 64
_TAKEN = frozenset({errno.EADDRINUSE, errno.EACCES})


@contextlib.contextmanager
def listening(port: int) -> Iterator[list[socket.socket]]:
    """Sockets bound to the loopback addresses, at `port` or the first free port after it; 0 is any free port.

    The first is that of 127.0.0.1. The second, of ::1, is missing on a machine without that address.

    Raises UsageError if no port is free or the number is invalid.

    >>> with listening(0) as listeners:
    ...     {listener.getsockname()[0] for listener in listeners} <= {"127.0.0.1", "::1"}
    True
    """
    if not 0 <= port <= 65535:
        raise UsageError(_("there is no port {port}; write one from 1024 to 65535", port=port))
    last = min(port + _PORTS_TRIED, 65535) if port else 0
    candidates = range(port, last + 1) if port else [0] * _PORTS_TRIED
    for candidate in candidates:
        with contextlib.ExitStack() as closing:
            try:
                listeners = _bound(candidate, closing)
            except OSError:
                continue
            yield listeners
        return
    raise UsageError(_("no port from {first} to {last} is free; write another with --port", first=port, last=last))


def _bound(port: int, closing: contextlib.ExitStack) -> list[socket.socket]:
    """Sockets that listen at a port of both addresses. Raises OSError if it is taken at one of them."""
    listeners = [_listener(socket.AF_INET, "127.0.0.1", port, closing)]
    try:
        listeners.append(_listener(socket.AF_INET6, "::1", listeners[0].getsockname()[1], closing))
    except OSError as error:
        if error.errno in _TAKEN:
            raise
    return listeners


def _listener(family: socket.AddressFamily, address: str, port: int, closing: contextlib.ExitStack) -> socket.socket:
    listener = closing.enter_context(socket.socket(family, socket.SOCK_STREAM))
    if sys.platform != "win32":  # on Windows the option would let two servers share a port
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    if family == socket.AF_INET6:
        listener.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
    listener.bind((address, port))
    listener.listen(128)
    return listener
