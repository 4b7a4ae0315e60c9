"""The command line. `main` imports the rest only when called, so that starting stays quick."""

from __future__ import annotations


def main() -> None:
    """Run `firstcrop` with the arguments of this process and leave with its exit code."""
    from firstcrop.cli.entry import run

    raise SystemExit(run())
