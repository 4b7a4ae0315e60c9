"""Sections, tables and lists of a sheet become records with exact places."""

from __future__ import annotations

import pytest

from firstcrop.problems import Place
from firstcrop.quantity.records import Basis, Kind, Quantity
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Basket, Blank, EndKind, Preparation, Section, Verb
from firstcrop.sheet.write import write_sheet

# The example of the design, whole.
ALUM = """# Hardening alum from ring-pulls

Makes potash alum, KAl(SO4)2·12H2O, for hardening gelatin prints.

## Materials

| name | substance | strength | notes |
|---|---|---|---|
| ring-pulls | aluminium | 97 ± 1 % w/w | cleaned, cut small |
| caustic potash | potassium hydroxide | 85 ± 2 % w/w, rest water | |
| dilute acid | sulfuric acid | 30 ± 1 % w/w | |
| wash | ethanol | 50 % v/v | |

## Reactions

- 2 Al + 2 KOH + 6 H2O -> 2 K[Al(OH)4] + 3 H2; half-life 6 min at 70 °C; doubles every 10 °C

## Vessels

- beaker: 400 mL low-form beaker

## Steps

1. Put 60 mL of water in the beaker.
2. Add 7.0 g of caustic potash in ? portions, keeping below 45 °C.
3. Add 2.7 g of ring-pulls over 20 min.
4. Heat to 70 °C and hold for 30 min.
5. Filter; keep the liquor.
6. Add ? mL of dilute acid to pH 2.5 over 15 min, keeping below 80 °C.
7. Cool to 4 °C in an ice bath over 45 min.
8. Filter; keep the crystals. Wash with 15 mL of wash at 4 °C.
9. Dry in air.

## Observed

- after step 3: 52 °C
- crop: 29.8 g
"""


@pytest.fixture(scope="module")
def alum() -> Preparation:
    reading = read_sheet(ALUM, "alum.md")
    assert reading.problems == ()
    return reading.preparation


def value(quantity: object) -> float:
    assert isinstance(quantity, Quantity)
    return quantity.value


def sheet(section: str, body: str, steps: str = "1. Stir for 5 min.") -> Preparation:
    reading = read_sheet(f"# A\n\n## {section}\n\n{body}\n\n## Steps\n\n{steps}\n")
    assert [p for p in reading.problems if p.code != "capacity-missing"] == []
    return reading.preparation


def test_title_and_target(alum: Preparation) -> None:
    assert alum.title == "Hardening alum from ring-pulls"
    assert (alum.target, alum.target_formula) == ("potash alum", "KAl(SO4)2·12H2O")


def test_materials_with_strength_and_place(alum: Preparation) -> None:
    potash = alum.materials[1]
    assert (potash.name, potash.substance) == ("caustic potash", "potassium hydroxide")
    assert potash.strength is not None
    assert potash.strength.basis is Basis.WW
    assert (potash.strength.value, potash.strength.band) == pytest.approx((0.85, 0.02))
    assert potash.place == Place(10, 3, 14, "alum.md")
    assert potash.strength_place == Place(10, 42, 24, "alum.md")
    assert alum.materials[0].notes == "cleaned, cut small"


def test_reaction_and_rate(alum: Preparation) -> None:
    (reaction,) = alum.reactions
    assert [t.formula.text for t in reaction.equation.right] == ["K[Al(OH)4]", "H2"]
    rate = reaction.rate
    assert rate.order == 1
    assert value(rate.half_life) == pytest.approx(360.0)
    assert value(rate.at) == pytest.approx(343.15)
    assert rate.doubles_every is not None
    assert (rate.doubles_every.kind, rate.doubles_every.value) == (Kind.INTERVAL, 10.0)


def test_vessel(alum: Preparation) -> None:
    (beaker,) = alum.vessels
    assert (beaker.name, beaker.form, beaker.closed) == ("beaker", "low-form beaker", False)
    assert value(beaker.capacity) == pytest.approx(400e-6)


def test_steps_field_by_field(alum: Preparation) -> None:
    clauses = [s.clauses for s in alum.steps]
    assert [tuple(c.verb for c in step) for step in clauses] == [
        (Verb.PUT,),
        (Verb.ADD,),
        (Verb.ADD,),
        (Verb.HEAT, Verb.HOLD),
        (Verb.FILTER,),
        (Verb.ADD,),
        (Verb.COOL,),
        (Verb.FILTER, Verb.WASH),
        (Verb.DRY,),
    ]
    potash, acid, cool = clauses[1][0], clauses[5][0], clauses[6][0]
    assert isinstance(potash.portions, Blank)
    assert potash.portions.place == Place(25, 35, 1, "alum.md")
    assert value(potash.below) == pytest.approx(318.15)
    assert isinstance(acid.amount, Blank)
    assert (acid.amount.unit, acid.amount.place) == ("mL", Place(29, 8, 4, "alum.md"))
    assert acid.end is not None
    assert acid.end.kind is EndKind.PH
    assert value(acid.end.value) == 2.5
    assert value(acid.over) == 900.0
    assert [m.kind for m in cool.means] == ["ice bath"]
    assert clauses[4][0].keep is Basket.LIQUOR
    assert clauses[7][0].keep is Basket.CRYSTALS
    wash = clauses[7][1]
    assert (wash.what, value(wash.amount), value(wash.at)) == ("wash", 15e-6, 277.15)


def test_observed(alum: Preparation) -> None:
    after, crop = alum.observed
    assert (after.subject, after.step, value(after.quantity)) == ("after step", 3, 325.15)
    assert (crop.subject, crop.crop, value(crop.quantity)) == ("crop", 0, 0.0298)


def test_a_step_of_several_lines_keeps_line_and_column() -> None:
    text = "# A\n\n## Steps\n\n1. Stir for 5 min\n   and heat to\n   70 °C with stiring.\n"
    reading = read_sheet(text)
    assert reading.preparation.steps[0].text == "Stir for 5 min and heat to 70 °C with stiring."
    (problem,) = [p for p in reading.problems if "stiring" in p.message]
    assert problem.places[0] == Place(7, 15, 7)


def test_notes_under_a_step_and_prose_between_are_kept_in_order() -> None:
    steps = (
        "1. Stir for 5 min.\n\n   Mind the *foam*.\n\n   - one\n   - two\n\n"
        "Now the second half.\n\n2. Filter."
    )
    text = (
        f"# A\n\nAn introduction.\n\n## Steps\n\n{steps}\n\n## My thoughts\n\n> none\n\n### Yet\n"
    )
    reading = read_sheet(text)
    assert reading.problems == ()
    p = reading.preparation
    assert p.steps[0].notes == ("Mind the *foam*.", "- one\n- two")
    assert [s.number for s in p.steps] == [1, 2]
    assert Section("Steps", "Now the second half.", 1) in p.prose
    assert Section("My thoughts", "> none\n\n### Yet") in p.prose
    assert write_sheet(p) == text


def test_synonyms_of_headings_and_columns() -> None:
    text = (
        "# A\n\n## Reagents\n\n| Called | Compound | Grade |\n|---|---|---|\n"
        "| acid | sulfuric acid | 30 % w/w |\n\n## Method\n\n1. Add 5 mL of acid.\n"
    )
    reading = read_sheet(text)
    assert reading.problems == ()
    assert reading.preparation.materials[0].substance == "sulfuric acid"
    assert write_sheet(reading.preparation) == text


def test_emphasis_does_not_hide_a_step() -> None:
    p = sheet("Vessels", "- **jar**: 1 L jar", "1. **Add** `5 mL` of *water* to the jar.")
    (clause,) = p.steps[0].clauses
    assert (clause.what, clause.into, value(clause.amount)) == ("water", "jar", 5e-6)


def test_names_with_brackets_and_bars_are_declared_as_they_are() -> None:
    body = "| name | substance |\n|---|---|\n| acid (1+1) | sulfuric acid |\n| a\\|b | water |"
    p = sheet("Materials", body, "1. Add 5 mL of acid (1+1).")
    assert [m.name for m in p.materials] == ["acid (1+1)", "a|b"]
    assert p.steps[0].clauses[0].what == "acid (1+1)"


@pytest.mark.parametrize(
    ("line", "name", "kind"),
    [
        ("room temperature: 21 ± 2 °C", "room", Kind.TEMPERATURE),
        ("tap: 12 °C", "water", Kind.TEMPERATURE),
        ("pressure: 743 mmHg", "pressure", Kind.PRESSURE),
        ("humidity: 50 %", "humidity", Kind.FRACTION),
    ],
)
def test_conditions(line: str, name: str, kind: Kind) -> None:
    (setting,) = sheet("Conditions", f"- {line}").conditions
    assert setting.quantity is not None
    assert (setting.name, setting.quantity.kind) == (name, kind)


@pytest.mark.parametrize(
    ("rate", "order", "field"),
    [
        ("", 0, None),
        ("; instant", 0, None),
        ("; half-life 6 min at 70 °C", 1, "half_life"),
        ("; second order; half-life of 6 min at 70 °C", 2, "half_life"),
        ("; half-life 6 min at 70 °C, doubles every 10 °C", 1, "doubles_every"),
        ("; half-life 6 min at 70 °C; activation energy 60 kJ/mol", 1, "activation_energy"),
        ("; goes 92 % of the way", 0, "extent"),
        ("; goes to 92 %", 0, "extent"),
    ],
)
def test_rates(rate: str, order: int, field: str | None) -> None:
    (reaction,) = sheet("Reactions", f"- KOH + HCl -> KCl + H2O{rate}").reactions
    assert reaction.rate.order == order
    given = ("half_life", "doubles_every", "activation_energy", "extent")
    said = {f for f in given if getattr(reaction.rate, f) is not None}
    assert field is None or field in said
    assert bool(said) == bool(field)


@pytest.mark.parametrize(
    ("line", "subject", "step", "crop"),
    [
        ("after step 2: 52 °C", "after step", 2, 0),
        ("peak of step 1: 61 ± 2 °C", "peak of step", 1, 0),
        ("highest temperature in step 1: 61 °C", "peak of step", 1, 0),
        ("lowest of step 1: 3 °C", "lowest of step", 1, 0),
        ("start of step 2: 20 °C", "start of step", 2, 0),
        ("crop: 29.8 g", "crop", 0, 0),
        ("crop 2: 4.1 g", "crop", 0, 2),
        ("second crop: 4.1 g", "crop", 0, 2),
        ("yield: 50-60 %", "yield", 0, 0),
        ("yield: 55 % of theory", "yield", 0, 0),
        ("gas of step 1: 57 mL", "gas", 1, 0),
        ("pH after step 2: 2.5", "pH", 2, 0),
        ("after step 2: pH 2.5", "pH", 2, 0),
        ("volume after step 2: 120 mL", "volume", 2, 0),
        ("mass after step 1: 520-540 g", "mass", 1, 0),
        ("portions of step 1: 6", "portion", 1, 0),
        ("amount of step 1: 112 mL", "amount", 1, 0),
        ("duration of step 2: 30 min", "duration of step", 2, 0),
    ],
)
def test_observations(line: str, subject: str, step: int, crop: int) -> None:
    steps = "1. Stir for 5 min.\n2. Filter."
    (observed,) = sheet("Observed", f"- {line}", steps).observed
    assert (observed.subject, observed.step, observed.crop) == (subject, step, crop)


def test_a_vessel_may_be_closed() -> None:
    (jar,) = sheet("Vessels", "- jar: a stoppered 1 L bottle").vessels
    assert (jar.closed, jar.form, value(jar.capacity)) == (True, "bottle", 1e-3)


def test_substances_keep_every_cell_with_its_heading() -> None:
    body = "| name | formula | pKa | source |\n|---|---|---|---|\n| x acid | HCl | | a book |"
    (row,) = sheet("Substances", body).substances
    assert row.cells == (
        ("name", "x acid"),
        ("formula", "HCl"),
        ("pKa", ""),
        ("source", "a book"),
    )


def test_all_mistakes_come_at_once_in_line_order() -> None:
    text = ALUM.replace("Heat to", "Heet to").replace("3 H2;", "4 H2;").replace("2.7 g", "2.7")
    problems = read_sheet(text).problems
    assert [p.code for p in problems] == [
        "reaction-unbalanced",
        "amount-without-unit",
        "not-a-verb",
    ]
    assert [p.line for p in problems] == sorted(p.line for p in problems)


def test_an_edit_of_one_step_changes_that_step_only(alum: Preparation) -> None:
    after = read_sheet(ALUM.replace("over 45 min", "over 50 min"), "alum.md").preparation
    changed = [a != b for a, b in zip(alum.steps, after.steps, strict=True)]
    assert [i for i, c in enumerate(changed, 1) if c] == [7]
