"""What a stranger does to files that are not its own: every call that reads, changes or removes one."""

# The calls of the system as they are.
# ruff: noqa: PTH101, PTH102, PTH104, PTH106, PTH108, PTH112, PTH123, PTH211

from __future__ import annotations

import contextlib
import fcntl
import os
import stat
from collections.abc import Callable
from pathlib import Path

_MOST = 4_000_000  # bytes that are read of a file


def _read(path: str) -> None:
    handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    try:
        os.read(handle, 1)
    finally:
        os.close(handle)


def _lock(path: str) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    finally:
        os.close(handle)


_CALLS: dict[str, Callable[[str], object]] = {
    "read": _read,
    "write": lambda path: os.close(os.open(path, os.O_WRONLY | os.O_NONBLOCK)),
    "list": os.listdir,
    "enter": os.chdir,
    "lock": _lock,
    "change mode": lambda path: os.chmod(path, 0o777),
    "give away": lambda path: os.chown(path, os.getuid(), -1),
    "set time": lambda path: os.utime(path, (0, 0)),
    "tag": lambda path: os.setxattr(path, "user.stranger", b"1"),
    "second name": lambda path: os.link(path, f"/proc/self/cwd/second-{os.getpid()}"),
    "put a link": lambda path: os.symlink("/dev/zero", f"{path}/stranger-link"),
    "put a pipe": lambda path: os.mkfifo(f"{path}/stranger-pipe"),
    "put a folder": lambda path: os.mkdir(f"{path}/stranger-folder"),
    "rename": lambda path: os.rename(path, f"{path}.stranger"),
    "remove": lambda path: os.unlink(path) if not os.path.isdir(path) else os.rmdir(path),
    "cut": lambda path: os.truncate(path, 0),
}


def files(paths: list[str], but: list[str]) -> dict[str, object]:
    """Try every call on every path. `but` are calls that may succeed."""
    home = Path.cwd()
    got = []
    for path in paths:
        for name, call in _CALLS.items():
            if name in but:
                continue
            with contextlib.suppress(OSError):
                call(path)
                got.append(f"{name} {path}")
            os.chdir(home)
    return {"tries": len(paths) * (len(_CALLS) - len(but)), "got": got}


def everywhere(tops: list[str], owner: int, secrets: list[str]) -> dict[str, object]:
    """Read every file of another user that is found below some folders, and look for secrets in it."""
    got, tries = [], 0
    for top in tops:
        for folder, _, names in os.walk(top):
            for name in names:
                path = f"{folder}/{name}"
                with contextlib.suppress(OSError):
                    status = os.lstat(path)
                    if status.st_uid != owner or not stat.S_ISREG(status.st_mode):
                        continue
                    tries += 1
                    with open(path, "rb") as file:
                        content = file.read(_MOST)
                    got += [f"{path} has secret {i}" for i, one in enumerate(secrets) if one.encode() in content]
    return {"tries": tries, "got": got}


_held: list[int] = []


def hold(path: str) -> dict[str, object]:
    """Lock a file or folder until `release`."""
    try:
        handle = os.open(path, os.O_RDONLY)
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        return {"tries": 1, "got": [], "refused": str(error)}
    _held.append(handle)
    return {"tries": 1, "got": [f"locked {path}"]}


def release() -> None:
    while _held:
        os.close(_held.pop())


def place(made: dict[str, list[str]]) -> list[str]:
    """Put things into folders, by path: ["link", target], ["pipe"], ["file", text, mode], ["folder", mode],
    ["sparse", size]. Gives what was not possible.
    """
    failed = []
    for path, (kind, *rest) in made.items():
        try:
            _place(path, kind, rest)
        except OSError as error:
            failed.append(f"{kind} {path}: {error.strerror}")
    return failed


def _place(path: str, kind: str, rest: list[str]) -> None:
    os.umask(0)
    if kind == "link":
        os.symlink(rest[0], path)
    elif kind == "hard link":
        os.link(rest[0], path)
    elif kind == "pipe":
        os.mkfifo(path, 0o666)
    elif kind == "folder":
        os.mkdir(path, int(rest[0], 8))
    elif kind == "sparse":
        with open(path, "xb") as file:
            file.truncate(int(rest[0]))
    elif kind == "rename":
        os.rename(rest[0], path)
    else:
        with open(path, "x", encoding="utf-8") as text_file:
            text_file.write(rest[0])
        os.chmod(path, int(rest[1], 8))


ATTEMPTS: dict[str, Callable[..., object]] = {
    "files": files, "everywhere": everywhere, "hold": hold, "release": release, "place": place,
}  # fmt: skip
