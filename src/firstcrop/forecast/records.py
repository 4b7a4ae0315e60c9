"""What a forecast says: plain frozen records, SI throughout, every number with its working."""

from __future__ import annotations

from dataclasses import dataclass, field

from firstcrop.bank.records import Datum
from firstcrop.problems import UNPLACED, Place, Problem, Severity
from firstcrop.quantity.records import Strength
from firstcrop.sheet.records import Preparation


@dataclass(frozen=True, slots=True)
class Term:
    """One addend (or factor) of a working."""

    label: str
    value: float
    unit: str
    note: str = ""
    data: tuple[Datum, ...] = ()


@dataclass(frozen=True, slots=True)
class Working:
    """How a number came about. `how` is "sum", "product" or "solve"; for a sum the terms add up
    to the value (that is tested), for a solve the terms are the balance at the answer."""

    value: float
    unit: str
    how: str
    terms: tuple[Term, ...]
    law: str = ""
    source: str = ""
    notes: tuple[str, ...] = ()  # estimated, missing, out of range


@dataclass(frozen=True, slots=True)
class Influence:
    """What one uncertain input does to a number: its shifts when the input goes to its bounds."""

    label: str
    down: float  # in the number's unit, at the input's lower bound
    up: float


@dataclass(frozen=True, slots=True)
class Number:
    """A result: SI value, 90 % band (low, high), its working. NaN value: not known, see `why`."""

    value: float
    low: float
    high: float
    unit: str  # SI unit: K, kg, m3, mol, s, 1, J
    working: Working | None = None
    why: str = ""  # why it is not known, or what qualifies it
    influences: tuple[Influence, ...] = ()  # what the band is made of, the largest first


@dataclass(frozen=True, slots=True)
class Amounts:
    """Named amounts, mol: solids, gases or species."""

    items: tuple[tuple[str, float], ...] = ()

    def get(self, key: str) -> float:
        """Moles of `key`, 0.0 when absent."""
        return dict(self.items).get(key, 0.0)


@dataclass(frozen=True, slots=True)
class Moment:
    """A vessel at one time."""

    time: float  # s from the start of the run
    temperature: float  # K
    volume: float  # m3, liquid and solids
    mass: float  # kg
    ph: float  # NaN when there is no liquor
    solids: Amounts = Amounts()
    gas_rate: float = 0.0  # m3/s at room conditions
    gas_total: float = 0.0  # mol given off since the start of the run
    foam_volume: float = 0.0  # m3, volume with gas held up


@dataclass(frozen=True, slots=True)
class Pending:
    """A declared reaction that has begun and is not over."""

    label: str
    amount: float  # mol of reaction still to come, all of it
    heat: float  # J/mol given off (negative: taken up); NaN not known
    rate: float  # mol/s now; NaN not known
    activation: float = 0.0  # J/mol, of the rate; 0: the rate is given without temperature


@dataclass(frozen=True, slots=True)
class Inside:
    """What stands in a vessel at one time of a step: its start, its hottest, its end."""

    time: float
    temperature: float
    liquor: Amounts  # mol of components in the liquor, waiting gas included, crystals not
    liquor_mass: float  # kg
    dry: Amounts  # mol of substances that are no part of the liquor
    heat_capacity: float  # J/K, the vessel's wall included
    pending: tuple[Pending, ...] = ()


@dataclass(frozen=True, slots=True)
class StepForecast:
    """What one numbered step does in the vessel it works on."""

    number: int
    place: Place
    vessel: str
    summary: str  # "add 7.0 g of caustic potash"
    start: Moment
    end: Moment
    duration: float  # s
    peak_temperature: Number
    lowest_temperature: Number
    end_temperature: Number
    peak_volume: Number  # m3, foam included
    capacity: float  # m3, NaN when no vessel was named
    end_ph: Number
    gas: Amounts  # mol given off in this step
    gas_volume: Number  # m3 at room temperature and pressure
    solids: Amounts  # at the end
    heat: Working | None  # where the heat came from and went, J
    limits: tuple[Limit, ...] = ()
    problems: tuple[Problem, ...] = ()
    inside: tuple[Inside, ...] = ()  # in order of time, the last at the end; empty: no vessel


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit the writer set and whether the forecast keeps it."""

    text: str  # "below 45 °C"
    value: float  # SI
    reached: float
    kept: bool
    place: Place


@dataclass(frozen=True, slots=True)
class Window:
    """Temperatures between which only the wanted solid crystallises from this liquor."""

    step: int
    wanted: str
    low: float  # K; NaN: none
    high: float  # K, where the wanted solid begins
    rivals: tuple[tuple[str, float], ...]  # (solid, temperature K at which it joins)
    temperatures: tuple[float, ...] = ()  # K, for the picture
    amounts: tuple[tuple[str, tuple[float, ...]], ...] = ()  # solid -> mol at each temperature
    dissolved: tuple[tuple[str, tuple[float, ...]], ...] = ()  # solid -> kg that stays dissolved


@dataclass(frozen=True, slots=True)
class Crop:
    """A solid kept: what it weighs as filtered, washed, dried, and what is in it."""

    number: int
    step: int
    name: str  # principal solid
    wet_mass: Number  # kg
    dry_mass: Number  # kg
    composition: tuple[tuple[str, float], ...]  # solid or dried-on solute -> kg, dry
    purity: Number  # fraction
    yield_fraction: Number  # of theory, for the target; NaN when it is not the target
    left_in_liquor: Number  # kg of the principal solid still dissolved
    place: Place


@dataclass(frozen=True, slots=True)
class Fate:
    """A place where some of the target ended up, as kg of target; all together are theory."""

    where: str
    mass: Number  # kg


@dataclass(frozen=True, slots=True)
class BlankAnswer:
    """The value found for a `?`, and what bounded it."""

    place: Place
    step: int
    text: str  # as it would be written in the sheet: "6 portions", "112 mL"
    number: Number
    bound: str  # "the pH reached 2.5", "5 portions would reach 46.2 °C"


@dataclass(frozen=True, slots=True)
class Comparison:
    """An observation beside the forecast."""

    text: str
    observed: float
    low: float  # of the observation
    high: float
    forecast: Number
    inside: bool  # observation and forecast bands overlap
    place: Place


@dataclass(frozen=True, slots=True)
class Caution:
    """A hazard seen in the forecast: where, why, what would make it go away."""

    code: str
    severity: Severity
    message: str
    why: str
    source: str
    remedy: str
    step: int = 0
    place: Place = UNPLACED
    unverified: bool = False


@dataclass(frozen=True, slots=True)
class Trace:
    """The run over time for the picture: parallel series, one row a saved instant."""

    time: tuple[float, ...] = ()
    step: tuple[int, ...] = ()
    vessel: tuple[str, ...] = ()
    temperature: tuple[float, ...] = ()
    temperature_low: tuple[float, ...] = ()
    temperature_high: tuple[float, ...] = ()
    volume: tuple[float, ...] = ()
    foam_volume: tuple[float, ...] = ()
    capacity: tuple[float, ...] = ()
    ph: tuple[float, ...] = ()
    gas_rate: tuple[float, ...] = ()  # m3/s
    gas_total: tuple[float, ...] = ()  # m3 at room conditions
    solids: tuple[tuple[str, tuple[float, ...]], ...] = ()  # name -> kg


@dataclass(frozen=True, slots=True)
class Balance:
    """Books that must close: what went in, what is accounted for, relative gap."""

    quantity: str  # an element, "charge", "energy", "mass"
    put_in: float
    found: float
    gap: float  # relative


@dataclass(frozen=True, slots=True)
class Resting:
    """A data row the forecast rests on, for people."""

    label: str
    value: str
    source: str
    obtained: str
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Bottle:
    """A bottle on the shelf as a forecast sees it; `strength` None: nobody knows it. `note` says
    how the strength is known today ("titrated 3 days ago"), `source` on what that rests."""

    key: str  # the name sheets use in the column `bottle`
    substance: str  # key in the bank
    strength: Strength | None
    note: str = ""
    source: str = ""
    obtained: str = "measured"


@dataclass(frozen=True, slots=True)
class Taken:
    """How much of a material the run takes, washes included."""

    material: str  # lower case
    mass: float  # kg
    volume: float  # m3 at 20 °C


@dataclass(frozen=True, slots=True)
class Forecast:
    """All of it. `problems` holds every mistake, gap and broken limit, in line order."""

    preparation: Preparation
    problems: tuple[Problem, ...] = ()
    steps: tuple[StepForecast, ...] = ()
    crops: tuple[Crop, ...] = ()
    windows: tuple[Window, ...] = ()
    blanks: tuple[BlankAnswer, ...] = ()
    comparisons: tuple[Comparison, ...] = ()
    cautions: tuple[Caution, ...] = ()
    not_assessed: tuple[str, ...] = ()
    trace: Trace = Trace()
    balances: tuple[Balance, ...] = ()
    rests_on: tuple[Resting, ...] = ()
    theory: Number | None = None  # kg of target from the limiting reagent
    fates: tuple[Fate, ...] = ()  # where the target is when the run is over
    taken: tuple[Taken, ...] = ()  # of each material
    refused: str = ""  # one plain sentence when the tool will not plan this
