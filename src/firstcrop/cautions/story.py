"""The sheet retold as events: what meets what in which vessel, and what is warmed by what.

No chemistry and no forecast is needed for it, so a caution holds even where a number does not.
What has gone into a vessel counts as present until it is filtered off.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from firstcrop.bank.lookup import Named, plain_name
from firstcrop.cautions.contents import Contents
from firstcrop.cautions.products import Making, makings, react
from firstcrop.cautions.stuff import Stuff, mass_of, materials
from firstcrop.problems import Place
from firstcrop.sheet.records import Basket, Clause, EndKind, Preparation, Step, Verb

ADDING = (Verb.PUT, Verb.ADD, Verb.COMBINE, Verb.RETURN, Verb.TITRATE)
THINNING = (Verb.DILUTE, Verb.MAKE_UP, Verb.WASH)
PARTING = (Verb.FILTER, Verb.DECANT)
BASKETS = frozenset(basket.value for basket in Basket)
WASTE = "the waste"
IN_WASTE = " (in the waste, if it goes into one bottle)"
BELOW = " (in the filter flask, if the wash runs into the liquor)"
HEATERS = ("hotplate", "burner", "oven")
WARMING = (Verb.HEAT, Verb.BOIL_DOWN, Verb.REFLUX, Verb.DRY)


@dataclass(frozen=True, slots=True)
class Meeting:
    """Something is added to what a vessel holds."""

    step: int
    verb: Verb
    vessel: str
    before: Contents
    added: Contents
    after: Contents
    place: Place = field(default=Place(0), compare=False)
    where: str = ""  # said when it is not certain that they meet: " (in the waste)"


@dataclass(frozen=True, slots=True)
class Warmth:
    """What a vessel holds is heated, held or dried, by the means written."""

    step: int
    verb: Verb
    vessel: str
    contents: Contents
    means: tuple[str, ...]
    temperature: float  # K, the highest written; NaN when none is
    place: Place = field(default=Place(0), compare=False)
    dry: bool = False  # what is warmed is, or is made, dry


@dataclass(frozen=True, slots=True)
class Story:
    """Events in order, every material of the sheet, and what stands in each vessel, the waste
    and each part at hand when all is done."""

    materials: Mapping[str, Stuff]
    meetings: tuple[Meeting, ...]
    warmths: tuple[Warmth, ...]
    left: Mapping[str, Contents] = field(default_factory=dict)


def tell(prep: Preparation, bank: Named) -> Story:
    """Follow every clause of every step."""
    vessels = {plain_name(v.name) for v in prep.vessels}
    made = makings(prep.reactions, bank)
    teller = _Teller(materials(prep, bank), vessels, made)
    for step in prep.steps:
        for clause in step.clauses:
            teller.clause(step, clause)
    gone = teller.parted | (BASKETS - {Basket.LIQUOR.value})
    left = MappingProxyType({k: v for k, v in teller.held.items() if not v.empty and k not in gone})
    return Story(teller.known, tuple(teller.meetings), tuple(teller.warmths), left)


class _Teller:
    """Holds the vessels while the story is told."""

    def __init__(
        self, known: Mapping[str, Stuff], vessels: set[str], reactions: tuple[Making, ...]
    ) -> None:
        self.known, self.vessels, self.reactions = known, vessels, reactions
        self.held: dict[str, Contents] = {}
        self.parted: set[str] = set()  # vessels whose contents have been filtered
        self.hot: dict[str, tuple[str, ...]] = {}  # vessel -> by what it was heated last
        self.here = next(iter(sorted(vessels)), "") if len(vessels) == 1 else ""
        self.before = self.here  # where the work stood when the clause began
        self.meetings: list[Meeting] = []
        self.warmths: list[Warmth] = []

    def clause(self, step: Step, clause: Clause) -> None:
        """Take one clause into the story."""
        self.before = self.here
        if clause.verb in ADDING or clause.verb in THINNING:
            self._adding(step, clause)
        elif clause.verb is Verb.DISSOLVE:
            self._dissolving(step, clause)
        elif clause.verb in PARTING:
            self._parting(step, clause)
        elif clause.verb is Verb.TRANSFER:
            self._transfer(step, clause)
        elif clause.verb is Verb.DISCARD:
            self._discard(step, clause)
        elif clause.verb is Verb.KEEP and clause.keep is not None:
            self.here = clause.keep.value if clause.keep.value in self.held else self.here
        if clause.means or clause.verb in WARMING or clause.verb is Verb.COOL:
            self._warming(step, clause)

    def _adding(self, step: Step, clause: Clause) -> None:
        target = self._target(clause)
        if clause.solvent:
            self._pour(step, clause, target, clause.solvent, clause.solvent_amount)
        if clause.what:
            self._pour(step, clause, target, clause.what, clause.amount)
        elif clause.source:
            self._merge(step, clause, target, self._name(clause.source))
        if clause.verb is Verb.WASH and Basket.LIQUOR.value in self.held:
            self._run_through(step, clause, target)

    def _run_through(self, step: Step, clause: Clause, target: str) -> None:
        """What washes a cake on the filter may run into the liquor in the flask below."""
        last = self.meetings[-1] if self.meetings else None
        if last is None or last.step != step.number or last.vessel != target:
            return
        liquor = Basket.LIQUOR.value
        if target not in (liquor, *self.vessels):
            self._meet(step, clause, liquor, last.added, BELOW, keep=False)

    def _discard(self, step: Step, clause: Clause) -> None:
        """Everything thrown away is taken to go into one waste bottle."""
        origin = self._name(clause.what) if clause.what else self.here
        if origin in self.held:
            self._meet(step, clause, WASTE, self.held.pop(origin), IN_WASTE)

    def _dissolving(self, step: Step, clause: Clause) -> None:
        """The solvent stands ready and the solid goes in."""
        what = plain_name(clause.what)
        target = self._name(clause.into) if clause.into else self.here
        if what in self.held and (what in self.vessels or what in BASKETS):
            target = what
            if clause.solvent:
                self._pour(step, clause, target, clause.solvent, clause.solvent_amount)
        else:
            if clause.solvent:
                self._pour(step, clause, target, clause.solvent, clause.solvent_amount)
            if clause.what:
                self._pour(step, clause, target, clause.what, clause.amount)
        self.here = target

    def _target(self, clause: Clause) -> str:
        if clause.into:
            target = self._name(clause.into)
        elif clause.verb is Verb.WASH and Basket.CRYSTALS.value in self.held:
            target = Basket.CRYSTALS.value
        else:
            target = self.here
        if clause.verb is not Verb.WASH:
            self.here = target
        return target

    def _name(self, word: str) -> str:
        """The vessel or basket a word means ("the contents of the flask" too); a basket nobody
        has made is what stands here."""
        name = plain_name(word)
        if name in self.held or name in self.vessels:
            return name
        spoken = name.split()
        within = [v for v in (*self.vessels, *self.held) if v and v in name and name not in BASKETS]
        if "contents" in spoken or "everything" in spoken or (within and name not in self.known):
            return max(within, key=len) if within else self.here
        return self.here if name in BASKETS else name

    def _pour(self, step: Step, clause: Clause, target: str, word: str, amount: object) -> None:
        stuff = self.known.get(plain_name(word))
        if stuff is not None and (stuff.declared or stuff.key):
            added = Contents().with_stuff(stuff, mass_of(amount, stuff))
            self._meet(step, clause, target, added)
            return
        origin = self._name(word)
        if plain_name(word) in BASKETS and plain_name(word) not in self.held:
            origin = self._name(clause.source) if clause.source else self.before
        if origin in self.held:
            self._merge(step, clause, target, origin)
        elif clause.verb is Verb.COMBINE:
            for other in sorted(self.vessels):
                self._merge(step, clause, target, other)
        elif stuff is not None:
            self._meet(step, clause, target, Contents().with_stuff(stuff, mass_of(amount, stuff)))

    def _merge(self, step: Step, clause: Clause, target: str, origin: str) -> None:
        if origin != target and origin in self.held:
            self._meet(step, clause, target, self.held[origin])

    def _meet(
        self,
        step: Step,
        clause: Clause,
        target: str,
        added: Contents,
        where: str = "",
        keep: bool = True,
    ) -> None:
        before = self.held.get(target, Contents())
        mixed = before.merged(added)
        after = react(mixed, self.reactions) if self.reactions else mixed
        if keep:
            self.held[target] = after
            self.parted.discard(target)
        self.meetings.append(
            Meeting(step.number, clause.verb, target, before, added, after, clause.place, where)
        )
        if target in self.hot and added.masses:
            means = self.hot[target]
            self.warmths.append(
                Warmth(step.number, clause.verb, target, after, means, math.nan, clause.place)
            )

    def _parting(self, step: Step, clause: Clause) -> None:
        origin = self._name(clause.what) if clause.what else self.here
        whole = self.held.get(origin, Contents())
        self.parted.add(origin)
        self.held[Basket.LIQUOR.value] = whole.liquor()
        for basket in (Basket.CRYSTALS, Basket.RESIDUE):
            self.held[basket.value] = whole.cake()
        self.parted.discard(Basket.LIQUOR.value)
        if clause.into and self._name(clause.into) != origin:
            self._meet(step, clause, self._name(clause.into), whole.liquor())
        kept = clause.keep or Basket.CRYSTALS
        self.here = kept.value if kept.value in self.held else Basket.LIQUOR.value

    def _transfer(self, step: Step, clause: Clause) -> None:
        origin = self._name(clause.source or clause.what or self.here) or self.here
        target = self._name(clause.into) if clause.into else self.here
        if origin in self.held and origin != target:
            self._meet(step, clause, target, self.held[origin])
            self.held[origin] = self.held[origin].film()
            self.parted.add(origin)
        self.here = target

    def _warming(self, step: Step, clause: Clause) -> None:
        target = self._name(clause.what) if clause.what in self.held else self.here
        contents = self.held.get(target, Contents())
        kinds = tuple(means.kind for means in clause.means)
        values = [q.value for q in (*(m.temperature for m in clause.means),) if q is not None]
        aim = clause.to_temperature
        if aim is not None and hasattr(aim, "value"):
            values.append(aim.value)
        top = max(values) if values else math.nan
        self.warmths.append(
            Warmth(
                step.number,
                clause.verb,
                target,
                contents,
                kinds,
                top,
                clause.place,
                _dries(clause, target, kinds),
            )
        )
        if clause.verb is Verb.COOL or not any(kind in HEATERS for kind in kinds):
            self.hot.pop(target, None)
        else:
            self.hot[target] = kinds
        if clause.verb is Verb.DRY and target in self.held:
            self.held[target] = replace(contents, water=0.0)


def _dries(clause: Clause, target: str, means: tuple[str, ...]) -> bool:
    """Dried by that name, boiled down to dryness, or a solid heated, in an oven above all."""
    to_dryness = clause.end is not None and clause.end.kind is EndKind.DRYNESS
    solid = target in (Basket.CRYSTALS.value, Basket.RESIDUE.value) or "oven" in means
    return clause.verb is Verb.DRY or to_dryness or (clause.verb is Verb.HEAT and solid)
