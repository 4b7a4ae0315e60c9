"""`make board`: compute every published value, print the summary, write docs/board.md."""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from .method import write_method
from .page import SUMMARY_HEAD, page, split, summary
from .score import check
from .tables import FAMILIES, ROOT, read_known, read_rows, read_sources


def main() -> None:
    """Run the whole board."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--out", type=Path, default=ROOT / "docs" / "board.md")
    out = ask.parse_args().out
    began = time.perf_counter()
    known = read_known()
    families = {key: split(check(row, known) for row in read_rows(key)) for key, _ in FAMILIES}
    out.write_text(page(families, read_sources(), known), encoding="utf-8")
    write_method(ROOT / "docs" / "method.md", families)
    rows = [list(SUMMARY_HEAD), *summary(families)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(SUMMARY_HEAD))]
    for row in rows:
        print("  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip())
    print(f"{time.perf_counter() - began:.0f} s; the page is {out}")


if __name__ == "__main__":
    main()
