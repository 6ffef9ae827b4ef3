"""Two users of the machine, neither of them the superuser: the owner of a journal and a stranger.

Processes are started with the user's id, its own group and the group that both are in. That takes the superuser, or a
user namespace in which this process is it and which has more ids than one.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

PROJECT = Path(__file__).parents[3]
_AGAIN = "STRANGERS_IN_NAMESPACE"
_NAMESPACE = ("unshare", "--user", "--map-root-user", "--map-auto", "--")


class User(NamedTuple):
    """`shared` is the group of both."""

    uid: int
    shared: int
    home: Path
    python: str

    def environment(self, more: Mapping[str, str] | None = None) -> dict[str, str]:
        """What a process of this user has: nothing of the user that started it."""
        found = [str(PROJECT), *(entry for entry in sys.path if entry.endswith("site-packages"))]
        return {"PATH": "/usr/local/bin:/usr/bin:/bin", "HOME": str(self.home), "LANG": "C.UTF-8",
                "PYTHONPATH": os.pathsep.join(found), "PYTHONUNBUFFERED": "1", "PYTHONDONTWRITEBYTECODE": "1",
                "TZ": "UTC", **(more or {})}  # fmt: skip

    def start(self, command: Sequence[str], **options: Any) -> subprocess.Popen[str]:
        """Start a process of this user, in its home folder unless told otherwise."""
        given: dict[str, Any] = {"cwd": self.home, "env": self.environment(), "umask": 0o022, **options}
        return subprocess.Popen(command, text=True, user=self.uid, group=self.uid, extra_groups=[self.shared], **given)

    def run(self, command: Sequence[str], *, seconds: float = 60, **options: Any) -> tuple[int, str]:
        """The exit code and all output of a process. -9 if it took too long."""
        process = self.start(command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                             **options)  # fmt: skip
        try:
            output, _ = process.communicate(timeout=seconds)
        except subprocess.TimeoutExpired:
            process.kill()
            return -9, process.communicate()[0]
        return process.returncode, output


def processes_of(uid: int) -> list[int]:
    """All processes of a user."""
    found = []
    for path in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            if path.stat().st_uid == uid:
                found.append(int(path.name))
    return found


class Stranger:
    """The stranger's process (`stranger_process`)."""

    def __init__(self, user: User) -> None:
        self.user = user
        self._process = user.start(
            [user.python, "-m", "tests.promises.strangers.stranger_process"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip
        status = Path(f"/proc/{self._process.pid}/status").read_text().splitlines()
        ids = next(line.split()[1:] for line in status if line.startswith("Uid:"))
        assert set(ids) == {str(user.uid)}, f"it is of user {user.uid}, not {ids}"

    def does(self, name: str, **asked: Any) -> Any:
        """Let it make an attempt. Raises AssertionError if the attempt itself is broken."""
        assert self._process.stdin is not None and self._process.stdout is not None
        self._process.stdin.write(json.dumps({"do": name, **asked}) + "\n")
        self._process.stdin.flush()
        answer = json.loads(self._process.stdout.readline())
        assert "error" not in answer, answer["error"]
        return answer["given"]

    def end(self) -> None:
        self._process.kill()
        self._process.communicate()


def missing(python: str, ids: tuple[int, int], folder: Path) -> str:
    """What is missing for two users, as a sentence. Empty if nothing is."""
    if sys.platform != "linux":
        return "The attacks need Linux: they read /proc and change user ids."
    if os.geteuid() != 0:
        return (
            'The attacks need two more user ids. Run this as root, or where util-linux 2.38 or later has "unshare '
            '--map-auto", newuidmap is installed, and your user has ids in /etc/subuid and /etc/subgid.'
        )
    if shutil.which("setpriv") is None:
        return 'The attacks need the command "setpriv" of util-linux.'
    busy = [uid for uid in ids if processes_of(uid)]
    if busy:
        return f"Processes of user {busy[0]} run, and would be ended. Name two other ids with --ids."
    for uid in ids:
        user = User(uid, ids[0], folder, python)
        try:
            code, output = user.run([python, "-c", "import journal.cli, tests.promises"], cwd="/")
        except (OSError, subprocess.SubprocessError) as error:
            code, output = 1, str(error)
        if code:
            last = output.strip().rpartition("\n")[2]
            return (
                f'User {uid} cannot run the project with "{python}" ({last}). Every user must be able to enter '
                f"{PROJECT} and the Python; name another Python of the same version with --python."
            )
    return ""


def enter_namespace() -> None:
    """Run this command again in a user namespace with more ids, if it is not the superuser's and that is possible."""
    if os.geteuid() == 0 or _AGAIN in os.environ or shutil.which("unshare") is None:
        return
    if subprocess.run([*_NAMESPACE, "true"], capture_output=True, check=False).returncode == 0:
        os.environ[_AGAIN] = "1"
        command = [*_NAMESPACE, sys.executable, "-m", "tests.promises.strangers", *sys.argv[1:]]
        os.execvp(command[0], command)
