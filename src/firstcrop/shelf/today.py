"""How strong a bottle is today: the latest assay, else the label's claim, aged to the day."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, datetime

from firstcrop.bank.bank import Bank
from firstcrop.bank.keeping import load_keeping
from firstcrop.forecast.records import Bottle as Offered
from firstcrop.forecast.resolve import needs_strength
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_strength
from firstcrop.quantity.records import Basis, Strength
from firstcrop.shelf.ageing import Case, not_known, practice, warmth
from firstcrop.shelf.ageing_rules import age
from firstcrop.shelf.records import HALF, Ageing, Assay, Level, Today

SCALED = (Basis.WW, Basis.WV, Basis.VV, Basis.MOLARITY, Basis.MOLALITY, Basis.MASS_CONCENTRATION,
          Basis.NORMALITY)  # fmt: skip


def strength_today(level: Level, bank: Bank, day: date) -> Today:
    """The strength on `day` with its 90 % band."""
    start, since, rests_on = _start(level)
    if start is None:
        needs = needs_strength(bank.substances[level.bottle.substance])
        why = "titrate it before use" if needs else "taken as pure"
        return Today(level, None, "", None, not_known(""), rests_on, needs, why)
    ageing = _aged(level, bank, start, since, day)
    if not ageing.known:
        why = "titrate it before use"
        return Today(level, start, since, None, ageing, rests_on, titrate=True, why=why)
    strength = _scaled(start, ageing)
    wide = strength.band > practice("spoils")[0] * strength.value
    why = "its spread is wide: titrate it before use" if wide else ""
    return Today(level, start, since, strength, ageing, rests_on, wide, why)


def offered(today: Today) -> Offered:
    """The bottle as a forecast takes it."""
    level = today.level
    source = today.ageing.source if today.ageing.value != 1.0 else ""
    told = "measured" if level.assay else "the label's claim"
    return Offered(level.bottle.name, level.bottle.substance, today.strength, today.note, source,
                   told)  # fmt: skip


def _start(level: Level) -> tuple[Strength | None, str, str]:
    if level.assay:
        return _assayed(level.assay), level.assay.taken_at, _told(level.assay)
    bottle = level.bottle
    if not bottle.strength:
        return None, "", "its label gives no strength"
    claim = read_strength(bottle.strength)
    if isinstance(claim, Problem):
        return None, "", f"its label's claim cannot be read: {claim.message}"
    vague = "" if claim.band else ", which gives no tolerance"
    return claim, bottle.made or bottle.bought, f"the label's claim{vague}"


def _assayed(assay: Assay) -> Strength:
    return Strength(assay.value, Basis(assay.basis), assay.standard_uncertainty * HALF)


def _told(assay: Assay) -> str:
    return f"assayed {assay.taken_at[:10]} ({assay.method})"


def _aged(level: Level, bank: Bank, start: Strength, since: str, day: date) -> Ageing:
    row = load_keeping().get(level.bottle.substance)
    timeless = row is None or row.rule in ("keeps", "unknown", "humidity", "headspace", "carbonate")
    then = _date(since)
    if then is None and not timeless:
        return not_known("when it was made or bought is not known, so neither is its age")
    if start.basis not in SCALED and not timeless:
        return not_known("its strength is on a basis that cannot be aged")
    days = 0.0 if then is None else max(float((day - then).days), 0.0)
    return age(Case(level, bank, start, days, warmth(level)))


def _date(text: str) -> date | None:
    try:
        return datetime.fromisoformat(text).date()
    except ValueError:
        return None


def _scaled(start: Strength, ageing: Ageing) -> Strength:
    if (ageing.low, ageing.value, ageing.high) == (1.0, 1.0, 1.0):
        return start
    half = max(ageing.high - ageing.value, ageing.value - ageing.low) * start.value
    value = start.value * ageing.value
    return replace(start, value=value, band=math.hypot(start.band * ageing.value, half), text="")
