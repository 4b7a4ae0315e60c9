"""Imported by the process others are started from: everything they need is loaded here, once."""

from __future__ import annotations

from importlib.resources import files

from firstcrop.bank.bank import load_bank
from firstcrop.run import forecast_sheet


def warm() -> None:
    """Read the bank and have the solver's compiled code loaded, by a small forecast."""
    forecast_sheet(demo_text(), load_bank(), with_bands=False)


def demo_text() -> str:
    """The sheet a newcomer is shown."""
    place = files("firstcrop") / "client" / "first-sheet.md"
    return place.read_text(encoding="utf-8")


if __name__ != "__main__":
    warm()
