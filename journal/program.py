"""The command `duskbook` as a process: what is answered without any library first, else the command line of `cli`."""

from __future__ import annotations

import os
import sys

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import NoReturn


def main() -> None:
    """Run the command line of this process."""
    is_completing = "_DUSKBOOK_COMPLETE" in os.environ
    if sys.argv[1:3] == ["show", "streaks"] and not is_completing:
        from journal.commands import quick_streaks

        code = quick_streaks.run(sys.argv[1:])
        if code is not None:
            _leave(code)
    from journal import cli

    try:
        cli.main()
    except SystemExit as end:
        if sys.argv[1:2] == ["log"] and not is_completing and isinstance(end.code, int):
            _leave(end.code)
        raise


def _leave(code: int) -> NoReturn:
    """End a short command with an exit code.

    Python takes as long to take the modules of `log` down as to start without any, and nothing needs that: what was
    written is closed, no thread runs, and no file is left to be removed. Only a profiler or a debugger does.
    """
    if sys.getprofile() is None and sys.gettrace() is None:
        try:
            for stream in filter(None, (sys.stdout, sys.stderr)):
                stream.flush()
        except (OSError, ValueError):
            sys.exit(code)  # Python says what it says of such a stream
        os._exit(code)
    sys.exit(code)
