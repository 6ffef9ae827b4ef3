"""The command `duskbook` as a process: what is answered without any library first, else the command line of `cli`."""

from __future__ import annotations

import os
import sys


def main() -> None:
    """Run the command line of this process."""
    if sys.argv[1:3] == ["show", "streaks"] and "_DUSKBOOK_COMPLETE" not in os.environ:
        from journal.commands import quick_streaks

        code = quick_streaks.run(sys.argv[1:])
        if code is not None:
            sys.exit(code)
    from journal import cli

    cli.main()
