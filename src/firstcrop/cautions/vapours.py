"""Strong volatile liquids standing open: what half an hour of them makes of the room."""

from __future__ import annotations

from firstcrop.bank.lookup import plain_name
from firstcrop.bank.mixing import load_gas_hazards
from firstcrop.bank.vapours import vapour_rows
from firstcrop.cautions.air import case, room_of, room_words
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene
from firstcrop.forecast.records import Caution
from firstcrop.laws.evaporation_rmp_1999 import molar_flux

STANDS = 1800.0  # s that a vessel is taken to stand open in a step
SURFACE = 3.8e-3  # m2, a 400 mL low-form beaker (ISO 3819, 70 mm across)
DRAUGHT = 0.1  # m/s, indoor air
TEMPERATURE = 298.15  # K


def vapours(scene: Scene) -> tuple[Caution, ...]:
    """One caution per substance, at the first step in which it stands open strong enough to pass
    a short-term limit near the bench."""
    closed = {plain_name(v.name) for v in scene.forecast.preparation.vessels if v.closed}
    room = room_of(scene.forecast.preparation)
    found: dict[str, Caution] = {}
    for meeting in scene.story.meetings:
        if meeting.vessel in closed or meeting.where:
            continue
        for key in meeting.added.masses:
            amount = given_off(key, meeting.after) if key not in found else 0.0
            if amount <= 0.0:
                continue
            gas = vapour_rows()[key][0].gas
            one = case(meeting.step, gas, amount, amount, room)
            if not one.grade > 1.0:
                continue
            told = (
                f"Half an hour of an open 400 mL beaker comes to {one.room_ppm:.2g} ppm in "
                f"{room_words(room)}, near the bench to {one.near_ppm:.2g} ppm; limits: "
                f"{one.limits}."
            )
            found[key] = say("vapour", meeting.step, meeting.place, code=f"vapour.{gas}",
                             name=load_gas_hazards()[gas].name, told=told)  # fmt: skip
    return tuple(found.values())


def given_off(key: str, contents: Contents) -> float:
    """mol of vapour from an open vessel in `STANDS` s, 0 for what is weak or not listed."""
    rows = vapour_rows().get(key)
    if rows is None or key in contents.held:
        return 0.0
    share = contents.share(key)
    row = next((r for r in reversed(rows) if share >= r.share), None)
    if row is None:
        return 0.0
    pressure = row.pressure * min(share / row.share, 1.2)
    molar_mass = contents.substances[key].molar_mass
    return molar_flux(pressure, molar_mass, TEMPERATURE, DRAUGHT) * SURFACE * STANDS
