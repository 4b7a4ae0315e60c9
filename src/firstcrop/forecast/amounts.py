"""Written amounts to kilograms of a material."""

from __future__ import annotations

from firstcrop.bank.practice import load_practice
from firstcrop.forecast.resolve import ICES
from firstcrop.forecast.stock import Stock
from firstcrop.forecast.task import Task, quantity_value
from firstcrop.quantity.records import Kind, Quantity
from firstcrop.sheet.records import Amount, Blank, Equivalents, Excess, Rest

WARM_WORDS = (
    ("boiling", 372.9),
    ("ice-cold", 273.15),
    ("ice water", 273.15),
    ("ice cold", 273.15),
)


def incoming_temperature(task: Task, name: str, at: Quantity | Blank | None = None) -> float:
    """K at which a material comes: as written with it, else as its name says, else the room's."""
    if name.lower() in ICES:
        written = at.value if isinstance(at, Quantity) else 273.15
        return min(written, 273.15)
    if isinstance(at, Quantity) and at.unit in ("room", "boiling", "ice"):
        return {"room": task.ctx.room, "boiling": 372.9, "ice": 273.15}[at.unit]
    if isinstance(at, Quantity):
        return quantity_value(task, "at", at, f"temperature of {name}")
    return _by_word(task, name)


def _by_word(task: Task, name: str) -> float:
    """K by the words of a name or before it."""
    for word, temperature in WARM_WORDS:
        if word in name.lower():
            return temperature
    clause = task.clause
    meant = name == (clause.solvent or clause.what)  # "hot" and "cold" stand before this one
    if name.startswith("cold ") or (clause.cold and meant):
        return _tap(task, name)
    if name.startswith(("hot ", "warm ")) or (clause.hot and meant):
        key = "warm_liquid" if name.startswith("warm ") else "hot_liquid"
        kelvin = task.ctx.knobs.practice(key)
        task.note("temperature taken", f"{name} is taken at {kelvin - 273.15:.0f} °C", "what")
        return kelvin
    return task.ctx.room


def _tap(task: Task, name: str) -> float:
    """K of what is called cold: the tap's, as the sheet's conditions or common practice say."""
    written = task.ctx.condition("water")
    if written is not None:
        return written
    kelvin = task.ctx.knobs.practice("tap_water")
    task.note("temperature taken", f"cold {name} is taken at {kelvin - 273.15:.0f} °C", "what")
    return kelvin


def mass_of_amount(
    task: Task, amount: Amount | None, stock: Stock, where: str = "amount"
) -> float | None:
    """kg of a material; None when the amount says too little (a Problem was written) or is
    left open (a Blank, an Excess or nothing, which the operation has to settle)."""
    if isinstance(amount, Equivalents):
        return _equivalents(task, amount, stock, where)
    if amount is None or isinstance(amount, Blank | Excess):
        return None
    if isinstance(amount, Rest):
        return _rest(task, stock, where)
    value = quantity_value(task, where, amount, f"amount of {stock.name}")
    if value <= 0.0:
        task.complain("impossible amount", f"{amount.text or value} of {stock.name}", where)
        return None
    return _by_kind(task, amount, value, stock, where)


def _by_kind(task: Task, amount: Quantity, value: float, stock: Stock, where: str) -> float | None:
    if amount.kind is Kind.MASS:
        return value
    if amount.kind in (Kind.VOLUME, Kind.DROPS):
        return value * bulk_density(task, stock, where)
    if amount.kind is Kind.AMOUNT:
        return value / stock.principal_mol
    task.complain(
        "amount of what kind",
        f"{amount.text or amount.kind.value} does not say how much {stock.name}",
        where,
        "give a mass, a volume, or mol",
    )
    return None


def _rest(task: Task, stock: Stock, where: str) -> float | None:
    """kg of a material that earlier steps left of what its row in Materials says there is."""
    key = stock.name.lower()
    written = next((m for m in task.ctx.ground.prep.materials if m.name.lower() == key), None)
    if written is None or written.amount is None:
        task.complain(
            "rest of what",
            f"how much {stock.name} there was is not written",
            where,
            "give it in a column `amount` under `## Materials`",
        )
        return None
    value = quantity_value(task, where, written.amount, f"{stock.name} in hand")
    whole = _by_kind(task, written.amount, value, stock, where)
    if whole is None:
        return None
    left = whole - task.ctx.used.get(key, 0.0) / stock.principal_mol
    if left <= 1e-9 * whole:
        task.complain("nothing left", f"nothing is left of {stock.name} by now", where)
        return None
    return left


def bulk_density(task: Task, stock: Stock, where: str) -> float:
    """kg/m3 as poured: a powder lies loose."""
    if stock.liquid:
        return stock.density
    task.warn(
        "solid by volume",
        f"{stock.name} is a solid measured by volume: it is taken to lie at "
        f"{load_practice()['density_packed'].value:.0%} of its true density",
        where,
        "weigh it",
    )
    return stock.density * task.ctx.knobs.practice("density_packed")


def _equivalents(task: Task, amount: Equivalents, stock: Stock, where: str) -> float | None:
    """Moles per mole of the named material, or of the reagent that runs out first."""
    ctx = task.ctx
    reference = ctx.ground.materials.get(amount.of.lower()) if amount.of else None
    if reference is None and amount.of:
        task.complain("equivalents of what", f"{amount.of} is not a material here", where)
        return None
    moles = _limiting(task) if reference is None else ctx.used.get(reference.name.lower(), 0.0)
    if moles <= 0.0:
        task.complain(
            "equivalents of what",
            "nothing has been put in yet to count equivalents by",
            where,
            "say of what: `1.1 equiv of acid to borax`",
        )
        return None
    count = quantity_value(task, where, amount.count, f"equivalents of {stock.name}")
    return count * moles / stock.principal_mol


def _limiting(task: Task) -> float:
    """Moles of the reagent used so far that runs out first in a declared reaction; without
    reactions, of the last material that was not water."""
    ctx = task.ctx
    limits = []
    for declared in ctx.ground.reactions:
        for term in declared.reaction.equation.left:
            for name, used in ctx.used.items():
                substance = ctx.ground.materials[name].substance
                if substance.formula == term.formula.text and used > 0.0:
                    limits.append((used / float(term.count), used))
    if limits:
        return min(limits)[1]
    plain = [
        used
        for name, used in ctx.used.items()
        if ctx.ground.materials[name].substance.key != "water"
    ]
    return plain[-1] if plain else 0.0
