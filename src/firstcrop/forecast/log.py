"""What one step did, instant by instant: the raw stuff of its numbers and workings."""

from __future__ import annotations

from dataclasses import dataclass, field

from firstcrop.forecast.contents import Contents
from firstcrop.forecast.records import Limit
from firstcrop.forecast.stock import Stock
from firstcrop.liquor.system import Floats


@dataclass(slots=True)
class Instant:
    """A vessel at one time, raw."""

    time: float
    pot: str
    temperature: float
    volume: float
    foam: float
    ph: float
    solids: Floats
    gas_rate: float  # m3/s
    gas_total: float  # mol
    mass: float
    steam: float = 0.0  # mol of the gas_total that is water vapour


@dataclass(slots=True)
class Brought:
    """A material brought into the vessel: how much of it so far, and how warm it came."""

    label: str
    stock: Stock
    mass: float  # kg
    temperature: float


@dataclass(slots=True)
class Snapshot:
    """The vessel and everything that crossed its border since the step began."""

    contents: Contents
    wall: float  # J/K
    brought: tuple[tuple[str, Stock, float, float], ...]  # label, stock, kg, K
    heat: float  # J from surroundings and heaters
    gas: Floats  # mol
    gas_heat: float
    reacted: Floats  # mol of reaction


@dataclass(slots=True)
class Log:
    """Filled while a step runs. `heat`, `gas`, `reacted` count from the step's start."""

    step: int
    pot: str
    start_time: float
    gas: Floats
    reacted: Floats
    instants: list[Instant] = field(default_factory=list)
    brought: list[Brought] = field(default_factory=list)
    heat: float = 0.0
    gas_heat: float = 0.0
    first: Snapshot | None = None
    peak: Snapshot | None = None
    last: Snapshot | None = None
    limits: list[Limit] = field(default_factory=list)
    boiled: bool = False
    evaporated: float = 0.0  # kg of water
    moved: bool = False  # matter left the vessel: heat terms no longer tell the temperature
    heat_before: float = 0.0  # J, of clauses on another vessel or before matter left
    gas_before: Floats | None = None
    gas_heat_before: float = 0.0
    reacted_before: Floats | None = None

    def snapshot(self, contents: Contents, wall: float) -> Snapshot:
        """The present state of the books of this step."""
        brought = tuple((b.label, b.stock, b.mass, b.temperature) for b in self.brought)
        gas, reacted = self.gas.copy(), self.reacted.copy()
        if self.gas_before is not None and self.reacted_before is not None:
            gas, reacted = gas - self.gas_before, reacted - self.reacted_before
        return Snapshot(
            contents,
            wall,
            brought,
            self.heat - self.heat_before,
            gas,
            self.gas_heat - self.gas_heat_before,
            reacted,
        )

    def rebase(self, pot: str) -> None:
        """Begin anew with a vessel: the snapshots count from here."""
        self.pot = pot
        self.first = self.peak = self.last = None
        self.brought = []
        self.heat_before, self.gas_heat_before = self.heat, self.gas_heat
        self.gas_before, self.reacted_before = self.gas.copy(), self.reacted.copy()

    @property
    def hottest(self) -> float:
        """K, the highest temperature so far."""
        return max((i.temperature for i in self.instants), default=float("nan"))
