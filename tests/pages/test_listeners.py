"""The server's port: of this machine only, and nobody else's at either of its addresses."""

from __future__ import annotations

import contextlib
import socket

import pytest

from journal.errors import UsageError
from journal.pages.listeners import listening


def bound(family: socket.AddressFamily, address: str, port: int) -> socket.socket:
    """The socket of another program, which takes a port in any way that the system allows."""
    taker = socket.socket(family)
    taker.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    with contextlib.suppress(AttributeError):
        taker.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
    try:
        taker.bind((address, port))
        taker.listen()
    except OSError:
        taker.close()
        raise
    return taker


def _has_two_addresses() -> bool:
    with listening(0) as listeners:
        return len(listeners) == 2


both = pytest.mark.skipif(not _has_two_addresses(), reason="this machine has no loopback address of IPv6")


def test_it_listens_on_the_loopback_addresses_only() -> None:
    with listening(0) as listeners:
        assert [one.getsockname()[0] for one in listeners] == ["127.0.0.1", "::1"][: len(listeners)]
        assert len({one.getsockname()[1] for one in listeners}) == 1


@both
@pytest.mark.parametrize("address", ["::1", "::"])
def test_nobody_else_can_listen_at_the_other_address(address: str) -> None:
    """A browser tries ::1 first for a name under localhost. Who listened there got the way in and every cookie."""
    with listening(0) as listeners, pytest.raises(OSError, match="in use"):
        bound(socket.AF_INET6, address, listeners[0].getsockname()[1])


@both
@pytest.mark.parametrize("address", ["::1", "::"])
def test_a_port_that_is_taken_at_one_address_is_taken(address: str) -> None:
    with bound(socket.AF_INET6, address, 0) as other:
        taken = other.getsockname()[1]
        with listening(taken) as listeners:
            assert {one.getsockname()[1] for one in listeners}.isdisjoint({taken})


def test_the_next_free_port_replaces_a_taken_one() -> None:
    with listening(0) as first:
        taken = first[0].getsockname()[1]
        with listening(taken) as second:
            assert taken < second[0].getsockname()[1] <= taken + 64


def test_the_sockets_are_closed_afterwards() -> None:
    with listening(0) as listeners:
        port = listeners[0].getsockname()[1]
    assert {one.fileno() for one in listeners} == {-1}
    with socket.socket() as free:
        free.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        free.bind(("127.0.0.1", port))


@pytest.mark.parametrize("port", [-1, 65536])
def test_an_invalid_port_raises(port: int) -> None:
    with pytest.raises(UsageError, match=f"there is no port {port}"), listening(port):
        pass
