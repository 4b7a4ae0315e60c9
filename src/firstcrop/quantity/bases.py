"""How strengths are spelled: `% w/w`, `wt%`, `% (v/v)`, `M`, `mol dm-3`, `N`, `g/100 mL`, `ppm`."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

from firstcrop.quantity.records import Basis
from firstcrop.quantity.units import Match, Unit, flat, match_unit

_WW: Final = Unit("% w/w", Basis.WW, Decimal("0.01"))
_WV: Final = Unit("% w/v", Basis.WV, Decimal(10))
_VV: Final = Unit("% v/v", Basis.VV, Decimal("0.01"))
_PERCENT = r"(?:%|per\s?cent|pct)"
_BASES: Final = (
    (rf"{_PERCENT}\s*\(?\s*(?:w|wt\.?|m)\s?/\s?(?:v|vol\.?)\s*\)?", _WV),
    (rf"{_PERCENT}\s*\(?\s*(?:w|wt\.?|m)\s?/\s?(?:w|wt\.?|m)\s*\)?", _WW),
    (rf"{_PERCENT}\s*\(?\s*(?:v|vol\.?)\s?/\s?(?:v|vol\.?)\s*\)?", _VV),
    (rf"{_PERCENT}\s*\(?\s*(?:by\s+)?(?:weight|mass|wt\.?|ww)\s*\)?", _WW),
    (rf"{_PERCENT}\s*\(?\s*(?:by\s+)?(?:volume|vol\.?|abv|ABV|vv)\s*\)?", _VV),
    (r"(?:wt\.?|w/w|m/m|mass|weight)[\s\-]*%", _WW),
    (r"(?:vol\.?|v/v|volume)[\s\-]*%", _VV),
    (r"w/v[\s\-]*%", _WV),
    (r"(?i:g)\s*(?:/|per)\s*100\s*(?:mL|ml|cm3|cc)", _WV),
    (r"(?:ppm|mg/kg)", Unit("ppm", Basis.WW, Decimal("0.000001"))),
    (r"g/kg", Unit("g/kg", Basis.WW, Decimal("0.001"))),
    (r"(?:M|molar|Molar)", Unit("mol/L", Basis.MOLARITY, Decimal(1000))),
    (r"(?:mM|millimolar)", Unit("mmol/L", Basis.MOLARITY, Decimal(1))),
    (r"(?:µM|uM|micromolar)", Unit("µmol/L", Basis.MOLARITY, Decimal("0.001"))),
    (r"(?:N|normal|Normal|eq(?:uiv)?/[Ll])", Unit("N", Basis.NORMALITY, Decimal(1000))),
    (r"(?:molal|mol/kg(?:\s+water)?)", Unit("mol/kg", Basis.MOLALITY, Decimal(1))),
)
_PATTERN: Final = re.compile(
    f"(?:{'|'.join(f'(?P<b{i}>{body})' for i, (body, _) in enumerate(_BASES))})(?![^\\W_])"
)


def match_any(text: str, at: int) -> Match | None:
    """The unit of strength or of quantity that starts at `at`; a bare `%` is a fraction."""
    found = _PATTERN.match(flat(text), at)
    if found and found.lastgroup:
        return Match(_BASES[int(found.lastgroup[1:])][1], found.end())
    return match_unit(text, at)
