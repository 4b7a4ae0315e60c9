"""Evaporate to dryness: all water goes, every solute stays as a solid."""

from __future__ import annotations

from dataclasses import replace

from firstcrop.forecast.blanks import quiet
from firstcrop.forecast.contents import empty, mass_of, solids_of
from firstcrop.forecast.march import Drive, write_instant
from firstcrop.forecast.operations.drying import cake_mass, dried
from firstcrop.forecast.ramp import boil
from firstcrop.forecast.task import Task, done
from firstcrop.forecast.world import Cake, Pot, World

NOTHING = 1e-9  # m3: boil on as long as there is a liquor
UNNAMED = 0.05  # part of the residue set from the last liquor from which it is worth a word


def to_dryness(task: Task, pot: Pot, drive: Drive) -> World:
    """Boil as long as there is a liquor, then let the last of its free water go on the heat."""
    whole = pot.contents.wet.copy()
    pot = boil(quiet(task), pot, task.log, drive, task.clause.place, until_volume=NOTHING)
    c, chem = pot.contents, task.ctx.chem
    solids = solids_of(c, chem)
    number = task.world.crops + 1
    cake = Cake(
        name=f"crop {number}",
        kind="crystals",
        step=task.step.number,
        place=task.clause.place,
        solids=solids,
        liquor=c.wet - solids @ chem.system.solid_nu,
        dry=c.dry,
        temperature=c.temperature,
        enthalpy=c.enthalpy,
        number=number,
        before=whole,
        filtered=solids,
        left=chem.nothing(),
    )
    world = done(task, replace(pot, contents=empty(chem, c.temperature)))
    given = world.books.heat
    task.world = world
    cake, world = dried(task, cake, "dryness")
    _report(task, cake)
    power = drive.around.power
    task.log.moved = True
    seconds = (world.books.heat - given) / power if power > 0.0 else 0.0
    write_instant(task.ctx, world.pots[pot.name], task.log, seconds)
    task.findings.cakes[cake.name] = cake
    world = replace(world, crops=number, crystals=cake.name, last_cake=cake.name)
    return world.with_cake(cake).at(task.log.instants[-1].time)


def _report(task: Task, cake: Cake) -> None:
    """Say how much came down with the last liquor, in whatever form."""
    chem = task.ctx.chem
    set_down = mass_of(chem, cake.liquor, chem.nothing_dry())
    whole = cake_mass(task, cake)
    if set_down > UNNAMED * whole > 0.0:
        task.warn(
            "dried from the last liquor",
            f"{set_down / whole:.0%} of the residue sets from the last liquor: its mass is "
            "computed, which solids it forms is not",
            "end",
            "stop earlier and filter where a pure solid is wanted",
        )
