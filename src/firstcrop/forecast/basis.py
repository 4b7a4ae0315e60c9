"""What a forecast rests on: the data rows behind it, for people."""

from __future__ import annotations

from collections.abc import Iterator

from firstcrop.bank.practice import load_practice
from firstcrop.bank.records import Datum
from firstcrop.forecast.context import Ground
from firstcrop.forecast.records import Resting
from firstcrop.forecast.simulate import Run
from firstcrop.forecast.solvent_moves import solvents_in
from firstcrop.forecast.solvent_notes import solvent_data


def rests_on(ground: Ground, run: Run) -> tuple[Resting, ...]:
    """Every row once, in the order: substances, solution, bench practice."""
    seen: dict[Resting, None] = {}
    for datum in _data(ground, run):
        source = ground.bank.sources.get(datum.source)
        cited = source.citation if source is not None else datum.source
        where = f", {datum.where}" if datum.where else ""
        spread = f" ± {datum.band:.3g}" if datum.band else ""
        row = Resting(
            datum.label or "value",
            f"{datum.value:.6g}{spread} {datum.unit}",
            f"{cited}{where}",
            datum.obtained.value,
            datum.place,
        )
        seen[row] = None
    return tuple(seen)


def _data(ground: Ground, run: Run) -> Iterator[Datum]:
    chem = ground.chem
    used = run.world.books.dry_in > 0.0
    for substance, there in zip(chem.dry, used, strict=True):
        if there:
            for datum in (substance.formation, substance.heat_capacity, substance.density):
                if datum is not None:
                    yield datum
    for data in chem.assembled.rests_on.values():
        yield from data
    there = solvents_in(ground, run.world)
    if there.any():
        yield from solvent_data(ground, tuple(there.tolist()), _formed(ground, run))
    for key in run.knobs:
        if key.startswith("practice:"):
            yield load_practice()[key.removeprefix("practice:")].datum


def _formed(ground: Ground, run: Run) -> set[str]:
    """Keys of the solids that were there at any time."""
    names = ground.chem.system.solids
    return {
        names[n]
        for log in run.logs
        for instant in log.instants
        for n in range(len(names))
        if n < len(instant.solids) and instant.solids[n] > 0.0
    }
