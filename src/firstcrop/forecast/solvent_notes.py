"""What must be said of a liquor that is no longer water alone, and what its crops rest on."""

from __future__ import annotations

from collections.abc import Iterator

from firstcrop.bank.records import Datum
from firstcrop.bank.solvents import Solvent, load_layers, load_mixed, load_typical
from firstcrop.forecast.context import Context, Ground
from firstcrop.forecast.solvents import ESTIMATE, MEASURED, NODES, NONE
from firstcrop.liquor.state import State
from firstcrop.problems import Place, Severity

FELT = 0.01  # kg/kg of solvent that is worth a word
LITTLE = 0.05  # kg/kg up to which a solubility nobody knows there is near that in water
NEAR = -1.5  # ln(Q/K): a solid that far from crystallising is none of the liquor's
SALTY = 0.5  # mol/kg water of each ion from which a salt may split the liquid
SPLIT = (0.05, 0.9)  # kg/kg of solvent between which layers are known


def heed(ctx: Context, state: State | None, place: Place) -> None:
    """Say which solids' solubility in this mixture is estimated or not known at all, that it may
    part into layers, and that there is too little water."""
    mix = ctx.chem.mix
    if mix is None or ctx.quiet or state is None or not state.ok:
        return
    for v, w in enumerate(mix.of_state(state).tolist()):
        if w > FELT:
            _solids(ctx, state, v, w, place)
            _layers(ctx, state, mix.solvents[v], w, place)
        if w > NODES[-1] and not ctx.told("hardly any water", mix.solvents[v].name):
            ctx.complain(
                "hardly any water",
                f"{w:.1%} of the liquid is {mix.solvents[v].name}: solubilities are those of "
                f"{NODES[-1]:.0%}",
                place,
                severity=Severity.WARNING,
            )


def _solids(ctx: Context, state: State, v: int, w: float, place: Place) -> None:
    mix, names = ctx.chem.mix, ctx.chem.system.solids
    assert mix is not None
    solvent = mix.solvents[v].name
    for n, basis in enumerate(mix.basis[v]):
        if not (state.solids[n] > 0.0 or state.saturation[n] > NEAR):
            continue
        if basis == NONE:
            ctx.complain(
                "solvent not assessed",
                f"how far {names[n]} dissolves in water with {solvent} is not known: what is "
                "computed of it here is that of water and does not count",
                place,
                "try it on a little first",
                Severity.ERROR if w > LITTLE else Severity.NOTE,
            )
        elif basis == ESTIMATE:
            ctx.note(
                "solvent estimate",
                f"{names[n]} in water with {solvent}: no published solubility, so it falls "
                f"log-linearly as usual for its charges, 90 % within ± {mix.spread[v, n]:.0%} of "
                "the fall",
                place,
            )


def _layers(ctx: Context, state: State, solvent: Solvent, w: float, place: Place) -> None:
    species = ctx.chem.system.species
    for row in load_layers().get(solvent.component, ()):
        if row.cation not in species or row.anion not in species:
            continue
        there = (state.molalities[species.index(ion)] > SALTY for ion in (row.cation, row.anion))
        if SPLIT[0] < w < SPLIT[1] and all(there):
            ctx.complain(
                "two layers",
                f"{row.cation} with {row.anion} can part water and {solvent.name} into two "
                "layers: it is computed as one liquid",
                place,
                "use less of the salt or of the solvent, or wash the crystals instead",
                Severity.WARNING,
            )


def solvent_data(ground: Ground, used: tuple[bool, ...], solids: set[str]) -> Iterator[Datum]:
    """The rows behind the solubility of `solids` in the solvents used [V]."""
    mix = ground.chem.mix
    if mix is None:
        return
    for v, solvent in enumerate(mix.solvents):
        if not used[v]:
            continue
        for n, key in enumerate(ground.chem.system.solids):
            if key in solids and mix.basis[v][n] == MEASURED:
                yield from _published(key, solvent)
            elif key in solids and mix.basis[v][n] == ESTIMATE:
                yield from (row.sigma for row in load_typical()[solvent.component])


def _published(key: str, solvent: Solvent) -> Iterator[Datum]:
    for item in load_mixed().get((key, solvent.component), ()):
        p = item.point
        label = f"{key} at {p.temperature - 273.15:.3g} °C in {item.w:.0%} w/w {solvent.name}"
        unit = "g/100 g solvent"
        yield Datum(p.value, unit, p.band, p.obtained, p.source, "", label, p.place)
