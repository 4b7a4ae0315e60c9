"""The notice of the law heeds the jurisdiction a sheet states."""

from __future__ import annotations

import pytest

from firstcrop.bank.bank import load_bank
from firstcrop.run import forecast_sheet

SHEET = """# Thinner acid

## Materials

| name | substance | strength |
|---|---|---|
| acid | hydrogen chloride | 31 % w/w |

{conditions}## Steps

1. Put 50 mL of water in the beaker.
2. Add 5 mL of acid.
"""


@pytest.mark.parametrize(
    ("place", "told"),
    [
        # hydrochloric acid above 10 %: the United Kingdom's list, not the EU's
        ("United Kingdom", True), ("GB", True), ("France", False), ("", True), ("Atlantis", True),
    ],
)  # fmt: skip
def test_whose_law_holds(place, told):
    stated = f"## Conditions\n\n- jurisdiction: {place}\n\n" if place else ""
    forecast = forecast_sheet(SHEET.format(conditions=stated), load_bank(), with_bands=False)
    assert any(c.code.startswith("law.") for c in forecast.cautions) == told
