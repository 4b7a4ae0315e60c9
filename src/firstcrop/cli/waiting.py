"""A sign of life on standard error while something takes long; silent when no one watches."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path


@contextmanager
def waiting(message: str) -> Iterator[None]:
    """Show a spinner with `message` until the block ends; nothing when stderr is no terminal."""
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(message, spinner="line"):
        yield


def forecast_message() -> str:
    """What to say while forecasting: the first run also compiles the solver."""
    if compiled_before():
        return "Forecasting"
    return "Forecasting; the first run compiles the solver, which takes a minute or two, once"


def compiled_before() -> bool:
    """Whether the solver's compiled code is already kept on disk."""
    spec = find_spec("firstcrop.liquor")
    folders = [Path(place) for place in (spec.submodule_search_locations or [])] if spec else []
    return any(next(f.glob("__pycache__/*.nbi"), None) is not None for f in folders)
