"""The one decorator of the kernels: compiled by numba, cached on disk where that is possible.

Numba renews a cached kernel when its own file changes, not when a kernel it calls (in another
file) does; so the cache is emptied here whenever any kernel file is newer than its stamp.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numba

Function = TypeVar("Function", bound=Callable[..., Any])


def compiled(function: Function) -> Function:
    """`function` compiled without Python objects; cached unless no cache folder is writable."""
    try:
        kernel = numba.njit(cache=True, error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True)(function)
    except RuntimeError:  # numba: no locator available
        kernel = numba.njit(error_model="numpy")(function)
    return kernel  # type: ignore[no-any-return]


def _empty_stale_cache(package: Path) -> None:
    sources = sorted([*package.glob("liquor/*.py"), *package.glob("laws/*.py")])
    digest = hashlib.sha256(b"".join(s.read_bytes() for s in sources)).hexdigest()
    cache = package / "liquor" / "__pycache__"
    stamp = cache / "kernels.stamp"
    try:
        if stamp.exists() and stamp.read_text() == digest:
            return
        cache.mkdir(exist_ok=True)
        for file in [*cache.glob("*.nbi"), *cache.glob("*.nbc")]:
            file.unlink(missing_ok=True)
        stamp.write_text(digest)
    except OSError:  # a read-only installation: nothing is cached there
        return


_empty_stale_cache(Path(__file__).resolve().parent.parent)


def entry(function: Function) -> Function:
    return numba.njit(cache=True, error_model="numpy")(function)
