"""The number of threads of matrix products: one inside, and what it was once all have left."""

from __future__ import annotations

import subprocess
import sys

import pytest

CODE = """
from journal.measures import one_thread
threads = one_thread._threads()
if threads is None:
    print("another library")
else:
    threads.set(2)
    counts = []
    with one_thread.one_thread():
        counts.append(threads.get())
        with one_thread.one_thread():
            counts.append(threads.get())
        counts.append(threads.get())
    counts.append(threads.get())
    print(*counts)
"""


def test_products_have_one_thread_inside_and_those_of_before_afterwards() -> None:
    told = subprocess.run([sys.executable, "-c", CODE], capture_output=True, text=True, check=True).stdout.strip()
    if told == "another library":
        pytest.skip("NumPy has no OpenBLAS here")
    assert told == "1 1 1 2"
