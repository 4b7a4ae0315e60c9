"""An assay as the shelf keeps it with a bottle."""

from __future__ import annotations

import json

from firstcrop.bank.bank import Bank
from firstcrop.bank.lookup import substance_named
from firstcrop.problems import Problem
from firstcrop.shelf import records
from firstcrop.shelf.assay_records import Assay, assay_json


def fits(found: Assay, bottle: records.Bottle, bank: Bank) -> Problem | None:
    """None when the assay is of what the bottle holds. Code: assay.other."""
    substance = substance_named(bank, found.substance)
    if substance is None or substance.key == bottle.substance:
        return None
    message = f"{bottle.name} holds {bottle.substance}, and this is an assay of {substance.key}"
    hint = "name the substance as the shelf does, or keep it with another bottle"
    return Problem("assay.other", message, hint=hint)


def record_of(found: Assay, key: str, taken_at: str, who: str) -> records.Assay | Problem:
    """The record of an assay for a bottle; `taken_at` is ISO text.

    The shelf takes 1.645 standard uncertainties as the 90 % half-width, so one from few replicates
    is kept as the uncertainty whose 1.645-fold is its real half-width. Code: assay.no-strength.
    """
    if found.strength is None or found.basis is None:
        message = f"{found.method} gives no strength that a bottle could take."
        return Problem("assay.no-strength", message)
    whole = assay_json(found)
    return records.Assay(
        key,
        taken_at,
        who,
        found.method,
        found.value,
        found.basis.value,
        found.measured.half_width(0.9) / records.HALF,
        json.dumps(whole["budget"], ensure_ascii=False),
        json.dumps(found.text, ensure_ascii=False),
        "; ".join(p.message for p in found.problems),
    )
