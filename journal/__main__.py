"""`python -m journal` runs the command `duskbook`.

Python puts the folder it is run in first in the search path, so that a `json.py` there, in a folder from elsewhere,
would run in place of the library's. So that entry is taken out before anything is imported. What Python itself imports
before it gets here (`importlib`) is out of reach; `duskbook`, and `python -P -m journal`, search no such folder.
"""

import sys

if __name__ == "__main__" and not sys.flags.safe_path:
    del sys.path[0]

from journal.program import main

main()
