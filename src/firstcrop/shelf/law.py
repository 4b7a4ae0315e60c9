"""The law's notices about a bottle: what the lists say at its strength, and no advice beyond it."""

from __future__ import annotations

from sqlalchemy import delete, insert, select

from firstcrop.bank.bank import Bank
from firstcrop.bank.mixing import Rule, load_places, rules_in
from firstcrop.problems import Problem
from firstcrop.quantity.records import Basis
from firstcrop.shelf.mixture import mixture
from firstcrop.shelf.records import Today
from firstcrop.shelf.tables import SETTING
from firstcrop.store.engine import Store

CHECK = "Check your local law."
PLACE = "jurisdiction"
ANYWHERE = "anywhere"


def notices(today: Today, bank: Bank, place: str = "") -> tuple[str, ...]:
    """What the lists say of the bottle. `place` is whose law it is (a code or a country); with
    none every list is told. A strength that is not known is taken to be above the limit."""
    held = [r for r in rules_in(place) if r.substance == today.level.bottle.substance]
    if not held:
        return ()
    top = strongest(today, bank)
    told = [_told(r, top) for r in held if top is None or top > r.limit]
    return tuple(f"{sentence} {CHECK}" for sentence in told)


def strongest(today: Today, bank: Bank) -> float | None:
    """kg/kg at the upper end of the strength (as claimed, or today's); None when not known."""
    strength = today.start or today.strength
    if strength is None:
        return None
    if strength.basis is Basis.WW:
        return strength.value + strength.band
    made = mixture(bank, (today.level.bottle.substance, strength))
    found = made if isinstance(made, Problem) else made.fraction(strength)
    if isinstance(found, Problem) or not strength.value:
        return None
    spread = strength.band / strength.value if strength.basis is not Basis.DENSITY else 0.0
    return found * (1.0 + spread)


def _told(rule: Rule, top: float | None) -> str:
    unsure = " (its strength is not known)" if top is None else ""
    memory = ", set down from memory" if rule.obtained == "from memory" else ""
    match rule.kind:
        case "restricted":
            limit = f"above {rule.limit * 100:g} % w/w" if rule.limit else "at any strength"
            more = ""
            if rule.licence is not None and "EU" in rule.places:
                more = f" (in the EU to {rule.licence * 100:g} % w/w at most)"
            return (
                f"{rule.substance} {limit}{unsure}: {rule.regime} restrict it; the public needs a "
                f"licence{more}, or cannot have it{memory}."
            )
        case "reportable":
            return (
                f"{rule.substance}: {rule.regime}: sellers report suspicious purchases, losses "
                f"and thefts{memory}."
            )
        case _:
            return f"{rule.substance}: {rule.regime}: trade in it is watched{memory}."


def set_place(store: Store, place: str) -> str | Problem:
    """Say whose law holds for this shelf: a country, EU, GB, or "anywhere" for every list."""
    wanted = " ".join(place.split())
    known = wanted.lower() in load_places() or wanted.lower() == ANYWHERE
    if not known:
        hint = "a country of the EU, UK, or: anywhere; for others the lists are not held here"
        return Problem("shelf.place", f"no list is held for “{place}”", hint=hint)
    with store.writing() as connection:
        connection.execute(delete(SETTING).where(SETTING.c.name == PLACE))
        connection.execute(insert(SETTING).values(name=PLACE, text=wanted))
    return wanted


def place_of(store: Store) -> str:
    """Whose law holds for this shelf, empty when nobody has said."""
    with store.reading() as connection:
        chosen = select(SETTING.c.text).where(SETTING.c.name == PLACE)
        return str(connection.execute(chosen).scalar() or "")
