"""A journal where the stranger can write: a folder for all, or one of a group that both are in."""

from __future__ import annotations

import os
import re
import shutil
import time
from collections.abc import Mapping
from pathlib import Path

from tests.browser.evenings import SETTINGS
from tests.promises.strangers.attacks import Field

_SECONDS = 15  # that a command may take on what a stranger has put there
_DAY = "2025-03-13"
_PLAIN = 'mood = 3\nnotes = ["Private to the owner."]\n'
_HOSTILE = 'mood = 3\nnotes = ["\\u001b]0;owned\\u0007 \\u009b31m"]\n'
_CALENDAR = (
    "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//x//EN\nBEGIN:VEVENT\nUID:1\nDTSTAMP:20250101T000000Z\n"
    "DTSTART:20250101T000000Z\n" + "RRULE:FREQ=SECONDLY;BYSETPOS=1\n" * 4000 + "END:VEVENT\nEND:VCALENDAR\n"
)
_NOT_READING = [
    "write", "list", "enter", "lock", "change mode", "give away", "set time", "tag", "second name", "put a link",
    "put a pipe", "put a folder", "rename", "remove", "cut",
]  # fmt: skip
Made = Mapping[str, list[str]]


def _journal(field: Field, name: str, mode: int) -> Path:
    """A journal of the owner with one page, in a folder of that mode, of the group of both."""
    owner = field.owner
    folder = owner.base / "shared" / name
    shutil.rmtree(folder, ignore_errors=True)
    for made in (folder, folder / "2025"):
        made.mkdir()
        os.chown(made, owner.user.uid, owner.user.shared)
        made.chmod(mode)
    for path, text in ((folder / "journal.toml", SETTINGS), (folder / "2025" / f"{_DAY}.toml", _PLAIN)):
        path.write_text(text)
        os.chown(path, owner.user.uid, owner.user.shared)
        path.chmod(0o600)
    return folder


def _contents(folder: Path) -> dict[str, tuple[int, bytes]]:
    """All files below a folder, with their modes."""
    files = (path for path in sorted(folder.rglob("*")) if path.is_file() and not path.is_symlink())
    return {str(path.relative_to(folder)): (path.stat().st_mode, path.read_bytes()) for path in files}


def _use(field: Field, folder: Path, date: str = _DAY) -> tuple[list[str], str]:
    """Use a journal in the terminal. Gives the commands that hung or crashed, and all output."""
    wrong, output = [], ""
    commands = (("check",), ("log", "--date", date, "--note", "Another of the owner's."),
                ("show", "mood", "--format", "csv"))  # fmt: skip
    for command in commands:
        began = time.monotonic()
        place = field.owner.user.environment({"DUSKBOOK_FOLDER": str(folder)})
        code, said = field.owner.command(*command, seconds=_SECONDS, env=place)
        output += said
        if code < 0 or "Traceback" in said or time.monotonic() - began > _SECONDS:
            wrong.append(f"{command[0]} ended with {code}")
    return wrong, output


def _things(target: Path, folder: Path) -> dict[str, Made]:
    """What the stranger puts there, each in a journal of its own. `target` is another journal of the owner."""
    page = f"{folder}/2025/2025-03-14.toml"
    hidden = (".cache", ".history")
    made: dict[str, Made] = {f"{name} is a link to another journal": {f"{folder}/{name}": ["link", f"{target}/{name}"]}
                             for name in hidden}  # fmt: skip
    made |= {f"{name} is a pipe": {f"{folder}/{name}": ["pipe"]} for name in hidden}
    for inner in ("snapshot", "lock", "server.json", "closed.json", "CACHEDIR.TAG"):
        cache = {f"{folder}/.cache": ["folder", "777"]}
        made[f".cache/{inner} is a link"] = {**cache, f"{folder}/.cache/{inner}": ["link", f"{target}/journal.toml"]}
        made[f".cache/{inner} is a pipe"] = {**cache, f"{folder}/.cache/{inner}": ["pipe"]}
        made[f".cache/{inner} is a device"] = {**cache, f"{folder}/.cache/{inner}": ["link", "/dev/zero"]}
        made[f".cache/{inner} is huge"] = {**cache, f"{folder}/.cache/{inner}": ["sparse", str(1 << 42)]}
    made |= {
        "a page is a link to another journal": {page: ["link", f"{target}/2025/{_DAY}.toml"]},
        "a page is a pipe": {page: ["pipe"]},
        "a page is a device": {page: ["link", "/dev/zero"]},
        "a page is huge": {page: ["sparse", str(1 << 42)]},
        "undated.toml is a link": {f"{folder}/undated.toml": ["link", f"{target}/undated.toml"]},
        "a year is a link to the disk": {f"{folder}/2024": ["link", "/"]},
        "a year is a link to another journal": {f"{folder}/2024": ["link", f"{target}/2025"]},
        "a page with control characters": {page: ["file", _HOSTILE, "666"]},
        "a calendar that is slow to read": {f"{folder}/all.ics": ["file", _CALENDAR, "666"]},
        "a page that all can read": {page: ["file", _PLAIN, "666"]},
    }
    return made


def placed(field: Field) -> None:
    """Links, pipes, devices and huge files, in a folder of the group. Nothing outside changes, nothing hangs."""
    owner, stranger = field.owner, field.stranger
    target = owner.user.home / "other-journal"
    shutil.copytree(owner.folder, target, dirs_exist_ok=True)
    for path in (target, *target.rglob("*")):
        os.chown(path, owner.user.uid, owner.user.uid)
    outside = _contents(target)
    tries, wrong, got = 0, [], []
    for name, made in _things(target, owner.base / "shared" / "group").items():
        folder = _journal(field, "group", 0o770)
        failed = stranger.does("place", made=dict(made))
        assert not failed, failed
        hung, output = _use(field, folder, "2025-03-14" if "page is a link" in name else _DAY)
        tries += 3
        wrong += [f"{name}: {one}" for one in hung]
        wrong += [f"{name}: a control character"] if re.search("[\x07\x1b\x80-\x9f]", output) else []
        if outside != (now := _contents(target)):
            wrong.append(f"{name}: {sorted(set(outside.items()) ^ set(now.items()))[0][0]} outside was changed")
            outside = now
        if _PLAIN.partition('"')[2][:7] not in (folder / "2025" / f"{_DAY}.toml").read_text():
            wrong.append(f"{name}: a page was lost")
        ours = [str(path) for path in folder.rglob("*") if path.is_file() and path.lstat().st_uid == owner.user.uid]
        reads = stranger.does("files", paths=ours, but=_NOT_READING)["got"]
        got += [f"{name}: {one}" for one in reads]
    field.record(
        "links, pipes, devices, huge files in a group's folder",
        "6, 8, 9",
        {"tries": tries, "got": got},
        "; ".join(wrong),
    )


def locks(field: Field) -> None:
    """The stranger locks a folder that it may read, and whatever else it may open, for the whole evening."""
    owner, stranger = field.owner, field.stranger
    folder = _journal(field, "readable", 0o755)
    assert stranger.does("hold", path=str(folder))["got"], "the stranger cannot lock a folder it can read"
    began = time.monotonic()
    code, output = owner.command(
        "log", str(folder), "--date", _DAY, "--note", "Written while it is locked.", seconds=_SECONDS
    )
    harm = "" if code == 0 and time.monotonic() - began < 8 else f"log ended with {code}: {output.strip()[-100:]}"
    stranger.does("release")
    field.record("a lock on a folder that all can read", "7", {"tries": 1, "got": []}, harm)
    folder = _journal(field, "group", 0o770)
    stranger.does("place", made={f"{folder}/.cache": ["folder", "777"], f"{folder}/.cache/lock": ["file", "", "666"]})
    held = [stranger.does("hold", path=path) for path in (f"{folder}/.cache/lock", str(folder))]
    assert all(one["got"] for one in held), held
    code, output = owner.command(
        "log", str(folder), "--date", _DAY, "--note", "Written while it is locked.", seconds=_SECONDS
    )
    harm = "" if code == 0 else f"log ended with {code}: {output.strip()[-100:]}"
    stranger.does("release")
    code, output = owner.command("log", str(folder), "--date", _DAY, "--note", "Written afterwards.", seconds=_SECONDS)
    harm = harm or ("" if code == 0 else f"log ended with {code} afterwards: {output.strip()[-100:]}")
    field.record("a lock file of the stranger's own, locked", "7", {"tries": 2, "got": []}, harm)


def told(field: Field) -> None:
    """Whatever the stranger can read or change is told by `check`, and nothing else."""
    owner, stranger = field.owner, field.stranger
    wrong = []
    modes = (("", 0o755, 0o644, True), ("", 0o711, 0o644, True), ("", 0o755, 0o600, False), ("", 0o700, 0o644, False),
             ("", 0o777, 0o600, True), ("", 0o750, 0o640, True), (".history", 0o755, 0o644, True),
             (".cache", 0o755, 0o644, True))  # fmt: skip
    for below, folder_mode, file_mode, expected in modes:
        folder = _journal(field, "told", 0o755)
        assert owner.command("log", str(folder), "--date", _DAY, "--note", "One more.")[0] == 0
        for path in (folder, *folder.rglob("*")):
            inside = not below or below in path.parts
            path.chmod((folder_mode if inside else 0o755) if path.is_dir() else file_mode if inside else 0o600)
        paths = [str(path) for path in folder.rglob("*.toml") if path.is_file()]
        paths += [
            str(path) for path in folder.rglob("*") if path.is_file() and "." in str(path.relative_to(folder))[:1]
        ]
        but = ["lock", "list", "enter", "rename", "remove"]
        done = [one for these in (paths, [str(folder)]) for one in stranger.does("files", paths=these, but=but)["got"]]
        can = {one.partition(" ")[0] for one in done}
        reaches = bool(can)
        says = "other users of this machine can" in owner.command("check", str(folder))[1]
        if reaches != expected or says != expected:
            wrong.append(
                f"{below or 'all'} {folder_mode:o} {file_mode:o}: the stranger got {sorted(can)}, check says {says}"
            )
    field.record("what others can read or change is told", "7", {"tries": len(modes), "got": []}, "; ".join(wrong))


def begun(field: Field) -> None:
    """A new journal in a folder for all; and commands in a folder where the stranger has put modules."""
    owner, stranger = field.owner, field.stranger
    place = owner.base / "everyone"
    harm = []
    for number, made in enumerate(({}, {"": ["folder", "777"]}, {"": ["link", "/dev/shm"]})):
        folder = place / f"new-{number}"
        assert not stranger.does("place", made={f"{folder}{name}": what for name, what in made.items()})
        code, output = owner.command("start", str(folder), "--yes")
        if code == 0:
            says = "other users of this machine can" in owner.command("check", str(folder))[1]
            paths = [str(folder / "journal.toml"), str(folder)]
            got = stranger.does("files", paths=paths, but=["set time", "lock"])["got"]
            reads = [one for one in got if one.startswith("read ") and one.endswith(".toml")]
            harm += reads
            harm += [f"new-{number}: {got[0]} is not told"] if got and not says else []
        elif "Traceback" in output:
            harm.append(output[-200:])
    field.record("a new journal in a folder for all", "7", {"tries": 3, "got": []}, "; ".join(harm))
    names = ("click", "polars", "json", "msgspec", "rtoml", "sitecustomize", "tomlkit", "marimo", "stat")
    mark = place / "imported"
    planted = f"open({str(mark)!r}, 'a').close()"
    stranger.does("place", made={f"{place}/{name}.py": ["file", planted, "644"] for name in names})
    owner.command("check", str(owner.folder), cwd=place)
    got = ["a module of the stranger's was imported"] if mark.exists() else []
    field.record("modules in the folder of a command", "8", {"tries": len(names), "got": got})
