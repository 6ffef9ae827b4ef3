"""The names of the environment variables that tell the notebooks, which run in the server, their journal and its days.

They are read by `journal.pages.page_params`.
"""

from __future__ import annotations

FOLDER = "DUSKBOOK_FOLDER"
TODAY = "DUSKBOOK_TODAY"
ON = "DUSKBOOK_ON"
