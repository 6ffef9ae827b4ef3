"""What a stranger learns of and does to the processes of another user: lists, memory, signals, sockets."""

from __future__ import annotations

import contextlib
import ctypes
import os
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

_PRIVATE = ("environ", "mem", "maps", "stack", "syscall", "auxv", "io")
_LINKS = ("cwd", "root", "exe")
_PTRACE_ATTACH = 16


class Watch:
    """A thread that reads, again and again, what every user can list, and tries what only the owner may read."""

    def __init__(self, owner: int) -> None:
        self.owner = owner
        self.lines: set[str] = set()
        self.got: set[str] = set()
        self.tries = 0
        self._ending = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def end(self) -> None:
        self._ending.set()
        self._thread.join()

    def _run(self) -> None:
        pages: dict[str, str] = {}
        while not self._ending.wait(0.03):
            for process in Path("/proc").glob("[0-9]*"):
                with contextlib.suppress(OSError):
                    line = (process / "cmdline").read_bytes().replace(b"\0", b" ").decode(errors="replace")
                    self.lines.add(line)
                    if process.stat().st_uid == self.owner and pages.get(process.name) != line:
                        pages[process.name] = line
                        self._look(process)

    def _look(self, process: Path) -> None:
        for name in _PRIVATE:
            self.tries += 1
            with contextlib.suppress(OSError), (process / name).open("rb") as file:
                if file.read(16):
                    self.got.add(f"read {name} of a process")
        for name in _LINKS:
            self.tries += 1
            with contextlib.suppress(OSError):
                (process / name).readlink()
                self.got.add(f"{name} of a process")
        self.tries += 1
        with contextlib.suppress(OSError):
            list((process / "fd").iterdir())
            self.got.add("open files of a process")


_watches: list[Watch] = []


def watch(owner: int) -> None:
    _watches.append(Watch(owner))


def watched(secrets: list[str], marks: list[str]) -> dict[str, object]:
    """End the watch. `marks` must have been seen, else it saw nothing; `secrets` must not."""
    ended = _watches.pop()
    ended.end()
    got = [*ended.got, *(f"secret {i} in a command line" for i, one in enumerate(secrets)
                         if any(one in line for line in ended.lines))]  # fmt: skip
    unseen = [mark for mark in marks if not any(mark in line for line in ended.lines)]
    return {"tries": ended.tries + len(ended.lines), "got": got, "unseen": unseen}


def disturb(processes: list[int]) -> dict[str, object]:
    """End, stop and trace processes, and read their memory."""
    got = []
    trace = ctypes.CDLL(None, use_errno=True).ptrace
    for process in processes:
        for sent in (signal.SIGTERM, signal.SIGSTOP, signal.SIGINT):
            with contextlib.suppress(PermissionError, ProcessLookupError):
                os.kill(process, sent)
                got.append(f"{sent.name} to {process}")
        if trace(_PTRACE_ATTACH, process, 0, 0) == 0:
            got.append(f"traced {process}")
    return {"tries": 4 * len(processes), "got": got}


def listed_ports(owner: int) -> list[int]:
    """The ports at which processes of a user listen, as every user can list them."""
    return sorted({port for port, uid in _listening() if uid == owner})


def _listening() -> Iterator[tuple[int, int]]:
    for table in ("tcp", "tcp6"):
        with contextlib.suppress(OSError):
            for line in Path(f"/proc/net/{table}").read_text().splitlines()[1:]:
                fields = line.split()
                if fields[3] == "0A":
                    yield int(fields[1].rpartition(":")[2], 16), int(fields[7])


def sockets() -> dict[str, object]:
    """Connect to every local socket that is listed with a name."""
    names = {line.split()[7] for line in Path("/proc/net/unix").read_text().splitlines()[1:] if len(line.split()) > 7}
    got = []
    for name in names:
        with contextlib.suppress(OSError), socket.socket(socket.AF_UNIX) as one:
            one.settimeout(1)
            one.connect(name.replace("@", "\0", 1) if name[0] == "@" else name)
            if "chrom" in name.lower() or "duskbook" in name:
                got.append(f"connected to {name}")
    return {"tries": len(names), "got": got}


ATTEMPTS: dict[str, Callable[..., object]] = {
    "watch": watch, "watched": watched, "disturb": disturb, "listed_ports": listed_ports, "sockets": sockets,
}  # fmt: skip
