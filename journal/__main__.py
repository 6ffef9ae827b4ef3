"""`python -m journal` runs the command `duskbook`."""

from journal.cli import main

main()
