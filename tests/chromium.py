"""The Chromium that the page tests drive: the one on PATH, and a clear word where there is none."""

from __future__ import annotations

import shutil

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")

# No sandbox, since a container seldom lets one be made; and nothing that asks the network of its own accord.
ARGUMENTS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-default-apps", "--disable-domain-reliability",
)  # fmt: skip


def chromium() -> str:
    """The path of the Chromium on PATH. Where there is none the test fails: a page not looked at has not passed."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        pytest.fail(
            f"the page tests need a Chromium on PATH (one of {', '.join(NAMES)}); "
            'on Debian run ".ci/run" or "apt-get install chromium"',
            pytrace=False,
        )
    return found
