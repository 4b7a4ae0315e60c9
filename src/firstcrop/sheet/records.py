"""A written preparation as frozen records; places are excluded from equality.

Nothing here is computed: a Clause says what the writer asked for, in SI, and what
they left open (`Blank`). No data and no physics.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from firstcrop.chem.equation import Equation
from firstcrop.problems import Place, Problem
from firstcrop.quantity.records import Quantity, Strength

NOWHERE = Place(0, 0, 0)


class Verb(StrEnum):
    """The operations a step may ask for."""

    PUT = "put"
    ADD = "add"
    DISSOLVE = "dissolve"
    DILUTE = "dilute"
    MAKE_UP = "make up"
    STIR = "stir"
    HOLD = "hold"
    STAND = "stand"
    HEAT = "heat"
    COOL = "cool"
    BOIL_DOWN = "boil down"
    FILTER = "filter"
    DECANT = "decant"
    WASH = "wash"
    DRY = "dry"
    TRANSFER = "transfer"
    COMBINE = "combine"
    RETURN = "return"
    TITRATE = "titrate"
    REFLUX = "reflux"
    KEEP = "keep"
    DISCARD = "discard"


class Basket(StrEnum):
    """Words that name a part of what is at hand rather than a material."""

    LIQUOR = "liquor"
    CRYSTALS = "crystals"
    RESIDUE = "residue"
    MIXTURE = "mixture"


class EndKind(StrEnum):
    """What ends an operation."""

    PH = "pH"
    DISSOLVED = "dissolved"
    GAS_STOPS = "gas stops"
    CLEAR = "clear"
    CRYSTALS_APPEAR = "crystals appear"
    CONSTANT_MASS = "constant mass"
    ENDPOINT = "endpoint"
    DRYNESS = "dryness"


@dataclass(frozen=True, slots=True)
class Blank:
    """A `?` the writer left for the forecast to answer; `unit` is what they wrote after it."""

    unit: str = ""
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Equivalents:
    """`1.1 equiv of acid`: moles relative to the limiting reagent (or to `of`)."""

    count: Quantity
    of: str = ""


@dataclass(frozen=True, slots=True)
class Excess:
    """`an excess of ...`: enough, unspecified."""


@dataclass(frozen=True, slots=True)
class Rest:
    """`the rest of ...`: what earlier clauses left of it."""


Amount = Quantity | Blank | Equivalents | Excess | Rest


@dataclass(frozen=True, slots=True)
class End:
    """`to pH 3` (with the value, or a Blank), `until dissolved`, `until gas stops`."""

    kind: EndKind
    value: Quantity | Blank | None = None
    indicator: str = ""  # "phenolphthalein" of "to the phenolphthalein endpoint"
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Means:
    """How heat is moved: kind is one of air, cold water, ice bath, salt ice bath, warm water,
    water bath, hotplate, burner, fridge, freezer, oven, room, vacuum, desiccator, steam."""

    kind: str
    power: Quantity | None = None
    temperature: Quantity | None = None
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Clause:
    """One verb and its phrases. Fields not written are None (or False, or empty).

    `amount` and `what` are the direct object, except for wash, dilute, make up and titrate:
    there they are what follows "with" (the liquid used) and `into` is the thing acted upon.
    So "add 5 mL of acid to the liquor" and "dilute the liquor with 5 mL of water" both hold the
    addition in `amount`/`what` and its target in `into`. Names of the sheet's own materials and
    vessels are given as `names.fold` makes them; words for a part at hand as a Basket value.
    Temperatures in words keep the word as `unit`: "room" (20 ± 5 °C, European Pharmacopoeia 1.2,
    unless the sheet's Conditions say otherwise), "boiling" (100 °C stands in; use the boiling
    point), "ice" (0 °C). "overnight" is 12 ± 4 h (common practice).
    """

    verb: Verb
    amount: Amount | None = None  # "60 mL", "? mL", "half" is a FRACTION quantity
    what: str = ""  # material, substance, vessel part or Basket word, as written (lower case)
    into: str = ""  # target vessel or Basket word
    into_amount: Amount | None = None  # "titrate 10 mL of the liquor with ..."
    source: str = ""  # vessel or basket it comes from ("from the flask")
    solvent_amount: Amount | None = None  # "in ? mL of water"
    solvent: str = ""
    over: Quantity | Blank | None = None  # duration of an addition or of a temperature change
    portions: int | Blank | None = None
    rate: Quantity | Blank | None = None  # mL/min, g/min, K/min
    duration: Quantity | Blank | None = None  # "for 30 min"
    at: Quantity | Blank | None = None  # temperature of the thing added or of the operation
    to_temperature: Quantity | Blank | None = None
    to_volume: Quantity | Blank | None = None
    to_mass: Quantity | Blank | None = None
    below: Quantity | None = None  # keeping below
    above: Quantity | None = None  # keeping above
    end: End | None = None
    means: tuple[Means, ...] = ()
    covered: bool = False
    stirred: bool | None = None
    hot: bool = False  # "filter hot": at the temperature it has
    cold: bool = False  # "cold water": at the temperature of the tap
    keep: Basket | None = None  # "keep the liquor"
    times: int = 1  # "wash with 3 x 10 mL"
    adverbs: tuple[str, ...] = ()  # slowly, carefully, ... kept, printed, not computed
    place: Place = field(default=NOWHERE, compare=False)
    places: tuple[tuple[str, Place], ...] = field(default=(), compare=False)  # field -> place

    def at_field(self, name: str) -> Place:
        """Where the phrase that set `name` stands; the whole clause when it was not written."""
        return dict(self.places).get(name, self.place)


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered step: its clauses in order, its text as written, prose kept with it."""

    number: int
    clauses: tuple[Clause, ...]
    text: str
    notes: tuple[str, ...] = ()
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Material:
    """A row of `## Materials`."""

    name: str
    substance: str
    strength: Strength | None = None
    notes: str = ""
    strength_text: str = ""
    place: Place = field(default=NOWHERE, compare=False)
    strength_place: Place = field(default=NOWHERE, compare=False)
    bottle: str = ""  # the bottle on the shelf it comes from, folded
    bottle_place: Place = field(default=NOWHERE, compare=False)
    amount: Quantity | None = None  # in hand: what "the rest of" counts from


@dataclass(frozen=True, slots=True)
class Rate:
    """How fast a declared reaction goes. `order` 0 means instant and complete."""

    order: int = 0
    half_life: Quantity | None = None  # s; second order: at the starting concentration
    at: Quantity | None = None  # K, temperature of the half-life
    doubles_every: Quantity | None = None  # K
    activation_energy: Quantity | None = None  # J/mol in value, kind ENERGY
    extent: Quantity | None = None  # fraction it goes to


@dataclass(frozen=True, slots=True)
class Reaction:
    """A line of `## Reactions`."""

    equation: Equation
    rate: Rate = Rate()
    text: str = ""
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Vessel:
    """A line of `## Vessels`: `- beaker: 400 mL low-form beaker`."""

    name: str
    description: str
    capacity: Quantity | None = None  # m3
    form: str = ""  # low-form beaker, conical flask, round-bottom flask, jar, ...
    closed: bool = False
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class SubstanceRow:
    """A row of `## Substances`: what the bank lacks, cell by cell with its heading."""

    name: str
    cells: tuple[tuple[str, str], ...]  # (heading, text)
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Observation:
    """A line of `## Observed`: `- after step 3: 52 °C`, `- crop: 29.8 g`, `- crop 2: ...`,
    `- peak of step 2: 41 °C`, `- yield: 50-60 %`, `- gas: 57 mL`, `- mass after step 3: 530 g`."""

    # after step | peak of step | lowest of step | start of step | duration of step | crop |
    # yield | gas | pH | volume | mass | portion | amount
    subject: str
    step: int  # 0 when not about a step
    crop: int  # 0 when not about a crop
    quantity: Quantity
    text: str = ""
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Setting:
    """A line of `## Conditions`: room temperature, water temperature, pressure, jurisdiction."""

    name: str
    quantity: Quantity | None
    text: str
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Section:
    """Prose kept and printed: the heading ('' before the first), and its raw lines."""

    heading: str
    text: str
    after: int = 0  # how many items of that section (rows, lines, steps) stand before it
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class Preparation:
    """A whole sheet. `target` is the product named in the line `Makes NAME, FORMULA, ...`.

    `order` lists the headings as written, for the printer (empty: the usual order), and
    `columns` the headings of the Materials table.
    """

    title: str
    target: str = ""
    target_formula: str = ""
    makes: str = ""
    materials: tuple[Material, ...] = ()
    substances: tuple[SubstanceRow, ...] = ()
    reactions: tuple[Reaction, ...] = ()
    vessels: tuple[Vessel, ...] = ()
    conditions: tuple[Setting, ...] = ()
    steps: tuple[Step, ...] = ()
    observed: tuple[Observation, ...] = ()
    prose: tuple[Section, ...] = ()
    order: tuple[str, ...] = ()
    columns: tuple[str, ...] = ("name", "substance", "strength", "notes")
    source_lines: tuple[str, ...] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True)
class Reading:
    """What reading a text gave: the records it could make, and every mistake in it."""

    preparation: Preparation
    problems: tuple[Problem, ...] = ()
