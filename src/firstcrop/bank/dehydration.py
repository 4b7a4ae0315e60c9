"""Hydrates that lose water, and at what vapour pressure and temperature (`dehydration.tsv`)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Datum
from firstcrop.bank.tables import Row, read_table
from firstcrop.problems import Place


@dataclass(frozen=True, slots=True)
class Dehydration:
    """`solid` goes to `to` and `water` mol of vapour a mole. None: not known."""

    solid: str
    to: str
    water: float
    pressure: Datum | None  # Pa over both at 25 °C
    heat: Datum | None  # J per mol of vapour
    formation: Datum | None  # J/mol of what it becomes
    oven: Datum | None  # K at which handbooks say it goes
    place: Place = field(default=Place(0), compare=False)

    @property
    def vapour(self) -> tuple[float, float] | None:
        """Constants of the vapour pressure: Pa at 25 °C and J/mol."""
        if self.pressure is None or self.heat is None:
            return None
        return self.pressure.value, self.heat.value


@cache
def load_dehydration() -> Mapping[str, Dehydration]:
    """Every step by the solid that loses water."""
    return MappingProxyType({row.text("solid"): _step(row) for row in read_table("dehydration")})


def chain(solid: str) -> tuple[Dehydration, ...]:
    """The steps from a solid down, in order."""
    found: list[Dehydration] = []
    while (step := load_dehydration().get(found[-1].to if found else solid)) is not None:
        found.append(step)
    return tuple(found)


def _step(row: Row) -> Dehydration:
    solid, to = row.text("solid"), row.text("to")
    oven = row.datum("oven", "K", 1.0, f"temperature at which {solid} loses water")
    if oven is not None:
        oven = Datum(
            oven.value + 273.15, "K", 0.0, oven.obtained, oven.source, "", oven.label, row.place
        )
    return Dehydration(
        solid=solid,
        to=to,
        water=float(row.text("water")),
        pressure=row.datum("pressure", "Pa", 1.0, f"water vapour over {solid} and {to} at 25 °C"),
        heat=row.datum("heat", "J/mol", 1e3, f"heat of vapour from {solid}"),
        formation=row.datum("formation", "J/mol", 1e3, f"ΔfH° of {to}"),
        oven=oven,
        place=row.place,
    )
