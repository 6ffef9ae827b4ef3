"""NumPy's matrix products in one thread, while many small ones are computed.

OpenBLAS gives each product to all cores, and its threads spin while they wait for each other. Small products gain
nothing, and on a busy machine they take ten times as long. The command sets the number for its process by
`OPENBLAS_NUM_THREADS`. In a notebook of its own, NumPy is imported before, so the number is set where it matters.
"""

from __future__ import annotations

import contextlib
import ctypes
import functools
import threading
from collections.abc import Iterator
from typing import NamedTuple

from numpy.linalg import _umath_linalg

_NAMES = ("scipy_openblas_{}_num_threads64_", "scipy_openblas_{}_num_threads", "openblas_{}_num_threads")
_LOCK = threading.Lock()
_INSIDE: list[int] = []
"""The number of threads before, once for each `one_thread` that is entered."""


class _Threads(NamedTuple):
    get: ctypes._NamedFuncPointer
    set: ctypes._NamedFuncPointer


@contextlib.contextmanager
def one_thread() -> Iterator[None]:
    """Compute products in one thread inside. Where NumPy has another library than OpenBLAS, nothing changes.

    The number is that of the process. Several threads may be inside at once: the last to leave sets it back.

    >>> import numpy as np
    >>> with one_thread():
    ...     float(np.ones((2, 2)).dot(np.ones(2)).sum())
    4.0
    """
    threads = _threads()
    if threads is None:
        yield
        return
    with _LOCK:
        _INSIDE.append(_INSIDE[0] if _INSIDE else int(threads.get()))
        threads.set(1)
    try:
        yield
    finally:
        with _LOCK:
            before = _INSIDE.pop()
            if not _INSIDE:
                threads.set(before)


@functools.cache
def _threads() -> _Threads | None:
    """The functions of the OpenBLAS that NumPy has loaded, or None."""
    try:
        library = ctypes.CDLL(_umath_linalg.__file__)
    except OSError:
        return None
    for name in _NAMES:
        with contextlib.suppress(AttributeError):
            return _Threads(getattr(library, name.format("get")), getattr(library, name.format("set")))
    return None
