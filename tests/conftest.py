"""What every test shares: Hypothesis draws the same examples on every run, and is not timed.

`pytest --hypothesis-profile=long` draws others, and many more of them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator

# Before polars is imported, here and in every server a test starts. The frames are small, so a pool of threads has
# nothing to share out and is only woken and put to sleep: a fifth of the processor time, where it was measured.
os.environ.setdefault("POLARS_MAX_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # its threads spin while they wait for a core

import pytest
from hypothesis import settings

from journal.folder import save_record

settings.register_profile("steady", derandomize=True, deadline=None, database=None, max_examples=200)
settings.register_profile("long", derandomize=False, deadline=None, database=None, max_examples=20_000)
settings.load_profile("steady")


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What a module makes once for its tests is made once in all: they run on one worker, as one xdist group."""
    for item in items:
        if isinstance(item, pytest.Function) and not item.get_closest_marker("xdist_group"):
            found = item._fixtureinfo.name2fixturedefs.values()
            if any(fixture.scope == "module" for fixtures in found for fixture in fixtures):
                item.add_marker(pytest.mark.xdist_group(item.nodeid.partition("::")[0]))


@pytest.fixture(autouse=True, scope="session")
def waits_for_no_disk() -> Iterator[None]:
    """Nothing waits until the disk has it: no test cuts the power, and a put of a task asks for it twelve times.

    That it is asked for, and what happens if it fails, is tested with an `os.fsync` of the test's own.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "fsync", lambda _: None)
        yield


@pytest.fixture
def without_record() -> Iterator[None]:
    """Saves of several pages have no record, as on a drive where none can be kept: only their order protects them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(save_record, "_write", lambda *_: False)
        yield
