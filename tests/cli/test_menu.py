"""The entry in the desktop's menu: its files for each desktop, and what they run."""

from __future__ import annotations

import configparser
import io
import plistlib
import shlex
import shutil
import stat
import subprocess
import sys
from pathlib import Path, PureWindowsPath
from xml.etree import ElementTree

import pytest
from PIL import Image

from journal.commands import menu_files, start
from journal.commands.menu_entry import MenuEntry, MenuFile, files
from journal.errors import UsageError
from tests.cli.conftest import Typed

ODD = '/home/ana/100 % "mine" & $HOME\'s `x` \\ čaj'
ENTRY = MenuEntry("Spine\n and \x1bthread", Path(ODD), ("/opt/my tools/duskbook",))
RUN = ["/opt/my tools/duskbook", "evening", ODD, "--until-closed"]


def desktop_entry(file: MenuFile) -> dict[str, str]:
    parser = configparser.RawConfigParser(delimiters=("=",), comment_prefixes=("#",))
    parser.optionxform = str  # type: ignore[assignment,method-assign]  # keys are case-sensitive there
    parser.read_string(file.data.decode())
    return dict(parser["Desktop Entry"])


def arguments(value: str) -> list[str]:
    """The arguments of Exec, read as the Desktop Entry Specification says: string, quotes, then field codes."""
    text = value.replace("\\\\", "\\")
    found: list[str] = []
    while text := text.strip():
        assert text[0] == '"', text
        at, part = 1, ""
        while text[at] != '"':
            at += text[at] == "\\"
            part += text[at]
            at += 1
        found.append(part.replace("%%", "%"))
        text = text[at + 1 :]
    return found


def test_a_freedesktop_entry_names_the_program_and_the_folder_exactly(tmp_path: Path) -> None:
    entry, icon = files(ENTRY, "linux")
    values = desktop_entry(entry)
    assert arguments(values["Exec"]) == RUN
    assert (values["Name"], values["Type"], values["Terminal"]) == (
        "Duskbook: Spine and thread",
        "Application",
        "false",
    )
    assert icon.path == "icons/hicolor/scalable/apps/duskbook.svg" and values["Icon"] == "duskbook"
    assert ElementTree.fromstring(icon.data).get("viewBox") == "0 0 32 32"
    assert entry.path != files(ENTRY._replace(folder=Path("/home/ana/other")), "linux")[0].path
    if shutil.which("desktop-file-validate") is None:
        pytest.skip("desktop-file-validate is not installed")
    (tmp_path / "duskbook.desktop").write_bytes(entry.data)
    run = subprocess.run(
        ["desktop-file-validate", str(tmp_path / "duskbook.desktop")], capture_output=True, text=True, check=False
    )
    assert (run.returncode, run.stdout, run.stderr) == (0, "", "")


def test_an_application_of_macos_is_complete_and_its_script_runs(tmp_path: Path) -> None:
    described, script, icon = files(ENTRY, "darwin")
    assert described.path == "Duskbook Spine and thread.app/Contents/Info.plist"
    assert plistlib.loads(described.data)["CFBundleExecutable"] == Path(script.path).name
    assert [file.is_run for file in (described, script, icon)] == [False, True, False]
    lines = script.data.decode().splitlines()
    assert lines[0] == "#!/bin/sh" and shlex.split(lines[1]) == ["exec", *RUN]
    with Image.open(io.BytesIO(icon.data)) as drawn:
        assert (drawn.format, drawn.size) == ("ICNS", (1024, 1024))


def test_a_command_file_of_windows_starts_the_program_and_ends() -> None:
    folder = PureWindowsPath("C:\\Users\\ana\\100 % čaj & more")
    (file,) = files(MenuEntry('Who? "Me": <A/B>', folder, ("C:\\Python\\pythonw.exe", "-m", "journal")), "win32")
    assert file.path == "Duskbook Who   Me    A B.cmd"
    assert file.data.decode() == (
        "@chcp 65001 >nul\r\n"
        '@start "" "C:\\Python\\pythonw.exe" "-m" "journal" "evening" "C:\\Users\\ana\\100 %% čaj & more" '
        '"--until-closed"\r\n'
    )
    with pytest.raises(UsageError, match="quote"):
        files(ENTRY, "win32")


@pytest.mark.parametrize("platform", ["linux", "darwin", "win32"])
def test_a_path_that_would_be_another_line_is_refused(platform: str) -> None:
    with pytest.raises(UsageError, match="control character"):
        files(ENTRY._replace(folder=Path("/home/ana/a\nExec=x")), platform)


def test_the_command_writes_replaces_and_removes(
    typed: Typed, small_journal: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr(sys, "platform", "linux")
    told = typed("menu", small_journal)
    assert told.exit_code == 0, told.output
    (entry,) = (tmp_path / "data" / "applications").iterdir()
    icon = tmp_path / "data" / "icons" / "hicolor" / "scalable" / "apps" / "duskbook.svg"
    assert told.stdout == f"Wrote {entry}\nWrote {icon}\n"
    assert stat.S_IMODE(entry.stat().st_mode) == 0o600
    run = arguments(desktop_entry(MenuFile("", entry.read_bytes()))["Exec"])
    assert Path(run[0]).is_file() and run[-3:] == ["evening", str(small_journal.resolve()), "--until-closed"]
    assert typed("menu", small_journal).stdout == told.stdout
    other = entry.with_name("duskbook-00000000.desktop")
    other.write_text("[Desktop Entry]\n", encoding="utf-8")
    assert typed("menu", small_journal, "--remove").stdout == f"Removed {entry}\n"
    assert icon.exists(), "another entry has it"
    other.unlink()
    assert typed("menu", small_journal, "--remove").stdout == f"Removed {icon}\n"
    refused = typed("menu", small_journal, "--remove")
    assert (refused.exit_code, "the menu has no entry for" in refused.stderr) == (2, True)


def test_the_application_of_macos_goes_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    described, script, icon = menu_files.add(ENTRY, "darwin")
    assert stat.S_IMODE(script.stat().st_mode) == 0o700
    assert menu_files.remove(ENTRY, "darwin") == [described, script, icon]
    assert list((tmp_path / "Applications").iterdir()) == []


@pytest.mark.parametrize("answer", ["yes", "", "no"])
def test_start_offers_it_to_a_person(
    typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, answer: str
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.setattr(start, "is_asked_in_person", lambda: True)
    answers = "Spine\n" + "\n" * 8 + f"{answer}\n"
    result = typed("start", tmp_path / "mine", "--no-browser", answers=answers)
    assert result.exit_code == 0, result.output
    assert (tmp_path / "data" / "applications").exists() == (answer == "yes")
