"""From the bank's rows to the arrays the solver takes, for the components at hand."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np

from firstcrop.bank.bank import Bank
from firstcrop.bank.records import Datum
from firstcrop.forecast.assemble.activity import Activity, activity
from firstcrop.forecast.assemble.binary import T0, Grid
from firstcrop.forecast.assemble.bisulfate import BISULFATE, with_bisulfate
from firstcrop.forecast.assemble.crystals import with_solids
from firstcrop.forecast.assemble.matter import Matter, constants, gather, matrix
from firstcrop.forecast.assemble.pairs import BulkTables, bulk_tables, library
from firstcrop.forecast.assemble.records import Assembled
from firstcrop.laws.water_density_kell_1975 import water_density
from firstcrop.laws.water_heat_iapws_2011 import water_enthalpy
from firstcrop.liquor.system import Floats, System
from firstcrop.problems import Problem, Severity

__all__ = ["Assembled", "assemble", "assemble_without_solids", "grid"]

_U_NODES, _U_TOP, _U_BEND = 72, 0.94, 1.5
_T_LOW, _T_HIGH, _T_STEP = 263.15, 393.15, 5.0  # K


def assemble(bank: Bank, components: Iterable[str]) -> Assembled:
    """The system of these components (H2O, H+ and Cl- always with them), solids anchored.

    A component the bank does not have is left out, and a Problem says so.
    """
    return _assembled(bank, frozenset(components))


@lru_cache(maxsize=64)
def _assembled(bank: Bank, components: frozenset[str]) -> Assembled:
    bare = assemble_without_solids(bank, components)
    matter = gather(bank, components)
    system, rests, estimates, problems = with_solids(bare.system, bank, matter)
    return Assembled(
        system,
        {**bare.rests_on, **rests},
        (*bare.estimates, *estimates),
        (*bare.problems, *problems),
    )


@lru_cache(maxsize=64)
def assemble_without_solids(bank: Bank, components: frozenset[str]) -> Assembled:
    """The same in which nothing can crystallise."""
    matter = gather(bank, components)
    act = activity(bank.pitzer, matter)
    bulk = bulk_tables(library(bank, grid()), matter)
    forming = matter.volume.get(BISULFATE, 0.0) - matter.volume.get("SO4-2", 0.0)
    return Assembled(
        with_bisulfate(_system(matter, act, bulk), bank, forming),
        {**_rests(matter), **act.rests_on},
        (*matter.estimates, *act.estimates, *bulk.estimates),
        tuple(
            Problem(
                "unknown-component",
                f"nothing is known of {key} in solution",
                severity=Severity.ERROR,
            )
            for key in sorted(components)
            if key not in bank.components
        ),
    )


@lru_cache(maxsize=1)
def grid() -> Grid:
    """The nodes every system shares; finer towards infinite dilution."""
    u = _U_TOP * (np.arange(_U_NODES) / (_U_NODES - 1.0)) ** _U_BEND
    return Grid(u, np.arange(_T_LOW, _T_HIGH + 0.5 * _T_STEP, _T_STEP))


def _system(matter: Matter, act: Activity, bulk: BulkTables) -> System:
    position = matter.position
    size, width = len(matter.components), len(grid().t)
    nu = np.vstack([np.eye(size)[1:], matrix((s.components for s in matter.derived), position)])
    k0, dh, dcp = constants((s.log_k, s.enthalpy, s.heat_capacity) for s in matter.derived)
    gas = constants((g.log_k, g.enthalpy, g.heat_capacity) for g in matter.gases)
    own = np.zeros(size - 1)
    counted, water = _counted(matter, bulk, nu)
    none = np.zeros(0)
    return System(
        components=tuple(c.key for c in matter.components),
        component_charge=np.array([float(c.charge) for c in matter.components]),
        component_mass=np.array([matter.mass[c.key] for c in matter.components]),
        species=matter.names,
        z=np.array([float(matter.charge[n]) for n in matter.names]),
        nu=nu,
        k0=np.concatenate([own, k0]),
        dh=np.concatenate([own, dh]),
        dcp=np.concatenate([own, dcp]),
        gases=tuple(g.key for g in matter.gases),
        gas_nu=matrix((g.components for g in matter.gases), position),
        gas_k0=gas[0],
        gas_dh=gas[1],
        gas_dcp=gas[2],
        t_grid=grid().t,
        solids=(),
        solid_nu=np.zeros((0, size)),
        solid_lnk=np.zeros((0, width)),
        solid_h=none,
        solid_cp=none,
        solid_volume=none,
        solid_mass=none,
        beta0=act.beta0,
        beta1=act.beta1,
        beta2=act.beta2,
        cphi=act.cphi,
        alpha1=act.alpha1,
        alpha2=act.alpha2,
        theta=act.theta,
        lam=act.lam,
        psi_index=act.psi_index,
        psi=act.psi,
        zeta_index=act.zeta_index,
        zeta=act.zeta,
        ionic_strength_max=act.ionic_strength_max,
        bulk=bulk.names,
        bulk_charge=np.array([float(matter.charge[n]) for n in bulk.names]),
        bulk_of_species=counted,
        bulk_water=water,
        bulk_h0=np.array([matter.formation[n] for n in bulk.names]),
        u_grid=grid().u,
        pair_h=bulk.pair_h,
        pair_v=bulk.pair_v,
        neutral_h=bulk.neutral_h,
        neutral_v=bulk.neutral_v,
        water_h=_water_enthalpy(matter),
        water_v=np.array([matter.mass["H2O"] / water_density(t) for t in grid().t]),
        gas_h=np.array([g.formation.value if g.formation else 0.0 for g in matter.gases]),
        gas_cp=np.array([g.cp.value if g.cp else 0.0 for g in matter.gases]),
    )


def _water_enthalpy(matter: Matter) -> Floats:
    rise = water_enthalpy(grid().t) - water_enthalpy(T0)
    return np.asarray(matter.formation["H2O"] + matter.mass["H2O"] * rise)


def _counted(matter: Matter, bulk: BulkTables, nu: Floats) -> tuple[Floats, Floats]:
    """How each species counts in bulk [S, B], and the water that goes with it [S]."""
    column = {name: i for i, name in enumerate(bulk.names)}
    water_of = dict(zip(matter.names, nu[:, 0], strict=True))
    counted = np.zeros((len(matter.names), len(bulk.names)))
    water = np.zeros(len(matter.names))
    bulk_of = {s.key: s.bulk for s in matter.derived}
    for i, name in enumerate(matter.names):
        parts = bulk_of.get(name) or ((name, 1.0),)
        for key, count in parts:
            counted[i, column[key]] += count
        water[i] = water_of[name] - sum(count * water_of[key] for key, count in parts)
    return counted, water


def _rests(matter: Matter) -> dict[str, tuple[Datum, ...]]:
    found: dict[str, tuple[Datum, ...]] = {}
    for c in matter.components:
        found[c.key] = _present(c.formation, c.heat_capacity, c.volume)
    for s in matter.derived:
        found[s.key] = _present(s.log_k, s.enthalpy, s.heat_capacity, s.formation)
    for g in matter.gases:
        found[g.key] = _present(g.log_k, g.enthalpy, g.formation, g.cp)
    return found


def _present(*data: Datum | None) -> tuple[Datum, ...]:
    return tuple(d for d in data if d is not None)
