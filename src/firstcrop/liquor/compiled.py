"""How kernels are compiled, and the records they share.

A kernel is compiled by numba and cached on disk where that is possible. Records are passed by
reference (numba's structref), so that a call costs nothing however many arrays it can reach.

Numba renews a cached kernel when its own file changes, not when a kernel it calls (in another
file) does; so the cache is emptied here whenever any kernel file differs from its stamp.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

import numba
import numpy as np
import numpy.typing as npt
from numba import types
from numba.experimental import structref

# Kernels run as fast without LLVM's costliest passes, and compile in three quarters of the time.
numba.config.OPT = type(numba.config.OPT)(1)
numba.config.LOOP_VECTORIZE = numba.config.SLP_VECTORIZE = 0

Function = TypeVar("Function", bound=Callable[..., Any])

Row = npt.NDArray[np.float64]  # one dimension
Grid = npt.NDArray[np.float64]  # two
Block = npt.NDArray[np.float64]  # three
Cube = npt.NDArray[np.float64]  # four
IntRow = npt.NDArray[np.int64]
IntGrid = npt.NDArray[np.int64]

_KINDS = MappingProxyType(
    {
        "Row": types.Array(types.float64, 1, "C"),
        "Grid": types.Array(types.float64, 2, "C"),
        "Block": types.Array(types.float64, 3, "C"),
        "Cube": types.Array(types.float64, 4, "C"),
        "IntRow": types.Array(types.int64, 1, "C"),
        "IntGrid": types.Array(types.int64, 2, "C"),
    }
)


def record(struct: type, proxy: type) -> Any:
    """The numba type of record class `proxy`: fields from its annotations, named as above."""
    structref.register(struct)
    structref.define_boxing(struct, proxy)
    return struct([(name, _KINDS[kind]) for name, kind in proxy.__annotations__.items()])


def compiled(function: Function) -> Function:
    """A kernel only kernels call."""
    return _compile(function, no_cpython_wrapper=True, no_cfunc_wrapper=True)


def entry(function: Function) -> Function:
    """A kernel Python calls."""
    return _compile(function)


def _compile(function: Function, **options: bool) -> Function:
    try:
        kernel = numba.njit(cache=True, error_model="numpy", **options)(function)
    except RuntimeError:  # numba: no folder for the cache can be written
        kernel = numba.njit(error_model="numpy", **options)(function)
    return kernel


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
