"""An entry in the desktop's menu that opens tonight's page: its files, for each kind of desktop.

    files(entry, "linux")        freedesktop.org: an entry and its icon
    files(entry, "darwin")       macOS: a small application
    files(entry, "win32")        Windows: a command file in the start menu

Nothing is written here (`menu_files`). The entry starts the evening page without a terminal; if the journal runs
already, its server opens the page.
"""

from __future__ import annotations

import hashlib
import io
import plistlib
from pathlib import Path, PurePath
from typing import NamedTuple

from journal.errors import UsageError
from journal.language.catalogue import _
from journal.pages.guard import ICON

_SIZED = ICON.replace("<svg ", '<svg width="1024" height="1024" ')


class MenuEntry(NamedTuple):
    """What an entry opens: the title of the journal, its folder, and the command with its first arguments."""

    title: str
    folder: PurePath
    command: tuple[str, ...]

    @property
    def arguments(self) -> list[str]:
        return [*self.command, "evening", str(self.folder), "--until-closed"]

    @property
    def key(self) -> str:
        """A short name that no other journal of this user has: that of its folder."""
        return f"duskbook-{hashlib.sha256(str(self.folder).encode('utf-8', 'surrogateescape')).hexdigest()[:8]}"


class MenuFile(NamedTuple):
    """A file of an entry: its path below the folder of the desktop, its bytes, and whether it is run."""

    path: str
    data: bytes
    is_run: bool = False


def files(entry: MenuEntry, platform: str) -> list[MenuFile]:
    """Return the files of an entry. Raises UsageError for a path that a desktop's file cannot name."""
    if any(ord(c) < 32 or ord(c) == 127 for part in entry.arguments for c in part):
        raise UsageError(_("the folder has a control character in its path, which no menu can name; rename it"))
    if platform == "darwin":
        return _application(entry)
    return [_command_file(entry)] if platform == "win32" else _freedesktop(entry)


def _freedesktop(entry: MenuEntry) -> list[MenuFile]:
    """Desktop Entry Specification, and Icon Theme Specification: sizes of every kind from one drawing."""
    kind, purpose = _("Journal"), _("Close today and plan tomorrow")
    lines = [
        "[Desktop Entry]",
        "Type=Application",
        "Version=1.0",
        f"Name={_desktop_text(f'Duskbook: {_line(entry.title)}')}",
        f"GenericName={_desktop_text(kind)}",
        f"Comment={_desktop_text(purpose)}",
        f"TryExec={_desktop_text(entry.command[0])}",
        f"Exec={_desktop_text(' '.join(map(_desktop_argument, entry.arguments)))}",
        "Icon=duskbook",
        "Terminal=false",
        "Categories=Office;",
        "StartupNotify=false",
    ]
    return [
        MenuFile(f"applications/{entry.key}.desktop", ("\n".join(lines) + "\n").encode("utf-8", "surrogateescape")),
        MenuFile("icons/hicolor/scalable/apps/duskbook.svg", ICON.encode()),
    ]


def _desktop_argument(text: str) -> str:
    r"""Return an argument of Exec in quotes. A percent sign would be a field code.

    >>> print(_desktop_argument('/home/a b/100 %/$x'))
    "/home/a b/100 %%/\$x"
    """
    quoted = "".join(f"\\{c}" if c in '"`$\\' else c for c in text.replace("%", "%%"))
    return f'"{quoted}"'


def _desktop_text(text: str) -> str:
    r"""Return a value of type string: a backslash is escaped once more, whatever it is there for.

    >>> print(_desktop_text("a\\b"))
    a\\b
    """
    return text.replace("\\", "\\\\")


def _application(entry: MenuEntry) -> list[MenuFile]:
    """A bundle of macOS: its property list, a shell script that is run, and the icon."""
    name = "".join("-" if c in "/:" else c for c in f"Duskbook {_line(entry.title)}").strip()[:100]
    top = f"{name}.app/Contents"
    described = {
        "CFBundleName": name,
        "CFBundleIdentifier": f"local.{entry.key}",
        "CFBundleExecutable": "duskbook",
        "CFBundleIconFile": "duskbook",
        "CFBundlePackageType": "APPL",
        "CFBundleVersion": "1",
        "LSUIElement": True,  # without a place of its own beside the running programs: the page is in the browser
    }
    script = "#!/bin/sh\nexec " + " ".join(map(_shell_argument, entry.arguments)) + "\n"
    return [
        MenuFile(f"{top}/Info.plist", plistlib.dumps(described)),
        MenuFile(f"{top}/MacOS/duskbook", script.encode("utf-8", "surrogateescape"), is_run=True),
        MenuFile(f"{top}/Resources/duskbook.icns", _icns()),
    ]


def _shell_argument(text: str) -> str:
    return "'" + text.replace("'", "'\\''") + "'"


def _icns() -> bytes:
    """The icon in the sizes of macOS, drawn from the SVG."""
    import vl_convert  # noqa: PLC0415 (for this one file)
    from PIL import Image  # noqa: PLC0415

    drawn = Image.open(io.BytesIO(vl_convert.svg_to_png(_SIZED, scale=1)))
    content = io.BytesIO()
    drawn.save(content, "ICNS")
    return content.getvalue()


def _command_file(entry: MenuEntry) -> MenuFile:
    """A command file for the start menu. It starts the program and ends, so its window closes at once.

    The first line lets it be read as UTF-8, for folders in any script.
    """
    if any('"' in part for part in entry.arguments):
        raise UsageError(_("the folder has a quote in its path, which no command file can name; rename it"))
    parts = " ".join(f'"{part}"' for part in entry.arguments).replace("%", "%%")
    lines = ["@chcp 65001 >nul", f'@start "" {parts}', ""]
    name = "".join(" " if c in '<>:"/\\|?*' else c for c in f"Duskbook {_line(entry.title)}").strip(" .")[:100]
    return MenuFile(f"{name}.cmd", "\r\n".join(lines).encode("utf-8"))


def _line(title: str) -> str:
    """A title on one line, without characters that are not shown."""
    return " ".join("".join(c if c.isprintable() else " " for c in title).split())


def place(platform: str, environment: dict[str, str], home: Path) -> Path:
    """Return the folder of this user that the files of an entry go below.

    >>> place("linux", {}, Path("/home/ana")).as_posix(), place("darwin", {}, Path("/Users/ana")).as_posix()
    ('/home/ana/.local/share', '/Users/ana/Applications')
    """
    if platform == "darwin":
        return home / "Applications"
    if platform == "win32":
        data = Path(environment.get("APPDATA") or home / "AppData" / "Roaming")
        return data / "Microsoft" / "Windows" / "Start Menu" / "Programs"
    data = Path(environment.get("XDG_DATA_HOME") or "")
    return data if data.is_absolute() else home / ".local" / "share"
