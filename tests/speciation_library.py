"""The same small chemistry told to a general speciation library (the `phreeqc` package, USGS
PHREEQC 3), for side-by-side checks and timings. Only tests and benchmarks use it.
"""

from __future__ import annotations

import sample_liquors as samples

# the library wants element-like symbols; pseudo-elements keep nitrate, acetate and ammonium whole
NAMES = {
    "Na+": "Na+",
    "K+": "K+",
    "Ca+2": "Ca+2",
    "Cu+2": "Cu+2",
    "Cl-": "Cl-",
    "SO4-2": "SO4-2",
    "CO3-2": "CO3-2",
    "NO3-": "Nit-",
    "CH3COO-": "Ace-",
    "H+": "H+",
    "OH-": "OH-",
    "HSO4-": "HSO4-",
    "HCO3-": "HCO3-",
    "CO2": "CO2",
    "CH3COOH": "HAce",
}
MASTERS = """
SOLUTION_MASTER_SPECIES
H H+ -1 H 1.008
H(1) H+ -1 0
E e- 0 0 0
O H2O 0 O 16
O(-2) H2O 0 0
Na Na+ 0 Na 22.99
K K+ 0 K 39.0983
Ca Ca+2 0 Ca 40.078
Cu Cu+2 0 Cu 63.546
Cl Cl- 0 Cl 35.45
S SO4-2 0 SO4 32.06
S(6) SO4-2 0 SO4
C CO3-2 2 HCO3 12.011
C(4) CO3-2 2 HCO3
Nit Nit- 0 62.004 62.004
Ace Ace- 1 59.045 59.045
Alkalinity CO3-2 1 Ca0.5(CO3)0.5 50.05
"""
REACTIONS = {
    "OH-": "H2O = OH- + H+",
    "HSO4-": "H+ + SO4-2 = HSO4-",
    "HCO3-": "H+ + CO3-2 = HCO3-",
    "CO2": "2 H+ + CO3-2 = CO2 + H2O",
    "CH3COOH": "H+ + Ace- = HAce",
}
PHASES = {
    "NaCl": "NaCl = Na+ + Cl-",
    "KCl": "KCl = K+ + Cl-",
    "KNO3": "KNit = K+ + Nit-",
    "K2SO4": "K2SO4 = 2 K+ + SO4-2",
    "Na2SO4": "Na2SO4 = 2 Na+ + SO4-2",
    "Na2SO4·10H2O": "Na2SO4(H2O)10 = 2 Na+ + SO4-2 + 10 H2O",
    "CaSO4·2H2O": "CaSO4(H2O)2 = Ca+2 + SO4-2 + 2 H2O",
    "CaCO3": "CaCO3 = Ca+2 + CO3-2",
}


def database() -> str:
    """Masters, species, solids and Pitzer parameters of `samples`, at 25 °C."""
    lines = [MASTERS, "SOLUTION_SPECIES", "e- = e-", "H2O = H2O"]
    for key, name in NAMES.items():
        if key not in REACTIONS:
            lines += [f"{name} = {name}", "log_k 0"]
    for key, equation in REACTIONS.items():
        lines += [equation, f"log_k {samples.SPECIES[key][1]}"]
    lines.append("PHASES")
    for key, equation in PHASES.items():
        lines += [phase_name(key), equation, f"log_k {samples.SOLIDS[key][1]}"]
    lines += ["PITZER", "-MacInnes false", "-use_etheta true"]
    for block, row in (("-B0", 0), ("-B1", 1), ("-B2", 2), ("-C0", 3)):
        lines.append(block)
        for (c, a), values in samples.BINARY.items():
            if c in NAMES and a in NAMES and values[row]:
                lines.append(f"{NAMES[c]} {NAMES[a]} {values[row]}")
    tables = (
        ("-THETA", samples.THETA),
        ("-PSI", samples.PSI),
        ("-LAMBDA", samples.LAMBDA),
        ("-ZETA", samples.ZETA),
    )
    for block, table in tables:
        lines.append(block)
        for keys, value in table.items():
            if all(k in NAMES for k in keys):
                lines.append(" ".join([*(NAMES[k] for k in keys), str(value)]))
    return "\n".join([*lines, "END"])


def phase_name(key: str) -> str:
    """A phase name the library accepts."""
    return key.replace("·", "_")


def question(salts: dict[str, float], solids: tuple[str, ...] = ()) -> str:
    """A kilogram of water with moles of salts (in the library's formulas), 25 °C."""
    lines = [
        "KNOBS",
        "-convergence_tolerance 1e-12",
        "SOLUTION 1",
        "temp 25",
        "pH 7 charge",
        "-water 1",
        "REACTION 1",
    ]
    lines += [f"{salt} {moles}" for salt, moles in salts.items()]
    lines.append("1 moles")
    if solids:
        lines.append("EQUILIBRIUM_PHASES 1")
        lines += [f"{phase_name(s)} 0 0" for s in solids]
    lines += [
        "SELECTED_OUTPUT 1",
        "-reset false",
        "-high_precision true",
        "-water true",
        "-molalities " + " ".join(NAMES.values()),
        "-activities H2O " + " ".join(NAMES.values()),
    ]
    if solids:
        lines.append("-equilibrium_phases " + " ".join(phase_name(s) for s in solids))
    return "\n".join([*lines, "END"])
