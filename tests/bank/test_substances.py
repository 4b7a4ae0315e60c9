"""Every row of the substance table holds together: matter, charge, values, sources."""

from __future__ import annotations

from fractions import Fraction

import pytest

from firstcrop.bank.aqueous import load_components
from firstcrop.bank.elements import load_weights
from firstcrop.bank.records import Obtained, Substance
from firstcrop.bank.substances import load_substances
from firstcrop.bank.tables import read_sources, read_table
from firstcrop.chem.formula import Formula, parse_formula
from firstcrop.chem.weights import molar_mass
from firstcrop.problems import Problem

SUBSTANCES = load_substances()
SOURCES = read_sources()
BY_KEY = {s.key: s for s in SUBSTANCES}
COMPONENTS = {row.text("key"): row.text("formula") for row in read_table("components")}
each = pytest.mark.parametrize("substance", SUBSTANCES, ids=lambda s: s.key)


def read(text: str) -> Formula:
    formula = parse_formula(text)
    assert not isinstance(formula, Problem), formula
    return formula


def test_there_are_enough_and_none_twice() -> None:
    assert len(SUBSTANCES) >= 170
    assert len(BY_KEY) == len(SUBSTANCES)


@each
def test_row(substance: Substance) -> None:
    assert substance.phase in ("solid", "liquid", "gas")
    assert substance.key == substance.key.lower() or "(I" in substance.key
    assert substance.names
    assert read(substance.formula).charge == 0
    mass = molar_mass(read(substance.formula), load_weights())
    assert not isinstance(mass, Problem)
    assert substance.molar_mass == mass[0] > 0.0


@each
def test_components_are_the_same_matter(substance: Substance) -> None:
    if not substance.components:
        return
    total: dict[str, Fraction] = {}
    charge = Fraction(0)
    for key, count in substance.components:
        piece = read(COMPONENTS.get(key, key))
        moles = Fraction(count)
        charge += moles * piece.charge
        for symbol, atoms in piece.elements:
            total[symbol] = total.get(symbol, Fraction(0)) + moles * atoms
    assert charge == 0
    assert {s: n for s, n in total.items() if n} == dict(read(substance.formula).elements)


@each
def test_dissolves_into_known_components_or_says_that_it_does_not(substance: Substance) -> None:
    missing = [key for key, _ in substance.components if key not in COMPONENTS]
    assert not missing or "no data for it in solution yet" in substance.notes


@each
def test_values_are_possible(substance: Substance) -> None:
    for datum in (
        substance.density,
        substance.formation,
        substance.heat_capacity,
        substance.melting_point,
        substance.boiling_point,
    ):
        assert datum is None or (datum.source in SOURCES and datum.label)
    if substance.density is not None:
        assert 500.0 < substance.density.value < 12000.0
    if substance.heat_capacity is not None:
        specific = substance.heat_capacity.value / substance.molar_mass
        assert 100.0 < specific < 15000.0
    if substance.formation is not None:
        assert -9.0e6 < substance.formation.value < 0.2e6
    if substance.melting_point and substance.boiling_point:
        assert substance.melting_point.value < substance.boiling_point.value


@each
def test_names_read_as_formulas_are_this_matter(substance: Substance) -> None:
    for name in substance.names:
        formula = parse_formula(name) if any(c.isdigit() for c in name) else None
        if formula is None or isinstance(formula, Problem):
            continue
        assert formula.same_matter(read(substance.formula)) or name == "NH4OH", name


def test_no_name_means_two_substances() -> None:
    owner: dict[str, str] = {}
    for substance in SUBSTANCES:
        for name in {n.lower() for n in (substance.key, *substance.names)}:
            assert owner.setdefault(name, substance.key) == substance.key, name


# NBS Tables of Chemical Thermodynamic Properties (1982), the printed tables; kJ/mol.
NBS = (
    ("water", -285.830),
    ("sulfuric acid", -813.989),
    ("sodium hydroxide", -425.609),
    ("potassium hydroxide", -424.764),
    ("ammonium nitrate", -365.56),
    ("potassium nitrate", -494.63),
    ("urea", -333.51),
    ("potassium alum", -6061.8),
    ("magnesium sulfate heptahydrate", -3388.71),
    ("copper(II) sulfate pentahydrate", -2279.65),
    ("sodium sulfate decahydrate", -4327.26),
    ("sodium carbonate decahydrate", -4081.32),
)


@pytest.mark.parametrize(("key", "printed"), NBS)
def test_formation_as_printed(key: str, printed: float) -> None:
    datum = BY_KEY[key].formation
    assert datum is not None
    assert datum.value == pytest.approx(printed * 1e3, abs=1e-6)
    assert (datum.source, datum.obtained) == ("nbs1982", Obtained.MEASURED)


def test_crystal_water_gives_heat_of_the_order_of_ice() -> None:
    """Taking up liquid water into a lattice gives between nothing and 90 kJ per mole of it
    (CaCl2 and MgCl2 hydrates of NBS 1982 bound it); catches a wrong hydrate row."""
    water = BY_KEY["water"].formation
    assert water is not None
    dry = {read(s.formula).parts: s for s in SUBSTANCES if len(read(s.formula).parts) == 1}
    compared = 0
    for s in SUBSTANCES:
        formula = read(s.formula)
        base = dry.get(formula.parts[:1])
        if (
            len(formula.parts) != 2
            or not formula.water
            or base is None
            or s.formation is None
            or base.formation is None
        ):
            continue
        count = float(formula.water)
        gain = (s.formation.value - base.formation.value) / count - water.value
        assert -90e3 < gain < 6.1e3, s.key
        compared += 1
    assert compared > 25


def test_melting_ice_takes_its_published_heat() -> None:
    """6.01 kJ/mol at 0 °C (CRC Handbook), from the two rows and their heat capacities."""
    ice, water = BY_KEY["ice"], BY_KEY["water"]
    assert ice.formation is not None
    assert water.formation is not None
    assert ice.heat_capacity is not None
    assert water.heat_capacity is not None
    step = 273.15 - 298.15
    at_zero = water.formation.value + water.heat_capacity.value * step
    at_zero -= ice.formation.value + ice.heat_capacity.value * step
    assert at_zero == pytest.approx(6010.0, abs=10.0)


# Molar masses, g/mol, as usually printed on labels. Labels use older weights of sulfur and boron:
# 0.005 per sulfur and per boron covers the difference from the middle of CIAAW's intervals.
LABELS = (
    ("potassium alum", 474.39),
    ("mohr's salt", 392.13),
    ("borax", 381.36),
    ("potassium tris(oxalato)ferrate(III) trihydrate", 491.24),
    ("sodium thiosulfate pentahydrate", 248.17),
    ("iron(II) sulfate heptahydrate", 278.01),
    ("chrome alum", 499.39),
    ("sodium carbonate decahydrate", 286.14),
)


@pytest.mark.parametrize(("key", "label"), LABELS)
def test_molar_mass_as_on_the_label(key: str, label: float) -> None:
    assert BY_KEY[key].molar_mass * 1e3 == pytest.approx(label, abs=0.03)


# Enthalpy of solution at infinite dilution, 25 °C, kJ/mol. NBS 1982 rows hold these as
# differences; the values are those of the CRC Handbook's table (set down from memory) and, for
# the organic acids, Apelblat & Manzurola 1986, un-ionised there, hence their wider tolerance.
SOLUTION = (
    ("potassium nitrate", 34.89, 0.1),
    ("ammonium nitrate", 25.69, 0.1),
    ("sodium chloride", 3.88, 0.1),
    ("potassium chloride", 17.22, 0.1),
    ("sodium hydroxide", -44.51, 0.15),
    ("potassium hydroxide", -57.61, 0.15),
    ("urea", 15.1, 0.2),
    ("potassium iodide", 20.33, 0.1),
    ("silver nitrate", 22.59, 0.1),
    ("magnesium sulfate heptahydrate", 11.8, 0.8),
    ("copper(II) sulfate pentahydrate", 6.0, 0.5),
    ("sodium sulfate decahydrate", 79.3, 0.8),
    ("hydrogen chloride", -74.84, 0.1),
    ("sulfuric acid", -95.28, 0.1),
    ("citric acid", 18.2, 4.0),
    ("citric acid monohydrate", 29.1, 4.0),
    ("tartaric acid", 15.7, 5.0),
    ("oxalic acid dihydrate", 35.2, 8.0),
)
IONISATION_OF_WATER = 55.84  # kJ/mol, CODATA: OH- is water less H+ here


@pytest.mark.parametrize(("key", "published", "within"), SOLUTION)
def test_heat_of_solution(key: str, published: float, within: float) -> None:
    heats = {c.key: c.formation.value for c in load_components()}
    substance = BY_KEY[key]
    assert substance.formation is not None
    found = sum(n * heats[c] for c, n in substance.components) - substance.formation.value
    if key.endswith("hydroxide"):
        found += IONISATION_OF_WATER * 1e3
    assert found / 1e3 == pytest.approx(published, abs=within)


def test_heats_of_solution_are_possible() -> None:
    """Salts that bring no acid or base dissolve with -350 to +120 kJ/mol: a wrong hydrate or a
    wrong formation enthalpy of an ion would stand out."""
    heats = {c.key: c.formation.value for c in load_components()}
    checked = 0
    for substance in SUBSTANCES:
        parts = dict(substance.components)
        if substance.formation is None or not parts or not parts.keys() <= heats.keys():
            continue
        if substance.phase != "solid":
            continue
        found = sum(n * heats[c] for c, n in parts.items()) - substance.formation.value
        assert -350e3 < found < 120e3, substance.key
        checked += 1
    assert checked > 180
