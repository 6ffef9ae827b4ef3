"""Saving changes to a page: kept, merged, conflicting and rejected changes."""

from __future__ import annotations

import datetime as dt
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from journal.errors import UsageError, WriteError
from journal.folder import atomic_write, exchanged_names, history, writing
from journal.folder.writing import REMOVE, Conflict, Saved, look

NOW = dt.datetime(2025, 3, 14, 22, 5, tzinfo=dt.UTC)
DAY = "2025-03-14"


def put(folder: Path, text: str | bytes, path: str = f"2025/{DAY}.toml") -> Path:
    (folder / path).parent.mkdir(exist_ok=True)
    (folder / path).write_bytes(text.encode() if isinstance(text, str) else text)
    return folder / path


def save(folder: Path, base: writing.Base, changes: dict[Any, Any], **more: Any) -> Saved | Conflict:
    return writing.save(folder, base.key, base, changes, now=more.pop("now", NOW), **more)


def saved(folder: Path, changes: dict[Any, Any], key: str = DAY, **more: Any) -> Saved:
    result = save(folder, look(folder, key), changes, **more)
    assert isinstance(result, Saved)
    return result


@pytest.mark.parametrize(
    ("key", "path"),
    [
        (DAY, f"2025/{DAY}.toml"),
        ("2025-W01", "2025/2025-W01.toml"),
        ("2025-03", "2025/2025-03.toml"),
        ("2025", "2025/2025.toml"),
        ("undated", "undated.toml"),
    ],
)
def test_a_new_page_goes_in_the_folder_of_its_year(folder: Path, key: str, path: str) -> None:
    changes = {("tasks",): [{"title": "Fold"}]} if key in (DAY, "undated") else {("notes",): ["Fold"]}
    result = saved(folder, changes, key)
    assert result.base.path == path
    assert (folder / path).read_bytes() == result.base.data
    assert not list((folder / path).parent.glob(".20*"))


def test_a_page_elsewhere_stays_there(folder: Path) -> None:
    path = put(folder, "mood = 3\n", f"old/{DAY}.toml")
    saved(folder, {("mood",): 4})
    assert path.read_text() == "mood = 4\n"
    assert not (folder / "2025").exists()


def test_a_page_that_moved_meanwhile_is_found(folder: Path) -> None:
    old = put(folder, "mood = 3\n")
    base = look(folder, DAY)
    (folder / "old").mkdir()
    old.rename(folder / "old" / old.name)
    assert isinstance(save(folder, base, {("mood",): 4}), Saved)
    assert (folder / "old" / old.name).read_text() == "mood = 4\n"
    assert not old.exists()


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_byte_order_mark_and_a_missing_last_line_end_stay(folder: Path, end: str, mark: str) -> None:
    path = put(folder, mark + f"mood = 3 # so{end}{end}[habits]{end}walk = true")
    saved(folder, {("mood",): 4, ("habits", "read"): 24, ("memory",): "One.\nTwo.", ("weather", "sky"): "grey"})
    memory = "'''\nOne.\nTwo.'''" if end == "\n" else '"One.\\nTwo."'
    assert path.read_bytes().decode() == mark + end.join(
        [
            *("mood = 4 # so", f"memory = {memory}", ""),
            *("[weather]", 'sky = "grey"', ""),
            *("[habits]", "walk = true", "read = 24"),
        ]
    )


def test_no_change_writes_nothing(folder: Path) -> None:
    path = put(folder, "mood=3")
    before = path.stat()
    result = saved(folder, {("mood",): 3, ("energy",): REMOVE})
    assert (result.written, result.before) == (False, None)
    assert (path.stat().st_mtime_ns, path.stat().st_ino) == (before.st_mtime_ns, before.st_ino)
    assert not saved(folder, {}, "2025-03-20").written
    assert not (folder / "2025" / "2025-03-20.toml").exists()


def test_two_tabs_two_keys(folder: Path) -> None:
    path = put(folder, "mood = 3\n# mine\n")
    one = two = look(folder, DAY)
    save(folder, one, {("mood",): 4, ("habits", "walk"): True})
    result = save(folder, two, {("memory",): "Sewn.", ("habits", "read"): 24})
    assert isinstance(result, Saved)
    assert result.merged
    assert path.read_text() == 'mood = 4\nmemory = "Sewn."\n# mine\n\n[habits]\nwalk = true\nread = 24\n'


def test_the_same_change_on_both_sides_is_no_conflict(folder: Path) -> None:
    put(folder, "mood = 3\n")
    base = look(folder, DAY)
    save(folder, base, {("mood",): 4})
    result = save(folder, base, {("mood",): 4})
    assert isinstance(result, Saved)
    assert not result.written


def test_a_conflict_has_both_values_and_writes_nothing_until_it_is_resolved(folder: Path) -> None:
    path = put(folder, 'mood = 3\nmemory = "Rain."\nplace = "graz"\n')
    base = look(folder, DAY)
    path.write_text('mood = 2\nmemory = "Snow."\n')  # another editor
    changes = {("mood",): 4, ("memory",): "Sun.", ("energy",): 5, ("place",): "home"}
    result = save(folder, base, changes)
    assert isinstance(result, Conflict)
    assert [(c.where, c.base, c.theirs, c.mine) for c in result.clashes] == [
        ("mood", 3, 2, 4),
        ("memory", "Rain.", "Snow.", "Sun."),
        ("place", "graz", None, "home"),
    ]
    assert path.read_text() == 'mood = 2\nmemory = "Snow."\n'
    mood, memory, place = result.clashes
    picks = [mood.pick("theirs"), memory.pick("both"), place.pick("mine")]
    one_left = save(folder, base, changes, resolve=picks[:2])
    assert isinstance(one_left, Conflict)
    assert [clash.path for clash in one_left.clashes] == [("place",)]
    done = save(folder, base, changes, resolve=picks)
    assert isinstance(done, Saved)
    assert done.base.values == {"mood": 2, "energy": 5, "memory": "Snow.\nSun.", "place": "home"}


def test_a_decision_applies_only_to_the_values_shown(folder: Path) -> None:
    path = put(folder, "mood = 3\n")
    base = look(folder, DAY)
    path.write_text("mood = 2\n")
    first = save(folder, base, {("mood",): 4})
    assert isinstance(first, Conflict)
    path.write_text("mood = 1\n")
    second = save(folder, base, {("mood",): 4}, resolve=[first.clashes[0].pick("mine")])
    assert isinstance(second, Conflict)
    assert second.clashes[0].theirs == 1
    assert path.read_text() == "mood = 1\n"


def test_a_page_deleted_meanwhile_is_a_conflict(folder: Path) -> None:
    path = put(folder, "mood = 3 # so\n")
    base = look(folder, DAY)
    path.unlink()
    result = save(folder, base, {("energy",): 4})
    assert isinstance(result, Conflict)
    assert result.clashes == (writing.Clash((), {"mood": 3}, None, {"mood": 3, "energy": 4}),)
    assert not path.exists()
    assert isinstance(save(folder, base, {("energy",): 4}, resolve=[result.clashes[0].pick("theirs")]), Saved)
    assert not path.exists()
    assert isinstance(save(folder, base, {("energy",): 4}, resolve=[result.clashes[0].pick("mine")]), Saved)
    assert path.read_text() == "mood = 3 # so\nenergy = 4\n"


def test_a_page_created_meanwhile_is_merged(folder: Path) -> None:
    base = look(folder, DAY)
    path = put(folder, "# hand\nenergy = 2\n")
    assert isinstance(save(folder, base, {("mood",): 4}), Saved)
    assert path.read_text() == "mood = 4\n# hand\nenergy = 2\n"


def test_a_page_changed_at_the_last_moment_is_read_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = put(folder, "mood = 3\n")
    base, real, done = look(folder, DAY), os.fsync, list[int]()

    def editor_saves(handle: int) -> None:
        if not done:
            done.append(1)
            path.write_text("mood = 3\nenergy = 2\n")
        real(handle)

    monkeypatch.setattr(os, "fsync", editor_saves)
    assert isinstance(save(folder, base, {("mood",): 4}), Saved)
    assert path.read_text() == "mood = 4\nenergy = 2\n"


def test_tasks_are_merged_by_identity(folder: Path) -> None:
    text = '[[tasks]]\ntitle = "Fold"\nid = "a1"\n\n[[tasks]]\ntitle = "Sew"  # twice\nsince = 2025-03-11\n'
    path = put(folder, text)
    base = look(folder, DAY)
    path.write_text('[[tasks]]\ntitle = "Press"\n\n' + text.replace('"Fold"', '"Fold twice"') + 'id = "b2"\n')
    mine = [task | {"status": "done"} for task in base.values["tasks"]] + [{"title": "Cut"}]
    assert isinstance(save(folder, base, {("tasks",): mine}), Saved)
    assert path.read_text() == (
        '[[tasks]]\ntitle = "Press"\n\n[[tasks]]\ntitle = "Fold twice"\nstatus = "done"\nid = "a1"\n\n'
        '[[tasks]]\ntitle = "Sew"  # twice\nstatus = "done"\nsince = 2025-03-11\nid = "b2"\n\n'
        '[[tasks]]\ntitle = "Cut"\n'
    )


def test_one_task_by_its_identity(folder: Path) -> None:
    path = put(folder, '[[tasks]]\ntitle = "Fold"\n\n# second\n[[tasks]]\ntitle = "Fold"\n')
    saved(
        folder,
        {("tasks", "Fold (2)", "title"): "Sew", ("tasks", "Fold (2)", "rank"): 1, ("tasks", "x"): {"title": "Cut"}},
    )
    assert path.read_text().endswith('# second\n[[tasks]]\ntitle = "Sew"\nrank = 1\n\n[[tasks]]\ntitle = "Cut"\n')
    saved(folder, {("tasks", "Sew"): REMOVE})
    assert path.read_text() == '[[tasks]]\ntitle = "Fold"\n\n# second\n\n[[tasks]]\ntitle = "Cut"\n'
    with pytest.raises(UsageError, match='no "Nobody" in tasks'):
        saved(folder, {("tasks", "Nobody", "rank"): 1})


def test_a_task_changed_here_and_removed_there_is_a_conflict(folder: Path) -> None:
    path = put(folder, '[[tasks]]\ntitle = "Fold"\n')
    base = look(folder, DAY)
    path.write_text("mood = 3\n")
    changes = {("tasks", "Fold", "status"): "done"}
    result = save(folder, base, changes)
    assert isinstance(result, Conflict)
    assert result.clashes[0].where == "tasks.Fold"
    done = save(folder, base, changes, resolve=[result.clashes[0].pick("mine")])
    assert isinstance(done, Saved)
    assert done.base.values == {"mood": 3, "tasks": [{"title": "Fold", "status": "done"}]}


def test_new_problems_are_refused_and_old_ones_are_not(folder: Path) -> None:
    path = put(folder, "mood = 9\nmod = 1\n\n[habits]\nwlak = true\n")
    before = path.read_bytes()
    with pytest.raises(WriteError, match=r"hours\.actual\.sleep\[1\]: expected hours that are not taken") as refused:
        saved(folder, {("hours", "actual", "sleep"): ["00:00-06:00", "05:00-07:00"], ("memory",): "Sewn."})
    assert len(refused.value.problems) == 1
    assert 'memory = "Sewn."' in refused.value.typed
    assert path.read_bytes() == before
    saved(folder, {("energy",): 4, ("habits", "walk"): True})
    saved(folder, {("mood",): 5})
    assert path.read_text() == "mood = 5\nenergy = 4\nmod = 1\n\n[habits]\nwlak = true\nwalk = true\n"


@pytest.mark.parametrize("data", [b"mood = = 3\n", b"\xff\xfe", b"mood = 3\nmood = 4\n"])
def test_a_broken_page_is_never_written(folder: Path, data: bytes) -> None:
    path = put(folder, data)
    base = look(folder, DAY)
    with pytest.raises(WriteError) as broken:
        save(folder, base, {("memory",): "Sewn."})
    assert (path.read_bytes(), broken.value.typed) == (data, 'memory = "Sewn."')
    assert str(broken.value).startswith(f"2025/{DAY}.toml")


def test_invalid_values_and_keys_are_rejected(folder: Path) -> None:
    for value in (object(), [None], {"a": {1, 2}}):
        with pytest.raises(UsageError, match="cannot be written"):
            saved(folder, {("memory",): value})
    with pytest.raises(UsageError):
        saved(folder, {("mood",): 3, ("mood", "x"): 4})
    with pytest.raises(WriteError, match="half a character"):
        saved(folder, {("memory",): "\ud800"})
    for key in ("2025-02-30", "journal", "../2025", "0001-01-01"):
        with pytest.raises(UsageError):
            look(folder, key)
    assert not (folder / "2025").exists()


def test_a_link_stays_and_a_mode_too(folder: Path) -> None:
    real = put(folder, "mood = 3\n", "elsewhere/page")
    real.chmod(0o640)
    (folder / "2025").mkdir()
    link = folder / "2025" / f"{DAY}.toml"
    link.symlink_to(real)
    saved(folder, {("mood",): 4})
    assert link.is_symlink()
    assert real.read_text() == "mood = 4\n"
    assert real.stat().st_mode & 0o777 == 0o640
    assert (folder / "2025" / "2025-03-15.toml").exists() is False
    saved(folder, {("mood",): 4}, "2025-03-15")
    assert (folder / "2025" / "2025-03-15.toml").stat().st_mode & 0o777 == 0o600


_AS_NOBODY = """
import os, sys, resource, datetime as dt
from pathlib import Path
folder, case = Path(sys.argv[1]), sys.argv[2]
import fcntl  # before rights are dropped: a user without rights may be unable to read the standard library
from journal.errors import WriteError
from journal.folder import writing
if case == "full":
    import signal
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (20, 20))
elif os.getuid() == 0:
    os.setgroups([]); os.setgid(65534); os.setuid(65534)
base = writing.look(folder, "2025-03-14")
try:
    changes = {("memory",): "Sewn without a skipped station."}
    writing.save(folder, "2025-03-14", base, changes, now=dt.datetime(2025, 3, 14))
except WriteError as error:
    print(f"{error} | {error.typed}")
"""


@pytest.mark.skipif(sys.platform == "win32", reason="modes and limits are POSIX's")
@pytest.mark.parametrize(
    ("case", "reason"),
    [
        ("full", "the file would be too large for the disk; make room"),
        ("file", "there is no write permission; allow your user to write it"),
        ("folder", "there is no write permission; allow your user to write it"),
    ],
)
def test_a_full_disk_and_missing_write_permission(folder: Path, case: str, reason: str) -> None:
    # In a separate process without rights: root may write anywhere.
    path = put(folder, "mood = 3\n")
    for above in [folder, *folder.parents[:3]]:
        if above.stat().st_uid == os.getuid() and above.name != "tmp":
            above.chmod(0o755)
    path.chmod(0o444 if case == "file" else 0o666)
    path.parent.chmod(0o555 if case == "folder" else 0o777)
    folder.chmod(0o777)
    command = [sys.executable, "-c", _AS_NOBODY, str(folder), case]
    run = subprocess.run(
        command, cwd=Path(__file__).parents[2], capture_output=True, text=True, check=False,
        env=os.environ | {"PYTHONDONTWRITEBYTECODE": "1"},
    )  # fmt: skip
    typed = 'memory = "Sewn without a skipped station."'
    assert run.stdout == f'"{path}" is not saved: {reason}, then save again | {typed}\n', run.stderr
    path.parent.chmod(0o755)
    assert path.read_text() == "mood = 3\n"
    assert [p.name for p in path.parent.iterdir()] == [path.name]


@pytest.mark.parametrize("step", ["fsync", "rename", "exchange", "replace", "link"])
def test_a_failure_at_any_step_leaves_the_old_page(folder: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    path = put(folder, "mood = 3\n")

    def full(*_: Any, **__: Any) -> None:
        raise OSError(28, "No space left on device")

    if step in ("replace", "link"):  # a drive on which names are not exchanged
        monkeypatch.setattr(exchanged_names, "_rename", lambda: None)
    monkeypatch.setattr(exchanged_names if step == "exchange" else os, step, full)
    base = look(folder, DAY)
    if step == "link":  # a drive without hard links: a new page is renamed into place
        saved(folder, {("mood",): 5}, "2025-03-15")
        return
    with pytest.raises(WriteError, match="the disk is full; make room"):
        save(folder, base, {("mood",): 4})
    assert path.read_text() == "mood = 3\n"
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_vanished_folder_is_not_created_again(folder: Path) -> None:
    base = look(folder, DAY)
    gone = folder.rename(folder.with_name("away"))
    with pytest.raises(WriteError, match="is not saved: its folder is gone; bring the folder back") as lost:
        save(folder, base, {("mood",): 4})
    assert lost.value.typed == "mood = 4"
    folder.mkdir()  # where a drive was mounted
    with pytest.raises(WriteError, match="is not saved: its folder is gone"):
        save(folder, base, {("mood",): 4})
    assert not list(folder.iterdir())
    assert (gone / "journal.toml").exists()


def test_every_save_keeps_what_it_replaces_and_what_it_writes(folder: Path) -> None:
    path = put(folder, "mood = 1\n")
    saved(folder, {("mood",): 2}, by="evening")
    saved(folder, {("mood",): 3}, by="log")  # within the same minute
    base = look(folder, DAY)
    path.write_text("mood = 3\nenergy = 2\n")
    assert isinstance(save(folder, base, {("mood",): 4}, by="day"), Saved)
    kept = [(state.by, state.data.decode()) for state in history.states(folder, DAY) if state.data]
    assert kept == [
        ("elsewhere", "mood = 1\n"),
        ("evening", "mood = 2\n"),
        ("log", "mood = 3\n"),
        ("elsewhere", "mood = 3\nenergy = 2\n"),
        ("day", "mood = 4\nenergy = 2\n"),
    ]


def test_a_page_is_written_even_if_its_history_cannot_be(folder: Path) -> None:
    path = put(folder, "mood = 3\n")
    (folder / ".history").write_text("a file in the way")
    assert saved(folder, {("mood",): 4}).written
    assert path.read_text() == "mood = 4\n"
    assert (folder / ".history").read_text() == "a file in the way"


def test_a_new_page_never_replaces_one_created_meanwhile(folder: Path) -> None:
    path = put(folder, "mood = 3\n")
    with pytest.raises(atomic_write.ChangedError):
        atomic_write.replace(path, b"mood = 4\n", None)
    assert path.read_text() == "mood = 3\n"
