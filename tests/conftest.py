"""What every test shares: Hypothesis draws the same examples on every run, and is not timed.

`pytest --hypothesis-profile=long` draws others, and many more of them.
"""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("steady", derandomize=True, deadline=None, database=None, max_examples=200)
settings.register_profile("long", derandomize=False, deadline=None, database=None, max_examples=20_000)
settings.load_profile("steady")
