"""What the equilibrium solver is told of the chemistry: arrays, and the names of their rows.

Shapes: C components, S aqueous species, N solids, G gases, B bulk ions (cations then anions),
M neutral solutes, T nodes of `t_grid`, U nodes of `u_grid`. Component 0 is H2O, component 1 is
H+; `Cl-` is always a component (the pH convention needs its activity coefficient).
Nothing here reads a file.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class System:
    """One chemistry: everything the kernels need, none of it with a unit object.

    ln K(T) of species and gases is k0 - (dh/R)(1/T - 1/T0) + (dcp/R)(ln(T/T0) + T0/T - 1),
    T0 = 298.15 K, for  sum(nu * component) = species  (gases: fugacity in bar).
    """

    components: tuple[str, ...]
    component_charge: Floats  # [C]
    component_mass: Floats  # [C] kg/mol (H+ and H2O included)

    species: tuple[str, ...]  # without H2O; the first C-1 are components 1..C-1 themselves
    z: Floats  # [S]
    nu: Floats  # [S, C]
    k0: Floats  # [S] ln K at 298.15 K
    dh: Floats  # [S] J/mol
    dcp: Floats  # [S] J/(mol K)

    gases: tuple[str, ...]  # water vapour is gas 0, "H2O(g)"
    gas_nu: Floats  # [G, C]
    gas_k0: Floats  # [G] ln K (fugacity, bar, from components)
    gas_dh: Floats
    gas_dcp: Floats

    t_grid: Floats  # [T] K, even steps: solids' and bulk tables
    solids: tuple[str, ...]
    solid_nu: Floats  # [N, C]
    solid_lnk: Floats  # [N, T] ln of the activity product sum(nu ln a) at saturation
    solid_h: Floats  # [N] J/mol at 298.15 K, formation
    solid_cp: Floats  # [N] J/(mol K)
    solid_volume: Floats  # [N] m3/mol
    solid_mass: Floats  # [N] kg/mol

    # Pitzer, one row an ion or neutral as in `species`; p(T) = p + dp (T-T0) + ddp (T-T0)^2 / 2
    beta0: Floats  # [3, S, S] (value, d/dT, d2/dT2), symmetric, zero where like-charged
    beta1: Floats
    beta2: Floats
    cphi: Floats
    alpha1: Floats  # [S, S]
    alpha2: Floats
    theta: Floats  # [2, S, S] (value, d/dT) like-charged pairs
    lam: Floats  # [2, S, S] neutral-ion, neutral-neutral
    psi_index: Ints  # [P, 3] c c' a or a a' c
    psi: Floats  # [2, P]
    zeta_index: Ints  # [Q, 3] n c a
    zeta: Floats  # [Q]
    ionic_strength_max: float  # beyond it activity coefficients are frozen and a note is due

    # bulk: heat, density. h0, cp0 at infinite dilution for every bulk ion or neutral
    bulk: tuple[str, ...]  # cations, then anions, then neutrals
    bulk_charge: Floats  # [B+M]
    bulk_of_species: Floats  # [S, B+M]: HSO4- counts as H+ and SO4-2
    bulk_water: Floats  # [S] moles of H2O a species adds (negative: takes) when so counted
    bulk_h0: Floats  # [B+M] J/mol formation at 298.15 K, infinite dilution
    u_grid: Floats  # [U] u = sqrt(I)/(sqrt(I)+4); neutrals: sqrt(m)/(sqrt(m)+4)
    pair_h: Floats  # [Bc, Ba, U, T] J per equivalent: apparent enthalpy less the ions' h0
    pair_v: Floats  # [Bc, Ba, U, T] m3 per equivalent, apparent volume
    neutral_h: Floats  # [M, U, T] J/mol, apparent enthalpy less h0
    neutral_v: Floats  # [M, U, T] m3/mol
    water_h: Floats  # [T] J/mol formation enthalpy of liquid water
    water_v: Floats  # [T] m3/mol
    gas_h: Floats  # [G] J/mol at 298.15 K
    gas_cp: Floats  # [G]

    # hydrogensulfate beyond what its sulfuric acid holds (see liquor/bulk.py)
    bisulfate: Ints = field(default_factory=lambda: np.full(3, -1, dtype=np.int64))
    # [3] row of HSO4- among species, columns of H+ and SO4-2 in bulk; -1: there is none
    bisulfate_v: float = 0.0  # m3/mol its forming from the ions adds
    acid_share: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    # [U, T] mol of HSO4- a mole of H2SO4 in sulfuric acid of this strength
    bisulfate_h: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    # [Bc, U] J/mol of HSO4- beside each cation, less that of its forming at infinite dilution
