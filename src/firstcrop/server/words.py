"""What the page offers to complete: verbs, phrases, substances, units, vessels and headings."""

from __future__ import annotations

from functools import cache

from firstcrop.bank.bank import Bank
from firstcrop.quantity.units import units
from firstcrop.sheet.hints import examples, phrase_forms
from firstcrop.sheet.records import Verb

LONGEST = 40


@cache
def words(bank: Bank) -> dict[str, list[str]]:
    """Each kind in the order to offer it; JSON as it is."""
    names = {n for s in bank.substances.values() for n in s.names if len(n) <= LONGEST}
    stuff = {n for f in bank.feedstocks for n in f.names if len(n) <= LONGEST}
    verbs = dict.fromkeys((*(v.value for v in Verb), *examples("verb")))
    return {
        "verbs": list(verbs),
        "phrases": [p for p in phrase_forms() if len(p) <= LONGEST],
        "substances": sorted(names | stuff, key=str.lower),
        "units": list(dict.fromkeys(u for u in units() if u)),
        "vessels": sorted({f"{v.nominal * 1e6:.0f} mL {v.form}" for v in bank.vessels}),
    }
