"""What an acid or a base was spent on: the protons of the liquor before and after."""

from __future__ import annotations

from firstcrop.forecast.contents import Contents
from firstcrop.forecast.context import Context
from firstcrop.forecast.stock import Stock

FEW = 8  # lines shown; the rest is one line


def proton_ledger(ctx: Context, c: Contents) -> dict[str, float]:
    """mol of the H+ component bound in each species, solid and gas; OH- counts negative."""
    state = c.state
    if state is None:
        return {}
    system = ctx.chem.system
    species = state.molalities * state.water * system.nu[:, 1]
    found = dict(zip(system.species, species.tolist(), strict=True))
    for names, amounts, nu in (
        (system.solids, state.solids, system.solid_nu),
        (system.gases, state.gas, system.gas_nu),
    ):
        found.update(zip(names, (amounts * nu[:, 1]).tolist(), strict=True))
    return {name: value for name, value in found.items() if value}


def spent_on(
    ctx: Context, before: Contents, after: Contents, stock: Stock, mass: float
) -> tuple[tuple[str, float, str], ...]:
    """(what, kg of the stock, mol) adding up to `mass`: the protons it brought, by where they
    are now. Empty when the stock brings no acid or base."""
    brought = float(stock.wet[1] + stock.dry @ ctx.chem.dry_components[:, 1]) * mass
    if abs(brought) < 1e-12:
        return ()
    was, now = proton_ledger(ctx, before), proton_ledger(ctx, after)
    changes = {
        name: now.get(name, 0.0) - was.get(name, 0.0) for name in dict.fromkeys((*was, *now))
    }
    ordered = sorted(changes.items(), key=lambda pair: -abs(pair[1]))
    shown = [(name, change) for name, change in ordered[:FEW] if abs(change) > 1e-6 * abs(brought)]
    rest = brought - sum(change for _, change in shown)
    per_mol = mass / brought
    terms = [
        (
            _label(name, change, was.get(name, 0.0) + now.get(name, 0.0)),
            change * per_mol,
            f"{change:.6g} mol of protons",
        )
        for name, change in shown
    ]
    terms.append(("gas gone, reactions, traces", rest * per_mol, f"{rest:.6g} mol"))
    return tuple(terms)


def _label(name: str, change: float, bound: float) -> str:
    """What a change of the protons bound in `name` means; `bound` is negative for what takes up
    acid when it goes, as OH- and Al(OH)4- do."""
    if name == "H+":
        return "free acid, H+" if change > 0.0 else "free acid used up"
    if bound < 0.0:
        return f"neutralising {name}" if change > 0.0 else f"making {name}"
    return f"forming {name}" if change > 0.0 else f"using up {name}"
