"""Random clauses and preparations that the language can express."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from firstcrop.chem.equation import Equation, parse_equation
from firstcrop.quantity.read import read_quantity, read_strength
from firstcrop.quantity.records import Quantity, Strength
from firstcrop.sheet.measures import fraction, take, worded
from firstcrop.sheet.reader import Names
from firstcrop.sheet.records import (
    Basket,
    Blank,
    Clause,
    End,
    EndKind,
    Equivalents,
    Excess,
    Material,
    Means,
    Observation,
    Preparation,
    Rate,
    Reaction,
    Rest,
    Section,
    Setting,
    Step,
    SubstanceRow,
    Verb,
    Vessel,
)
from firstcrop.sheet.settle import merge
from firstcrop.sheet.write import write_observation, write_reaction
from firstcrop.sheet.write_clause import write_clauses

MATERIALS = ("ring-pulls", "caustic potash", "dilute acid", "wash", "K2CO3", "oil of vitriol")
VESSELS = ("beaker", "400 mL jar", "flask 2")
NAMES = Names(MATERIALS, VESSELS)
WITH_VERBS = (Verb.WASH, Verb.DILUTE, Verb.MAKE_UP, Verb.TITRATE)
_PLAIN = ("air", "room", "vacuum", "desiccator", "steam")
_BATHS = (
    *("cold water", "ice bath", "salt ice bath", "warm water", "water bath"),
    *("fridge", "freezer", "oven"),
)
_ADVERBS = (
    *("slowly", "carefully", "gently", "rapidly", "dropwise", "again", "in the dark"),
    *("thoroughly", "vigorously", "finely", "gradually", "through paper"),
)

values = st.one_of(
    st.integers(1, 900).map(str),
    st.decimals("0.1", "99", places=1).map(str),
    st.tuples(st.integers(5, 90), st.integers(1, 4)).map(lambda t: f"{t[0]} ± {t[1]}"),
)


def quantities(*units: str) -> st.SearchStrategy[Quantity]:
    return st.tuples(values, st.sampled_from(units)).map(lambda t: _read(f"{t[0]} {t[1]}"))


def _read(text: str) -> Quantity:
    found = read_quantity(text)
    assert isinstance(found, Quantity), text
    return found


def or_blank(strategy: st.SearchStrategy[Quantity], unit: str) -> st.SearchStrategy:
    return st.one_of(strategy, st.just(Blank(unit)))


temperatures = st.one_of(
    quantities("°C"), st.sampled_from(["room", "boiling", "ice"]).map(worded), quantities("K")
)
times = st.one_of(quantities("min", "h", "s"), st.just(_read("overnight")))
volumes, masses = quantities("mL", "L"), quantities("g", "kg", "mg")
fractions = st.sampled_from([0.5, 0.25, 0.75, 1 / 3, 0.2]).map(fraction)
names = st.sampled_from(
    [*MATERIALS, "water", "sodium carbonate", "NaOH", *(b.value for b in Basket)]
)
vessels = st.sampled_from(["beaker", "400 ml jar", "flask 2", "round flask"])
targets = st.one_of(vessels, names)
equivalents = quantities("equiv").map(Equivalents)
of_equivalents = st.tuples(equivalents, names).map(lambda t: replace(t[0], of=t[1]))
amounts = st.one_of(
    volumes,
    masses,
    quantities("mol", "drops"),
    fractions,
    equivalents,
    of_equivalents,
    st.just(fraction(1.0)),
    st.sampled_from([Rest(), Excess(), Blank("mL"), Blank("g"), Blank("equiv")]),
)
simple_amounts = st.one_of(volumes, masses, fractions, st.just(Blank("mL")))
ends = st.one_of(
    or_blank(values.map(lambda v: _read(f"pH {_acid(v)}")), "pH").map(lambda v: End(EndKind.PH, v)),
    st.sampled_from([k for k in EndKind if k is not EndKind.PH]).map(End),
    st.just(End(EndKind.ENDPOINT, None, "methyl orange")),
    st.just(End(EndKind.ENDPOINT, None, "phenolphthalein")),
)


def _acid(value: str) -> str:
    return f"{float(value.split(maxsplit=1)[0]) % 14:.1f}"


means = st.one_of(
    st.sampled_from(_PLAIN).map(Means),
    st.tuples(st.sampled_from(_BATHS), st.none() | quantities("°C")).map(
        lambda t: Means(t[0], None, t[1])
    ),
    st.tuples(st.none() | quantities("W"), st.none() | quantities("°C")).map(
        lambda t: Means("hotplate", *t)
    ),
    (st.none() | quantities("W", "kW")).map(lambda p: Means("burner", p)),
)


@st.composite
def clauses(draw: st.DrawFn) -> Clause:
    """A clause the printer can word: fields that exclude one another are not drawn together."""
    verb = draw(st.sampled_from(list(Verb)))
    if verb is Verb.KEEP:
        return Clause(verb, what=draw(names))
    fields: dict[str, object] = {}
    fields |= draw(_objects(verb))
    fields |= draw(_optional(verb))
    holding = ("at", "below", "above", "duration", "end", "means")
    if verb is Verb.HOLD and not any(fields.get(k) for k in holding):
        fields["duration"] = draw(times)
    return Clause(verb, **fields)  # type: ignore[arg-type]


@st.composite
def _objects(draw: st.DrawFn, verb: Verb) -> dict[str, object]:
    fields: dict[str, object] = {}
    if verb is Verb.STAND:
        return {"what": draw(st.sampled_from(["", "mixture", "liquor"]))}
    if draw(st.booleans()) or verb in (Verb.PUT, Verb.ADD):
        fields["what"] = draw(names)
        fields["amount"] = draw(st.none() | amounts)
        fields["cold"] = draw(st.booleans())
        if fields["amount"] is not None:
            fields["times"] = draw(st.sampled_from([1, 1, 2, 3]))
    if verb in WITH_VERBS:
        fields["into"] = draw(st.one_of(st.just(""), targets))
        if fields["into"] and fields.get("what"):
            fields["into_amount"] = draw(st.none() | simple_amounts)
    elif verb is Verb.ADD and draw(st.booleans()):
        fields |= {"into": draw(targets), "into_amount": draw(simple_amounts)}
    elif verb is Verb.DISSOLVE:
        fields["into"] = draw(st.one_of(st.just(""), vessels))
    elif verb is not Verb.STIR:
        fields["into"] = draw(st.one_of(st.just(""), targets))
    return fields


@st.composite
def _optional(draw: st.DrawFn, verb: Verb) -> dict[str, object]:
    """A few of the phrases any verb may have."""
    phrases: dict[str, st.SearchStrategy] = {
        "over": or_blank(times, "min"),
        "portions": st.one_of(st.integers(1, 9), st.just(Blank("portions"))),
        "rate": quantities("mL/min", "g/min", "K/min"),
        "duration": or_blank(times, "min"),
        "at": or_blank(temperatures, "°C"),
        "to_temperature": or_blank(temperatures, "°C"),
        "to_volume": st.one_of(or_blank(volumes, "mL"), fractions),
        "to_mass": or_blank(masses, "g"),
        "below": quantities("°C"),
        "above": quantities("°C"),
        "end": ends,
        "means": st.lists(means, min_size=1, max_size=2).map(tuple),
        "covered": st.booleans(),
        "stirred": st.booleans(),
        "hot": st.booleans(),
        "keep": st.sampled_from(list(Basket)),
        "adverbs": st.lists(st.sampled_from(_ADVERBS), unique=True, max_size=2).map(tuple),
        "source": st.one_of(targets, st.just("step 5")),
    }
    chosen = draw(st.lists(st.sampled_from(sorted(phrases)), unique=True, max_size=4))
    fields = {name: draw(phrases[name]) for name in chosen}
    if verb is Verb.STIR:
        fields.pop("portions", None)
    elif draw(st.booleans()) and verb is not Verb.STAND:
        fields["solvent"] = draw(st.sampled_from(["water", "dilute acid", "wash"]))
        fields["solvent_amount"] = draw(simple_amounts)
    end = fields.get("end")
    if verb is Verb.HEAT and isinstance(end, End) and end.kind is EndKind.PH:
        del fields["end"]
    return fields


words = st.text("abcdefghij klmnop", min_size=1, max_size=20).map(lambda t: " ".join(t.split()))
prose = words.filter(bool).map(lambda w: f"Remark: {w}.")


@st.composite
def steps(draw: st.DrawFn, number: int) -> Step:
    found = tuple(draw(st.lists(clauses(), min_size=1, max_size=3)))
    if merge(found) != found:
        found = found[:1]
    notes = tuple(draw(st.lists(prose, max_size=2)))
    return Step(number, found, write_clauses(found), notes)


_STRENGTHS = ("85 ± 2 % w/w", "30 % w/w, rest water", "3 mol/L", "50 % v/v", "")


def _strength(text: str) -> Strength | None:
    found = read_strength(text) if text else None
    assert not text or isinstance(found, Strength), text
    return found if isinstance(found, Strength) else None


materials = st.lists(
    st.tuples(st.sampled_from(MATERIALS), st.sampled_from(_STRENGTHS), words),
    unique_by=lambda t: t[0],
).map(
    lambda rows: tuple(
        Material(name, "some substance", _strength(s), notes, s) for name, s, notes in rows
    )
)


@st.composite
def reactions(draw: st.DrawFn) -> Reaction:
    text = draw(
        st.sampled_from(
            [
                "2 Al + 2 KOH + 6 H2O -> 2 K[Al(OH)4] + 3 H2",
                "CaCO3 + 2 HCl -> CaCl2 + H2O + CO2",
                "NaHCO3 <-> NaOH + CO2",
            ]
        )
    )
    equation = parse_equation(text)
    assert isinstance(equation, Equation)
    rate = Rate()
    if draw(st.booleans()):
        rate = Rate(draw(st.sampled_from([1, 2])), _read("6 min"), draw(quantities("°C")))
        change = draw(st.sampled_from(["none", "doubles", "energy"]))
        if change == "doubles":
            rate = replace(rate, doubles_every=take("interval", "10 °C"))
        elif change == "energy":
            rate = replace(rate, activation_energy=_read("60 kJ/mol"))
    if draw(st.booleans()):
        rate = replace(rate, extent=_read("92 %"))
    reaction = Reaction(equation, rate)
    return replace(reaction, text=write_reaction(reaction))


@st.composite
def observations(draw: st.DrawFn, count: int) -> Observation:
    step, subject = draw(st.integers(1, count)), draw(st.sampled_from(_SUBJECTS))
    name, text, about_step, about_crop = subject
    crop = draw(st.integers(0, 3)) if about_crop else 0
    observation = Observation(name, step if about_step else 0, crop, _read(text))
    return replace(observation, text=write_observation(observation))


_SUBJECTS = (
    ("after step", "52 °C", True, False),
    ("peak of step", "60 ± 2 °C", True, False),
    ("start of step", "21 °C", True, False),
    ("crop", "29.8 g", False, True),
    ("yield", "55 ± 5 %", False, False),
    ("gas", "57 mL", True, False),
    ("pH", "pH 2.5", True, False),
    ("mass", "530 g", True, False),
)
_SUBSTANCES = (
    SubstanceRow("vitriol", (("name", "vitriol"), ("formula", "H2SO4"), ("source", "a book"))),
    SubstanceRow("lime", (("name", "lime"), ("formula", ""), ("source", "p. 3 | table 2"))),
)
_VESSELS = tuple(
    Vessel(name, f"{size} low-form beaker", _read(size), "low-form beaker")
    for name, size in zip(VESSELS, ("250 mL", "400 mL", "1 L"), strict=True)
)
_SETTINGS = (
    Setting("room", _read("21 ± 2 °C"), "21 ± 2 °C"),
    Setting("pressure", _read("743 mmHg"), "743 mmHg"),
    Setting("jurisdiction", None, "Germany"),
)


@st.composite
def preparations(draw: st.DrawFn) -> Preparation:
    """A whole sheet, materials and vessels declared as the clauses name them."""
    count = draw(st.integers(1, 4))
    rows = tuple(Material(n, "some substance") for n in MATERIALS)
    found = tuple(draw(steps(n)) for n in range(1, count + 1))
    sections = [Section("Why", draw(prose))] if draw(st.booleans()) else []
    if draw(st.booleans()):
        sections.append(Section("Steps", draw(prose), draw(st.integers(0, count))))
    p = Preparation(
        title="Hardening alum",
        target="potash alum",
        target_formula="KAl(SO4)2·12H2O",
        makes="Makes potash alum, KAl(SO4)2·12H2O, for prints.",
        materials=draw(st.just(rows) | materials.map(lambda m: _all(m, rows))),
        substances=draw(st.sampled_from([(), _SUBSTANCES])),
        reactions=tuple(draw(st.lists(reactions(), max_size=2))),
        vessels=_VESSELS,
        conditions=draw(st.sampled_from([(), _SETTINGS])),
        steps=found,
        observed=tuple(draw(st.lists(observations(count), max_size=3))),
        prose=tuple(sections),
    )
    kinds = ("materials", "substances", "reactions", "vessels", "conditions", "steps", "observed")
    order = [k.capitalize() for k in kinds if getattr(p, k)]
    order += ["Why"] if any(s.heading == "Why" for s in sections) else []
    order = draw(st.permutations(order))
    ranked = sorted(sections, key=lambda s: order.index(s.heading))
    return replace(p, order=tuple(order), prose=tuple(ranked))


def _all(found: tuple[Material, ...], rows: tuple[Material, ...]) -> tuple[Material, ...]:
    named = {m.name for m in found}
    return found + tuple(m for m in rows if m.name not in named)
