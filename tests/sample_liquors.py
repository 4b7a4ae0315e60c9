"""Small hand-made Systems for the solver's tests: parameters of Harvie, Møller & Weare 1984 and
Pitzer 1991, Table 2 (as printed, 25 °C); solids' K and heats rounded, good enough to exercise the
solver, never used by the product.
"""

from __future__ import annotations

import functools

import numpy as np

from firstcrop.liquor.system import System

COMPONENTS = {  # charge, kg/mol, J/mol formation
    "H2O": (0, 0.018015, -285830.0),
    "H+": (1, 0.001008, 0.0),
    "Na+": (1, 0.02299, -240120.0),
    "K+": (1, 0.0390983, -252380.0),
    "NH4+": (1, 0.018039, -132510.0),
    "Ca+2": (2, 0.040078, -542830.0),
    "Cu+2": (2, 0.063546, 64770.0),
    "Al+3": (3, 0.0269815, -531000.0),
    "Cl-": (-1, 0.03545, -167159.0),
    "NO3-": (-1, 0.062004, -205000.0),
    "SO4-2": (-2, 0.09606, -909270.0),
    "CO3-2": (-2, 0.060009, -677140.0),
    "CH3COO-": (-1, 0.059045, -486010.0),
}
SPECIES = {  # components, log10 K, J/mol
    "OH-": ({"H2O": 1, "H+": -1}, -13.995, 55815.0),
    "HSO4-": ({"H+": 1, "SO4-2": 1}, 1.979, 16110.0),
    "HCO3-": ({"H+": 1, "CO3-2": 1}, 10.329, -14900.0),
    "CO2": ({"H+": 2, "CO3-2": 1, "H2O": -1}, 16.681, -24010.0),
    "CH3COOH": ({"H+": 1, "CH3COO-": 1}, 4.757, 410.0),
    "NH3": ({"NH4+": 1, "H+": -1}, -9.244, 52210.0),
    "Al(OH)4-": ({"Al+3": 1, "H2O": 4, "H+": -4}, -22.7, 175000.0),
}
GASES = {
    "H2O(g)": ({"H2O": 1}, -1.4991, 44010.0),
    "CO2(g)": ({"H+": 2, "CO3-2": 1, "H2O": -1}, 18.149, -4000.0),
}
SOLIDS = {  # components, log10 K at 25 °C, J/mol of dissolving
    "NaCl": ({"Na+": 1, "Cl-": 1}, 1.570, 3880.0),
    "KCl": ({"K+": 1, "Cl-": 1}, 0.900, 17200.0),
    "KNO3": ({"K+": 1, "NO3-": 1}, -0.11, 34900.0),
    "NH4NO3": ({"NH4+": 1, "NO3-": 1}, 1.06, 25700.0),
    "K2SO4": ({"K+": 2, "SO4-2": 1}, -1.776, 23800.0),
    "Na2SO4": ({"Na+": 2, "SO4-2": 1}, -0.29, -2400.0),
    "Na2SO4·10H2O": ({"Na+": 2, "SO4-2": 1, "H2O": 10}, -1.228, 78500.0),
    "CaSO4·2H2O": ({"Ca+2": 1, "SO4-2": 1, "H2O": 2}, -4.581, -460.0),
    "CaCO3": ({"Ca+2": 1, "CO3-2": 1}, -8.406, -12000.0),
    "CuSO4·5H2O": ({"Cu+2": 1, "SO4-2": 1, "H2O": 5}, -2.62, 6000.0),
    "KAl(SO4)2·12H2O": ({"K+": 1, "Al+3": 1, "SO4-2": 2, "H2O": 12}, -6.0, 30000.0),
    "Al(OH)3": ({"Al+3": 1, "H2O": 3, "H+": -3}, 9.35, -100000.0),
}
BINARY = {  # beta0, beta1, beta2, Cphi
    ("H+", "Cl-"): (0.1775, 0.2945, 0, 0.0008),
    ("H+", "NO3-"): (0.1168, 0.3546, 0, -0.0054),
    ("H+", "SO4-2"): (0.0298, 0, 0, 0.0438),
    ("H+", "HSO4-"): (0.2065, 0.5556, 0, 0),
    ("Na+", "Cl-"): (0.0765, 0.2664, 0, 0.00127),
    ("Na+", "NO3-"): (0.0068, 0.1783, 0, -0.00072),
    ("Na+", "SO4-2"): (0.01958, 1.113, 0, 0.00497),
    ("Na+", "HSO4-"): (0.0454, 0.398, 0, 0),
    ("Na+", "OH-"): (0.0864, 0.253, 0, 0.0044),
    ("Na+", "HCO3-"): (0.0277, 0.0411, 0, 0),
    ("Na+", "CO3-2"): (0.0399, 1.389, 0, 0.0044),
    ("Na+", "CH3COO-"): (0.1426, 0.3237, 0, -0.00629),
    ("Na+", "Al(OH)4-"): (0.05, 0.25, 0, 0.0),
    ("K+", "Cl-"): (0.04835, 0.2122, 0, -0.00084),
    ("K+", "NO3-"): (-0.0816, 0.0494, 0, 0.0066),
    ("K+", "SO4-2"): (0.04995, 0.7793, 0, 0),
    ("K+", "HSO4-"): (-0.0003, 0.1735, 0, 0),
    ("K+", "OH-"): (0.1298, 0.32, 0, 0.0041),
    ("K+", "HCO3-"): (0.0296, -0.013, 0, -0.008),
    ("K+", "CO3-2"): (0.1488, 1.43, 0, -0.0015),
    ("K+", "CH3COO-"): (0.1587, 0.3251, 0, -0.0066),
    ("NH4+", "Cl-"): (0.0522, 0.1918, 0, -0.00301),
    ("NH4+", "NO3-"): (-0.0154, 0.112, 0, -0.00003),
    ("NH4+", "SO4-2"): (0.0409, 0.6585, 0, -0.0012),
    ("Ca+2", "Cl-"): (0.3159, 1.614, 0, -0.00034),
    ("Ca+2", "NO3-"): (0.2108, 1.409, 0, -0.02014),
    ("Ca+2", "SO4-2"): (0.2, 3.1973, -54.24, 0),
    ("Ca+2", "HCO3-"): (0.4, 2.977, 0, 0),
    ("Cu+2", "SO4-2"): (0.2358, 2.485, -47.35, -0.0012),
    ("Cu+2", "Cl-"): (0.3080, 1.3762, 0, 0),  # its C makes the liquid unstable beyond 4 mol/kg
    ("Al+3", "Cl-"): (0.6993, 5.8447, 0, 0.0027),
    ("Al+3", "SO4-2"): (0.854, 18.53, -500.0, -0.0911),
}
THETA = {
    ("Na+", "K+"): -0.012,
    ("Na+", "Ca+2"): 0.07,
    ("Na+", "H+"): 0.036,
    ("K+", "Ca+2"): 0.032,
    ("K+", "H+"): 0.005,
    ("Ca+2", "H+"): 0.092,
    ("Cl-", "SO4-2"): 0.02,
    ("Cl-", "NO3-"): 0.016,
    ("Cl-", "HSO4-"): -0.006,
    ("Cl-", "OH-"): -0.05,
    ("Cl-", "CO3-2"): -0.02,
    ("SO4-2", "OH-"): -0.013,
    ("HCO3-", "CO3-2"): -0.04,
}
PSI = {
    ("Na+", "K+", "Cl-"): -0.0018,
    ("Na+", "K+", "SO4-2"): -0.01,
    ("Na+", "Ca+2", "Cl-"): -0.007,
    ("Na+", "H+", "Cl-"): -0.004,
    ("K+", "H+", "Cl-"): -0.011,
    ("K+", "H+", "SO4-2"): 0.197,
    ("Na+", "Cl-", "SO4-2"): 0.0014,
    ("Na+", "Cl-", "OH-"): -0.006,
}
LAMBDA = {
    ("CO2", "Na+"): 0.1,
    ("CO2", "K+"): 0.051,
    ("CO2", "Ca+2"): 0.183,
    ("CO2", "SO4-2"): 0.097,
}
ZETA = {("CO2", "Na+", "Cl-"): -0.005}
LN10 = np.log(10.0)


def charge(key: str) -> int:
    """Charge from the end of a key: `SO4-2` -> -2."""
    for sign, factor in (("+", 1), ("-", -1)):
        head, found, tail = key.rpartition(sign)
        if found and head and (tail == "" or tail.isdigit()):
            return factor * int(tail or 1)
    return 0


@functools.cache
def sample(*names: str, solids: tuple[str, ...] = (), limit: float = 25.0) -> System:
    """A System of the named components (H2O, H+ and Cl- are always there) and solids."""
    keys = ["H2O", "H+", "Cl-", *(n for n in names if n not in ("H2O", "H+", "Cl-"))]
    return build(keys, solids, limit)


def build(keys: list[str], solids: tuple[str, ...], limit: float) -> System:
    def fits(parts: dict[str, int]) -> bool:
        return all(p in keys for p in parts)

    def matrix(rows: list[dict[str, int]]) -> np.ndarray:
        return np.array([[r.get(k, 0) for k in keys] for r in rows], float).reshape(-1, len(keys))

    derived = {k: v for k, v in SPECIES.items() if fits(v[0])}
    gases = {k: v for k, v in GASES.items() if fits(v[0])}
    species = [*keys[1:], *derived]
    size = len(species)
    rows = [{k: 1} for k in keys[1:]] + [v[0] for v in derived.values()]
    tables = pitzer_tables(species)
    t_grid = np.linspace(263.15, 388.15, 26)
    lift = 1.0 / t_grid - 1.0 / 298.15
    chosen = [SOLIDS[s] for s in solids]
    lnk = [k * LN10 - dh / 8.314462618 * lift for _, k, dh in chosen]
    solid_h = [sum(n * COMPONENTS[c][2] for c, n in parts.items()) - dh for parts, _, dh in chosen]
    solid_m = [sum(n * COMPONENTS[c][1] for c, n in parts.items()) for parts, _, _ in chosen]
    bulk = bulk_tables(keys, species, derived, t_grid)
    return System(
        components=tuple(keys),
        component_charge=np.array([COMPONENTS[k][0] for k in keys], float),
        component_mass=np.array([COMPONENTS[k][1] for k in keys], float),
        species=tuple(species),
        z=np.array([charge(s) for s in species], float),
        nu=matrix(rows),
        k0=np.array([0.0] * (len(keys) - 1) + [v[1] * LN10 for v in derived.values()]),
        dh=np.array([0.0] * (len(keys) - 1) + [v[2] for v in derived.values()]),
        dcp=np.zeros(size),
        gases=tuple(gases),
        gas_nu=matrix([v[0] for v in gases.values()]),
        gas_k0=np.array([v[1] * LN10 for v in gases.values()]),
        gas_dh=np.array([v[2] for v in gases.values()]),
        gas_dcp=np.zeros(len(gases)),
        t_grid=t_grid,
        solids=tuple(solids),
        solid_nu=matrix([c[0] for c in chosen]),
        solid_lnk=np.array(lnk).reshape(-1, len(t_grid)),
        solid_h=np.array(solid_h),
        solid_cp=np.array([250.0] * len(chosen)),
        solid_volume=np.array(solid_m) / 2000.0,
        solid_mass=np.array(solid_m),
        ionic_strength_max=limit,
        u_grid=np.linspace(0.0, 0.7, 15),
        gas_h=np.array([-241830.0, -393510.0][: len(gases)]),
        gas_cp=np.array([33.6, 37.1][: len(gases)]),
        **tables,
        **bulk,
    )


def pitzer_tables(species: list[str]) -> dict[str, object]:
    size = len(species)
    at = {s: i for i, s in enumerate(species)}
    binary = np.zeros((4, 3, size, size))
    for (c, a), values in BINARY.items():
        if c in at and a in at:
            i, j = at[c], at[a]
            binary[:, 0, i, j] = binary[:, 0, j, i] = values
    alpha1 = np.full((size, size), 2.0)
    z = np.array([charge(s) for s in species])
    alpha1[np.outer(z, z) <= -4] = 1.4
    alpha1[np.abs(np.outer(z, z)) > 4] = 2.0
    theta, lam = np.zeros((2, size, size)), np.zeros((2, size, size))
    for table, values in ((theta, THETA), (lam, LAMBDA)):
        for (a, b), value in values.items():
            if a in at and b in at:
                table[0, at[a], at[b]] = table[0, at[b], at[a]] = value
    psi = [([at[x] for x in k], v) for k, v in PSI.items() if all(x in at for x in k)]
    zeta = [([at[x] for x in k], v) for k, v in ZETA.items() if all(x in at for x in k)]
    return {
        "beta0": binary[0],
        "beta1": binary[1],
        "beta2": binary[2],
        "cphi": binary[3],
        "alpha1": alpha1,
        "alpha2": np.full((size, size), 12.0),
        "theta": theta,
        "lam": lam,
        "psi_index": np.array([k for k, _ in psi], dtype=np.int64).reshape(-1, 3),
        "psi": np.array([[v for _, v in psi], [0.0] * len(psi)]),
        "zeta_index": np.array([k for k, _ in zeta], dtype=np.int64).reshape(-1, 3),
        "zeta": np.array([v for _, v in zeta], float),
    }


def bulk_tables(
    keys: list[str], species: list[str], derived: dict[str, object], t_grid: np.ndarray
) -> dict[str, object]:
    """Plausible shapes: apparent heat falls with concentration, ions' heat capacity negative."""
    counted = {
        "HSO4-": ({"H+": 1, "SO4-2": 1}, 0.0),
        "Al(OH)4-": ({"Al+3": 1, "OH-": 4}, 0.0),
    }
    own = [s for s in species if s not in counted]
    ions = [s for s in own if charge(s) > 0] + [s for s in own if charge(s) < 0]
    neutrals = [s for s in own if charge(s) == 0]
    bulk = [*ions, *neutrals]
    of_species = np.zeros((len(species), len(bulk)))
    for i, s in enumerate(species):
        for b, n in counted[s][0].items() if s in counted else [(s, 1)]:
            of_species[i, bulk.index(b)] = n
    h0 = []
    for b in bulk:
        if b in COMPONENTS:
            h0.append(COMPONENTS[b][2])
        else:
            parts, _, dh = SPECIES[b]
            h0.append(sum(n * COMPONENTS[c][2] for c, n in parts.items()) + dh)
    u_grid = np.linspace(0.0, 0.7, 15)
    warm = t_grid[None, :] - 298.15
    heat = 6000.0 * u_grid[:, None] * (1 - u_grid[:, None]) + warm * (60 * u_grid[:, None] - 50)
    cations, anions = sum(charge(b) > 0 for b in bulk), sum(charge(b) < 0 for b in bulk)
    rank = np.arange(cations)[:, None, None, None] + np.arange(anions)[None, :, None, None]
    volume = 1.8e-5 + 1e-5 * u_grid[:, None] + 0.0 * warm
    water_h = -285830.0 + 75.3 * (t_grid - 298.15)
    return {
        "bulk": tuple(bulk),
        "bulk_charge": np.array([charge(b) for b in bulk], float),
        "bulk_of_species": of_species,
        "bulk_water": np.zeros(len(species)),
        "bulk_h0": np.array(h0),
        "pair_h": heat[None, None] * (1.0 + 0.1 * rank),
        "pair_v": volume[None, None] * (1.0 + 0.1 * rank),
        "neutral_h": np.repeat(80.0 * warm[None] + 0 * u_grid[:, None], len(neutrals), axis=0),
        "neutral_v": np.full((len(neutrals), 15, len(t_grid)), 3.5e-5),
        "water_h": water_h,
        "water_v": 0.018015 / (997.0 - 0.3 * (t_grid - 298.15)),
    }


def amounts(system: System, water: float = 1.0, **moles: float) -> np.ndarray:
    """mol of components: kg of water and moles of named ones (`Na`, `Cl`, ... without charge);
    H+ closes the charge balance.
    """
    total = np.zeros(len(system.components))
    total[0] = water / 0.018015268
    names = {c.rstrip("+-0123456789"): i for i, c in enumerate(system.components)}
    names |= {c.split("+")[0].split("-")[0]: i for i, c in enumerate(system.components)}
    for name, value in moles.items():
        total[names[name]] += value
    total[1] = -np.dot(total[2:], system.component_charge[2:])
    return total
