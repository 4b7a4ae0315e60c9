"""Parameters of the electrolyte model for a set of solutes: fitted, borrowed or typical."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from firstcrop.bank.pitzer import Electrolyte, Mixing, Pitzer
from firstcrop.bank.records import Datum
from firstcrop.forecast.assemble.matter import Matter
from firstcrop.liquor.system import Floats, Ints

_SMALLEST_LIMIT, _LARGEST_LIMIT = 6.0, 20.0  # mol/kg, ionic strength
_BEYOND = 1.25  # a fit is followed this far beyond its last point: mixtures are stronger than salts
_USUAL_LIMIT = 6.0  # mol/kg, molality, where a fit does not say
_CHAIN = 3  # how many stand-ins of stand-ins are tried


@dataclass(frozen=True, slots=True, eq=False)
class Activity:
    """Arrays as `System` has them, and what they rest on."""

    beta0: Floats
    beta1: Floats
    beta2: Floats
    cphi: Floats
    alpha1: Floats
    alpha2: Floats
    theta: Floats
    lam: Floats
    psi_index: Ints
    psi: Floats
    zeta_index: Ints
    zeta: Floats
    ionic_strength_max: float
    rests_on: Mapping[str, tuple[Datum, ...]]
    estimates: tuple[str, ...]


def activity(pitzer: Pitzer, matter: Matter) -> Activity:
    """Every pair, mixing term and neutral of `matter`."""
    size = len(matter.names)
    row = {name: i for i, name in enumerate(matter.names)}
    betas = np.zeros((4, 3, size, size))
    alphas = np.tile(np.array([2.0, 12.0])[:, None, None], (1, size, size))
    chosen = _pairs(pitzer, matter)
    for (c, a), fit in chosen.items():
        i, j = row[c], row[a]
        for k, value in enumerate((*fit.beta, fit.cphi)):
            betas[k, :, i, j] = betas[k, :, j, i] = value, fit.slopes[k], fit.curvatures[k]
        alphas[:, i, j] = alphas[:, j, i] = fit.alpha
    theta, lam, psi, zeta = _mixing(pitzer, row)
    return Activity(
        beta0=betas[0],
        beta1=betas[1],
        beta2=betas[2],
        cphi=betas[3],
        alpha1=alphas[0],
        alpha2=alphas[1],
        theta=theta,
        lam=lam,
        psi_index=_index(psi, row),
        psi=np.array([[m.value for m in psi], [m.slope for m in psi]]).reshape(2, -1),
        zeta_index=_index(zeta, row),
        zeta=np.array([m.value for m in zeta]),
        ionic_strength_max=_limit(pitzer, matter),
        rests_on={f"{c} {a}": _data(fit) for (c, a), fit in chosen.items() if fit.cation},
        estimates=tuple(_estimates(pitzer, matter, chosen)),
    )


def _pairs(pitzer: Pitzer, matter: Matter) -> dict[tuple[str, str], Electrolyte]:
    cations = [n for n in matter.names if matter.charge[n] > 0]
    anions = [n for n in matter.names if matter.charge[n] < 0]
    paired = _associated(matter)
    found = {}
    for c in cations:
        for a in anions:
            fit = _choose(pitzer, matter, c, a)
            if (c, a) not in pitzer.electrolytes and (c, a) in paired:
                # the association is a species of its own: do not count it twice
                fit = replace(fit, beta=(fit.beta[0], fit.beta[1], 0.0))
            found[c, a] = fit
    return found


def _associated(matter: Matter) -> set[tuple[str, str]]:
    pairs = set()
    for s in matter.derived:
        keys = [key for key, count in s.components if count > 0 and key not in ("H2O", "H+")]
        pairs |= {(c, a) for c in keys for a in keys if matter.charge[c] > 0 > matter.charge[a]}
    return pairs


def _choose(pitzer: Pitzer, matter: Matter, cation: str, anion: str) -> Electrolyte:
    cations, anions = _chain(pitzer, cation), _chain(pitzer, anion)
    candidates = sorted(
        ((i + j, j, i) for i in range(len(cations)) for j in range(len(anions))),
    )
    for _, j, i in candidates:
        fit = pitzer.electrolytes.get((cations[i], anions[j]))
        if fit is not None:
            return fit
    return pitzer.typical[matter.charge[cation], -matter.charge[anion]]


def _chain(pitzer: Pitzer, ion: str) -> tuple[str, ...]:
    chain = [ion]
    while len(chain) <= _CHAIN:
        following = pitzer.stand_in.get(chain[-1])
        if following is None or following in chain:
            break
        chain.append(following)
    return tuple(chain)


def _mixing(
    pitzer: Pitzer, row: Mapping[str, int]
) -> tuple[Floats, Floats, tuple[Mixing, ...], tuple[Mixing, ...]]:
    size = len(row)
    here = [m for m in pitzer.mixing if all(s in row for s in m.solutes)]
    theta, lam = np.zeros((2, size, size)), np.zeros((2, size, size))
    for m in here:
        if m.kind in ("theta", "lambda"):
            i, j = (row[s] for s in m.solutes)
            table = theta if m.kind == "theta" else lam
            table[:, i, j] = table[:, j, i] = m.value, m.slope
    psi = tuple(m for m in here if m.kind == "psi")
    zeta = tuple(m for m in here if m.kind == "zeta")
    return theta, lam, psi, zeta


def _index(rows: tuple[Mixing, ...], row: Mapping[str, int]) -> Ints:
    table = [[row[s] for s in m.solutes] for m in rows]
    return np.array(table, dtype=np.int64).reshape(-1, 3)


def _limit(pitzer: Pitzer, matter: Matter) -> float:
    """Ionic strength to which at least one salt of these components was fitted."""
    reach = [0.0]
    major = {c.key for c in matter.components if c.charge and c.key != "H+"}
    for (c, a), fit in pitzer.electrolytes.items():
        if c in major and a in major:
            zc, za = matter.charge[c], -matter.charge[a]
            per_mole = 0.5 * zc * za * (zc + za) / np.gcd(zc, za)
            reach.append((fit.molality_max or _USUAL_LIMIT / per_mole) * per_mole)
    return float(min(max(_SMALLEST_LIMIT, _BEYOND * max(reach)), _LARGEST_LIMIT))


def _data(fit: Electrolyte) -> tuple[Datum, ...]:
    label = f"electrolyte parameters of {fit.cation} with {fit.anion}"
    return (
        Datum(fit.beta[0], "kg/mol", 0.0, fit.obtained, fit.source, fit.reason, label, fit.place),
    )


def _estimates(
    pitzer: Pitzer, matter: Matter, chosen: Mapping[tuple[str, str], Electrolyte]
) -> list[str]:
    major = {c.key for c in matter.components} | {"OH-", "HSO4-"}
    lines, minor = [], 0
    for (c, a), fit in chosen.items():
        if (c, a) in pitzer.electrolytes:
            continue
        if c not in major or a not in major:
            minor += 1
        elif fit.cation:
            lines.append(
                f"{c} with {a}: no electrolyte parameters, those of {fit.cation} with "
                f"{fit.anion} stand in"
            )
        else:
            lines.append(f"{c} with {a}: no electrolyte parameters, usual ones of the charge type")
    if minor:
        lines.append(f"{minor} pairs with a complex or minor ion: parameters of a like pair")
    return lines
