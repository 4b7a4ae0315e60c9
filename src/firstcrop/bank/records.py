"""Values of the bank with their sources. One row of a table is one value or one curve point."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from firstcrop.problems import Place


class Obtained(StrEnum):
    """How a value came into the bank; shown wherever the value is used."""

    MEASURED = "measured"
    FIT = "fit"
    DERIVED = "derived"
    ESTIMATE = "estimate"
    MEMORY = "from memory"
    PRACTICE = "common practice"


@dataclass(frozen=True, slots=True)
class Source:
    """A reference, named once in `data/sources/*.tsv`."""

    key: str
    citation: str
    address: str = ""


@dataclass(frozen=True, slots=True)
class Datum:
    """One value in SI with its 90 % half-width (0: the source gives none) and its origin."""

    value: float
    unit: str
    band: float = 0.0
    obtained: Obtained = Obtained.MEASURED
    source: str = ""  # key in Bank.sources
    where: str = ""  # table, page
    label: str = ""  # what it is, for people: "ΔfH° of NaOH(cr)"
    place: Place = field(default=Place(0), compare=False)


Stoichiometry = tuple[tuple[str, float], ...]  # (component, moles), H2O and H+ may be negative


@dataclass(frozen=True, slots=True)
class Substance:
    """A thing one can weigh or pour. `components` is empty for one that stays out of the liquor
    (a metal, an oil): it then is its own component, never dissolved."""

    key: str  # canonical name, lower case
    names: tuple[str, ...]
    formula: str
    phase: str  # solid, liquid, gas
    components: Stoichiometry = ()
    molar_mass: float = 0.0  # kg/mol
    density: Datum | None = None  # kg/m3
    formation: Datum | None = None  # J/mol, 298.15 K
    heat_capacity: Datum | None = None  # J/(mol K)
    melting_point: Datum | None = None  # K
    boiling_point: Datum | None = None  # K
    cas: str = ""
    hazards: tuple[str, ...] = ()  # H codes of the pure substance
    notes: str = ""
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Feedstock:
    """A shop product as sold: what is in the packet and how much of it."""

    name: str
    names: tuple[str, ...]
    substance: str
    strength: str  # as a sheet would write it: "98 ± 1 % w/w, rest water"
    source: str
    obtained: Obtained
    notes: str = ""
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Component:
    """A master component: an ion or neutral from which the others are formed."""

    key: str  # "Al+3", "SO4-2", "CO(NH2)2"
    formula: str
    charge: int
    formation: Datum  # J/mol, aqueous, infinite dilution
    heat_capacity: Datum | None = None  # J/(mol K)
    volume: Datum | None = None  # m3/mol, infinite dilution
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Species:
    """An aqueous species formed from components; `bulk` is how density and heat count it."""

    key: str
    components: Stoichiometry
    charge: int
    log_k: Datum  # log10 K of formation from components, 298.15 K
    enthalpy: Datum | None = None  # J/mol of that formation
    heat_capacity: Datum | None = None  # J/(mol K) of that formation
    bulk: Stoichiometry = ()  # empty: counts as itself
    names: tuple[str, ...] = ()
    formation: Datum | None = None  # J/mol from the elements, where a source gives it
    volume: Datum | None = None  # m3/mol, infinite dilution


@dataclass(frozen=True, slots=True)
class Gas:
    """A gas and the components it comes from; K = fugacity (bar) over the activity product."""

    key: str  # "CO2(g)"
    components: Stoichiometry
    log_k: Datum
    enthalpy: Datum | None
    heat_capacity: Datum | None  # of that formation
    formation: Datum | None  # J/mol
    cp: Datum | None  # J/(mol K) of the gas
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """A point of a solubility curve: g of anhydrous solute per 100 g water, saturated."""

    temperature: float  # K
    value: float
    band: float
    obtained: Obtained
    source: str
    place: Place = field(default=Place(0), compare=False)


@dataclass(frozen=True, slots=True)
class Solid:
    """A solid that may form, with the curve that anchors its K(T)."""

    key: str  # "KAl(SO4)2·12H2O"
    substance: str  # key in Bank.substances
    components: Stoichiometry
    anhydrous: str  # formula the curve counts
    names: tuple[str, ...]
    density: Datum | None
    formation: Datum | None
    heat_capacity: Datum | None
    curve: tuple[CurvePoint, ...] = ()
    log_k: Datum | None = None  # for the sparingly soluble: log10 of the activity product, 298.15 K
    log_k_enthalpy: Datum | None = None  # J/mol of dissolving
    stable: tuple[float, float] = (0.0, 1e9)  # K, where the curve belongs to this hydrate
    filters: str = ""  # crystalline, gelatinous, ...
    water: float = 0.0  # moles of water in it beyond `anhydrous`
    others: tuple[CurvePoint, ...] = ()  # of other sources than the curve's, kept beside it
    place: Place = field(default=Place(0), compare=False)
