"""One clause at work: what an operation is given, and what all operations need."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from firstcrop.forecast.chemistry import NO_HEAT
from firstcrop.forecast.contents import Matter, Wall, empty
from firstcrop.forecast.context import Context
from firstcrop.forecast.hull import Surroundings, hull_of, surroundings
from firstcrop.forecast.kinetics import Progress
from firstcrop.forecast.log import Log
from firstcrop.forecast.march import Drive, write_instant
from firstcrop.forecast.neat import is_neat
from firstcrop.forecast.records import Limit
from firstcrop.forecast.solvent_notes import heed
from firstcrop.forecast.stock import Stock, make_stock
from firstcrop.forecast.world import Cake, Pot, World, brought_in, wall_heat
from firstcrop.laws.ice_feistel_2006 import MELTING, ln_activity_beside_ice
from firstcrop.problems import UNPLACED, Place, Problem, Severity
from firstcrop.quantity.read import read_quantity
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.records import Clause, Means, Step

LIQUOR_WORDS = ("liquor", "mother liquor", "filtrate", "the liquor", "solution")
CRYSTAL_WORDS = ("crystals", "crop", "cake", "solid", "product", "precipitate")
RESIDUE_WORDS = ("residue",)
MIXTURE_WORDS = ("", "mixture", "it", "all", "everything", "contents")


@dataclass(frozen=True, slots=True)
class Answer:
    """The value found for a `?`: SI, what it is called, and the sentence that bounds it."""

    place: Place
    step: int
    value: float
    unit: str
    kind: str  # amount, portions, duration, temperature, volume, solvent, mass
    name: str  # of the material, vessel
    bound: str
    written: str  # unit the writer put behind the ?
    terms: tuple[tuple[str, float, str], ...] = ()  # label, value, unit


@dataclass(slots=True)
class Findings:
    """What a simulation found beside the worlds: filled as it goes."""

    answers: list[Answer] = field(default_factory=list)
    cakes: dict[str, Cake] = field(default_factory=dict)  # crops, as they last stood


@dataclass(slots=True)
class Task:
    """A clause, the world it finds, and where it writes."""

    ctx: Context
    world: World
    clause: Clause
    step: Step
    log: Log
    findings: Findings

    def complain(self, code: str, message: str, where: str = "", hint: str = "") -> None:
        """A Problem at a phrase of the clause."""
        place = self.clause.at_field(where) if where else self.clause.place
        self.ctx.complain(code, message, place, hint)

    def warn(self, code: str, message: str, where: str = "", hint: str = "") -> None:
        """A warning at a phrase of the clause."""
        place = self.clause.at_field(where) if where else self.clause.place
        self.ctx.complain(code, message, place, hint, Severity.WARNING)

    def note(self, code: str, message: str, where: str = "") -> None:
        """A note at a phrase of the clause."""
        place = self.clause.at_field(where) if where else self.clause.place
        self.ctx.note(code, message, place)

    def answer(
        self,
        value: float,
        unit: str,
        kind: str,
        where: str,
        bound: str,
        name: str = "",
        written: str = "",
        terms: tuple[tuple[str, float, str], ...] = (),
    ) -> None:
        """Write down the value of a blank."""
        place = self.clause.at_field(where)
        self.findings.answers.append(
            Answer(place, self.step.number, value, unit, kind, name, bound, written, terms)
        )

    def answer_mass(
        self,
        mass: float,
        stock: Stock,
        where: str,
        bound: str,
        written: str,
        terms: tuple[tuple[str, float, str], ...] = (),
    ) -> None:
        """Write down how much of a material, as a volume when the writer asked for one."""
        unit = written or ("mL" if stock.liquid else "g")
        if not is_volume(unit):
            self.answer(mass, "kg", "amount", where, bound, stock.name, unit, terms)
            return
        scaled = tuple((label, value / stock.density, note) for label, value, note in terms)
        self.answer(mass / stock.density, "m3", "amount", where, bound, stock.name, unit, scaled)


def is_volume(unit: str) -> bool:
    """Whether a unit the writer put behind a `?` is one of volume."""
    one = read_quantity(f"1 {unit}", UNPLACED) if unit else None
    return isinstance(one, Quantity) and one.kind in (Kind.VOLUME, Kind.DROPS)


def means_of(task: Task) -> tuple[Means, ...]:
    """Means written in this clause, else in the last clause before it in the same step."""
    if task.clause.means:
        return task.clause.means
    before: tuple[Means, ...] = ()
    for clause in task.step.clauses:
        if clause is task.clause:
            break
        before = clause.means or before
    return before


def around(task: Task) -> Surroundings:
    """What the vessel stands in during this clause."""
    return surroundings(task.ctx, means_of(task))


def drive_of(task: Task, hold: float | None = None) -> Drive:
    """The boundary condition of this clause."""
    return Drive(around(task), hold, stirred=task.clause.stirred is not False)


def fresh_log(task: Task) -> Log:
    """A log for a trial of this clause."""
    log = Log(
        task.log.step, task.log.pot, task.world.time, task.log.gas * 0.0, task.log.reacted * 0.0
    )
    return log


def stock_of(task: Task, name: str, where: str = "what") -> Stock | None:
    """The material called `name` at the strength of this run; None after a Problem."""
    ctx = task.ctx
    key = name.lower()
    known = ctx.stocks.get(key)
    if known is not None:
        return known
    material = ctx.ground.materials.get(key)
    if material is None:
        return None  # reported when the names were looked up
    made = make_stock(ctx.chem, material, ctx.knobs, ctx.ground.hydrates)
    if isinstance(made, Problem):
        ctx.complain(
            made.code,
            made.message,
            made.places[0] if made.places else task.clause.at_field(where),
            made.hint,
        )
        return None
    _report_gaps(ctx, made, task.clause.at_field(where))
    ctx.stocks[key] = made
    return made


def _report_gaps(ctx: Context, stock: Stock, place: Place) -> None:
    """Say what the bank lacks of what is in a material: a warning where heat is at stake."""
    for row, amount in enumerate(stock.dry):
        substance = ctx.chem.dry[row]
        gap = ctx.chem.gaps.get(substance.key)
        if amount > 0.0 and gap and substance.formula:
            ctx.complain(
                "missing data",
                f"{substance.key}: {gap}",
                place,
                "add a row under `## Substances` with a source",
                Severity.WARNING if NO_HEAT in gap else Severity.NOTE,
            )


def bare(word: str) -> str:
    """A word for what is at hand without "contents of" and articles."""
    key = word.lower().removeprefix("the ").removeprefix("contents of ").removeprefix("the ")
    return key.removeprefix("liquor in ").removeprefix("the ")


def find_pot(task: Task, word: str) -> Pot | None:
    """The vessel a word means among those in use; None when it means none."""
    world = task.world
    key = bare(word)
    if key in world.pots:
        return world.pots[key]
    if key in MIXTURE_WORDS:
        return world.pots.get(world.here)
    if key in LIQUOR_WORDS:
        return world.pots.get(world.liquor) or world.pots.get(world.here)
    return None


def find_cake(task: Task, word: str) -> Cake | None:
    """The drained solid a word means; None when it means none."""
    world = task.world
    key = word.lower()
    if key in world.cakes:
        return world.cakes[key]
    if key in RESIDUE_WORDS:
        return world.cakes.get(world.residue) or world.cakes.get(world.crystals)
    if key in CRYSTAL_WORDS:
        return world.cakes.get(world.crystals) or world.cakes.get(world.residue)
    return None


def open_pot(task: Task, word: str, temperature: float | None = None, size: float = 2e-4) -> Pot:
    """The vessel called `word` (or the present one), taken clean from the shelf if need be."""
    known = find_pot(task, word)
    if known is not None:
        return known
    ctx = task.ctx
    name = word.lower() or _default_vessel(task)
    described = next((v for v in ctx.ground.prep.vessels if v.name.lower() == name), None)
    hull = hull_of(described, size)
    if not hull.described:
        ctx.note(
            "vessel not described",
            f"no size is given for {name or 'the vessel'}: heat losses are those of a "
            f"{hull.size * 1e6:.0f} mL low-form beaker",
            task.clause.place,
            "describe it under `## Vessels`",
        )
    warm = ctx.room if temperature is None else temperature
    wall = Wall(hull.heat_capacity)
    contents = empty(ctx.chem, warm)
    pot = Pot(
        name or "vessel", contents, hull, wall, tuple(Progress() for _ in ctx.ground.reactions)
    )
    books = replace(task.world.books, heat_in=task.world.books.heat_in + wall_heat(pot))
    task.world = replace(task.world, books=books).with_pot(pot)
    return pot


def _default_vessel(task: Task) -> str:
    vessels = task.ctx.ground.prep.vessels
    return vessels[0].name.lower() if vessels else "vessel"


def work_on(task: Task, pot: Pot) -> None:
    """Make `pot` the one the log follows."""
    if task.log.pot != pot.name or task.log.moved:
        task.log.rebase(pot.name)
        task.log.moved = False
    if task.log.first is None:
        write_instant(task.ctx, pot, task.log, 0.0)


def done(task: Task, pot: Pot, matter: tuple[Matter, ...] = ()) -> World:
    """The world after this clause: vessel, books and clock."""
    heed(task.ctx, pot.contents.state, task.clause.place)
    _heed_neat(task, pot)
    _heed_ice(task, pot)
    books = task.world.books
    for part in matter:
        books = brought_in(books, part)
    now = task.log.instants[-1].time if task.log.instants else task.world.time
    return replace(task.world, books=books).with_pot(pot).at(max(now, task.world.time))


def _heed_neat(task: Task, pot: Pot) -> None:
    """Say that a vessel holds no watery liquor, and what is computed of it then."""
    c = pot.contents
    told = task.ctx.quiet or task.ctx.told("not a watery liquor", pot.name)
    if not told and is_neat(task.ctx.chem, c.wet, c.dry):
        task.note(
            "not a watery liquor",
            f"what is in {pot.name} is hardly water: heat, volume and heat capacity are those of "
            "its pure liquids added up; nothing ionises or crystallises in it",
        )


def _heed_ice(task: Task, pot: Pot) -> None:
    """Say that water would freeze out: ice itself is not computed."""
    state, t = pot.contents.state, pot.contents.temperature
    if task.ctx.quiet or state is None or not state.ok or not t < MELTING:
        return
    if state.ln_a_water > ln_activity_beside_ice(t) + 1e-4:
        task.complain(
            "freezes",
            f"step {task.step.number}: at {t - 273.15:.1f} °C ice forms, or ice that was put in "
            "does not all melt: how much, and how warm it stays, is not computed",
            "verb",
            "keep it warmer, or put in less ice",
        )


def check_limits(task: Task, log: Log, first: int) -> None:
    """Compare `keeping below` and `keeping above` with what was reached since instant `first`."""
    reached = [i.temperature for i in log.instants[first:]] or [math.nan]
    for bound, name, extreme in (
        (task.clause.below, "below", max(reached)),
        (task.clause.above, "above", min(reached)),
    ):
        if bound is None:
            continue
        kept = extreme <= bound.value + 0.05 if name == "below" else extreme >= bound.value - 0.05
        text = f"{name} {bound.value - 273.15:.4g} °C"
        log.limits.append(Limit(text, bound.value, extreme, kept, task.clause.at_field(name)))
        if not kept:
            task.warn(
                "limit broken",
                f"step {task.step.number} reaches {extreme - 273.15:.1f} °C, {name} "
                f"{bound.value - 273.15:.4g} °C was asked for",
                name,
                "add more slowly, in smaller portions, or in a colder bath",
            )


def quantity_value(task: Task, field_name: str, quantity: Quantity, label: str) -> float:
    """A written quantity with its ± as a knob."""
    key = f"amount:{task.step.number}:{task.clause.place.column}:{field_name}"
    return task.ctx.knobs.band(key, label, quantity.value, quantity.band, quantity.kind.value)
