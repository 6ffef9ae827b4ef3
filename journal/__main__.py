"""`python -m journal` is the command `duskbook`."""

from journal.cli import main

main()
