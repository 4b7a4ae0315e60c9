"""What can be wrong inside one clause without knowing any chemistry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from types import MappingProxyType

from firstcrop.problems import Place, Problem
from firstcrop.quantity.records import Quantity
from firstcrop.sheet.draft import FIELD_WORDS
from firstcrop.sheet.hints import nearest
from firstcrop.sheet.mistakes import mistake
from firstcrop.sheet.names import declared, is_vessel, near
from firstcrop.sheet.records import Basket, Blank, Clause, End, Verb

_NEEDS_WHAT = MappingProxyType(
    {
        Verb.PUT: "put 60 mL of water in the beaker",
        Verb.ADD: "add 5 g of caustic potash",
        Verb.DISSOLVE: "dissolve the crystals in 50 mL of water",
        Verb.COMBINE: "combine the liquors",
        Verb.RETURN: "return the liquor to the beaker",
        Verb.DISCARD: "discard the residue",
        Verb.TITRATE: "titrate with dilute acid to the phenolphthalein endpoint",
        Verb.KEEP: "keep the liquor",
    }
)
# Blanks that one condition can answer only one of.
_COMPETING = ("amount", "solvent_amount", "to_volume", "to_mass", "end", "to_temperature")


def check_clause(clause: Clause, known: Iterable[str], whole: bool = True) -> Iterator[Problem]:
    """Every Problem of a clause: missing parts, limits that contradict, blanks, near names.

    `whole` is False when a phrase of it was not understood; then nothing is called missing.
    """
    if whole:
        yield from _missing(clause)
    yield from _limits(clause)
    yield from _blanks(clause)
    yield from _pace(clause)
    yield from _names(clause, tuple(known))


def _missing(clause: Clause) -> Iterator[Problem]:
    at_hand = clause.verb is Verb.DISSOLVE and (clause.solvent or clause.into)
    if clause.verb in _NEEDS_WHAT and not clause.what and not at_hand:
        example = _NEEDS_WHAT[clause.verb]
        yield mistake("what-missing", clause.place, verb=clause.verb.value, example=example)
    aims = (clause.to_temperature, clause.duration, clause.end, clause.over, clause.at)
    if clause.verb is Verb.HEAT and not any(aims) and not clause.means:
        yield mistake("target-missing", clause.place)


def _limits(clause: Clause) -> Iterator[Problem]:
    low, high = clause.above, clause.below
    if low is not None and high is not None and low.value >= high.value:
        places = (clause.at_field("below"), clause.at_field("above"))
        text = f"below {high.text} and above {low.text}"
        yield mistake("limits-contradict", places, text=text, remedy="swap them or drop one")
    for name in ("to_temperature", "at"):
        aim = getattr(clause, name)
        if not isinstance(aim, Quantity) or (name == "at" and clause.verb is not Verb.HOLD):
            continue
        if high is not None and aim.value > high.value:
            yield _broken(clause, name, aim, "below", high)
        if low is not None and aim.value < low.value:
            yield _broken(clause, name, aim, "above", low)


def _broken(clause: Clause, name: str, aim: Quantity, side: str, limit: Quantity) -> Problem:
    places = (clause.at_field(name), clause.at_field(side))
    text = f"{aim.text} and keeping {side} {limit.text}"
    return mistake("limits-contradict", places, text=text, remedy="change one of them")


def _blanks(clause: Clause) -> Iterator[Problem]:
    open_fields = []
    for name in _COMPETING:
        said = getattr(clause, name)
        value = said.value if isinstance(said, End) else said
        if isinstance(value, Blank):
            open_fields.append((name, value))
    for _, blank in open_fields:
        if not blank.unit:
            yield mistake("blank-unit", blank.place, text="?")
    if len(open_fields) > 1:
        fields = " and ".join(FIELD_WORDS[name] for name, _ in open_fields)
        places = tuple(blank.place for _, blank in open_fields)
        yield mistake("blanks-compete", places, fields=fields)


def _pace(clause: Clause) -> Iterator[Problem]:
    if clause.rate is not None and clause.over is not None and clause.verb is Verb.ADD:
        if isinstance(clause.amount, Blank):
            return
        places = (clause.at_field("rate"), clause.at_field("over"))
        text = "an amount, a rate and a duration"
        yield mistake("limits-contradict", places, text=text, remedy="drop the rate or the time")
    if isinstance(clause.portions, int) and clause.portions < 1:
        place = clause.at_field("portions")
        yield mistake("limits-contradict", place, text="0 portions", remedy="write 1 or more")


def _names(clause: Clause, known: tuple[str, ...]) -> Iterator[Problem]:
    for name in ("what", "into", "source", "solvent"):
        text = getattr(clause, name)
        if not text or text in tuple(Basket) or declared(text, known):
            continue
        place: Place = clause.at_field(name)
        close = near(text, known)
        if close:
            yield mistake("name-near", place, text=text, near=close)
        elif name in ("what", "into") and _out_of_place(clause, name, text):
            hint = nearest("phrase", f"in a {text}" if name == "into" else text)
            yield mistake("name-unknown", place, text=text, near=hint)


def _out_of_place(clause: Clause, name: str, text: str) -> bool:
    """Whether a verb for what is at hand names something the sheet does not know."""
    if clause.verb not in _AT_HAND or text == "water" or is_vessel(text, ()):
        return False
    return name == "into" or clause.amount is None


_AT_HAND = frozenset(
    {
        *(Verb.HEAT, Verb.COOL, Verb.STIR, Verb.HOLD, Verb.STAND, Verb.BOIL_DOWN),
        *(Verb.REFLUX, Verb.FILTER, Verb.DECANT),
    }
)
