"""Signals of the system for changed files, where it has them: on Linux, for folders of local file systems (inotify).

    signals = folder_signals.begin(top)     # None where the system has none
    signals.listen("2025")                  # from now on, also for this folder below
    signals.changed()                       # the folders with a changed file since, None if it may be any
    signals.wait(60)                        # until a file changes, or `wake` is called

The system puts a signal into the queue before the writing program goes on. So a folder without one is as it was when
its names were read after `listen`, except for files that have a second name or are reached by a link. Another machine's
changes to a shared folder have no signal, so such a folder has none at all here.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import select
import struct
import sys
from typing import Any

_LOCAL = {
    0xEF53: "ext2, ext3, ext4", 0x58465342: "xfs", 0x9123683E: "btrfs", 0xF2F52010: "f2fs", 0x2FC12FC1: "zfs",
    0xCA451A4E: "bcachefs", 0x01021994: "tmpfs", 0x794C7630: "overlayfs",
}  # fmt: skip
"""File systems that no other machine writes to, by their numbers in statfs(2)."""

_FILE_CHANGED = 0x2 | 0x4 | 0x8 | 0x40 | 0x80 | 0x100 | 0x200  # modified, attributes, closed, moved, made, deleted
_FOLDER_GONE = 0x400 | 0x800  # deleted, moved
_ONLY_FOLDER, _NO_LINK = 0x1000000, 0x2000000
_LOST = 0x2000 | 0x4000 | 0x8000  # unmounted, queue overflowed, no longer listened to
_IS_FOLDER = 0x40000000
_EVENT = struct.Struct("iIII")
_INIT_FLAGS = os.O_NONBLOCK | getattr(os, "O_CLOEXEC", 0) if sys.platform == "linux" else 0
_READ_BYTES = 65_536


class FolderSignals:
    """The signals for a folder. All methods but `wait` and `wake` are called by one thread at a time."""

    def __init__(self, top: str, libc: Any) -> None:
        self.top = top
        self._libc = libc
        self._handles = [_new_queue(libc)]
        self._handles += os.pipe2(_INIT_FLAGS)
        self._queue, self._woken, self._waker = self._handles
        self._below: dict[int, str] = {}

    def renew(self) -> None:
        """Listen to nothing from now on, with an empty queue."""
        for number in self._below:
            self._libc.inotify_rm_watch(self._queue, number)
        self._below.clear()
        with contextlib.suppress(BlockingIOError):
            while os.read(self._queue, _READ_BYTES):
                pass

    def listen(self, below: str) -> bool:
        """Listen to a folder, "" for the top. False if that is impossible."""
        mask = _FILE_CHANGED | _FOLDER_GONE | _ONLY_FOLDER | (_NO_LINK if below else 0)
        path = os.fsencode(f"{self.top}/{below}" if below else self.top)
        number = self._libc.inotify_add_watch(self._queue, path, ctypes.c_uint32(mask))
        if number < 0:
            return False
        known = self._below.setdefault(number, below)
        return known == below

    def changed(self) -> set[str] | None:
        """Return the folders listened to in which a file changed since the last call, None if all have to be read."""
        found: set[str] = set()
        is_certain = True
        with contextlib.suppress(BlockingIOError):
            while data := os.read(self._queue, _READ_BYTES):
                self.wake()  # who waits shall look too, although the queue is empty now
                is_certain &= self._take(data, found)
        return found if is_certain else None

    def _take(self, data: bytes, found: set[str]) -> bool:
        """Add the folders of some events. False if they tell too little, or of a folder itself."""
        at = 0
        while at < len(data):
            number, mask, _, length = _EVENT.unpack_from(data, at)
            at += _EVENT.size + length
            name = data[at - length : at].rstrip(b"\0")
            if mask & (_LOST | _FOLDER_GONE) or number not in self._below:
                return False
            if mask & _IS_FOLDER or not name:
                if not name.startswith(b"."):  # of hidden ones nothing is read
                    return False
            else:
                found.add(self._below[number])
        return True

    def wait(self, seconds: float) -> None:
        """Wait until a file changes, `wake` is called, or the time is over."""
        polled = select.poll()
        for handle in (self._queue, self._woken):
            polled.register(handle, select.POLLIN)
        polled.poll(seconds * 1000)
        with contextlib.suppress(BlockingIOError):
            os.read(self._woken, _READ_BYTES)

    def wake(self) -> None:
        """End a `wait`, or the next one."""
        with contextlib.suppress(OSError):  # a full pipe wakes as well
            os.write(self._waker, b"\0")

    def __del__(self) -> None:
        for handle in self._handles:
            os.close(handle)


def _new_queue(libc: Any) -> int:
    queue = int(libc.inotify_init1(_INIT_FLAGS))
    if queue < 0:
        raise OSError(ctypes.get_errno(), "no signals of files")
    return queue


def begin(top: str) -> FolderSignals | None:
    """Return the signals for a folder, None where the system has none, or not all of them."""
    if sys.platform != "linux":
        return None
    try:
        libc = ctypes.CDLL(None, use_errno=True)
        return FolderSignals(top, libc) if _is_local(libc, top) else None
    except (OSError, AttributeError):
        return None


def _is_local(libc: Any, top: str) -> bool:
    """Return whether a folder is on a file system of this machine alone."""
    status = ctypes.create_string_buffer(256)  # more than struct statfs, which begins with the number, a long
    return libc.statfs(os.fsencode(top), status) == 0 and ctypes.c_long.from_buffer(status).value & 0xFFFFFFFF in _LOCAL
