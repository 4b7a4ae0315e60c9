"""Shelf commands about making: stock solutions, the cost of a run, whether the shelf is ready."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from firstcrop.bank.bank import load_bank
from firstcrop.cli import asking
from firstcrop.cli.exits import Exit
from firstcrop.cli.files import write_whole
from firstcrop.cli.shelf_doing import Where, dumped
from firstcrop.cli.shelf_pages import TITRATE, Page, print_page, table
from firstcrop.cli.shelf_store import shelf_of
from firstcrop.problems import Problem, Severity
from firstcrop.quantity.read import read_quantity, read_strength
from firstcrop.shelf.bottles import levels
from firstcrop.shelf.cost import advice, cost_of
from firstcrop.shelf.recipe import recipe
from firstcrop.shelf.records import Cost
from firstcrop.shelf.sheets import told
from firstcrop.views.shelf import cost_row, recipe_row, show_amount


def stock(where: Where, name: str, strength: str, amount: str, **rest: Any) -> int:
    """How to make a stock solution from a bottle."""
    bank = load_bank()
    wanted, much = read_strength(strength), read_quantity(amount)
    wrong = [p for p in (wanted, much) if isinstance(p, Problem)]
    if wrong:
        return asking.complain(*wrong)
    with shelf_of(*where) as store:
        today = store if isinstance(store, Problem) else told(store, name, bank)
    if isinstance(today, Problem):
        return asking.complain(today)
    assert not isinstance(wanted, Problem)
    assert not isinstance(much, Problem)
    of = rest["of"] or today.level.bottle.substance
    found = recipe(today, of, wanted, much, bank)
    if isinstance(found, Problem):
        return asking.complain(found)
    if rest["output"]:
        problem = write_whole(rest["output"], found.sheet.encode(), rest["force"])
        if problem:
            return asking.complain(problem)
    row = recipe_row(found)
    if rest["as_json"]:
        print(dumped(asdict(row)))
    else:
        facts = table(("stock solution", row.title), row.facts)
        steps = [f"{n}. {step}" for n, step in enumerate(row.steps, start=1)]
        print_page([*facts, *steps])
    return int(Exit.FINE)


def cost(where: Where, sheet: str, runs: int, as_json: bool) -> int:
    """The cost of a run."""
    forecast = asking.forecast_of(sheet, where)
    if asking.exit_of(forecast) in (Exit.USAGE, Exit.REFUSED):
        return asking.complain(*forecast.problems) if forecast.problems else int(Exit.REFUSED)
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        found = cost_of(forecast, levels(store), runs)
    if as_json:
        print(dumped(_finite(asdict(found))))
    else:
        print_page(cost_page(found))
    return int(Exit.FINE)


def _finite(value: Any) -> Any:
    """JSON knows no infinity: null."""
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(item) for item in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value


def cost_page(found: Cost) -> Page:
    """The cost as a page."""
    row = cost_row(found)
    page = table(("material", "bottle", "takes", "costs", "runs left"), row.lines)
    return [*page, *row.sentences]


def check(where: Where, sheet: str, as_json: bool) -> int:
    """Whether the bottles a sheet names are known well enough and hold enough."""
    forecast = asking.forecast_of(sheet, where)
    if asking.exit_of(forecast) in (Exit.USAGE, Exit.REFUSED):
        return asking.complain(*forecast.problems) if forecast.problems else int(Exit.REFUSED)
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        found = cost_of(forecast, levels(store))
    heeded = advice(forecast)
    wrong = [
        p
        for p in forecast.problems
        if p.code.startswith("bottle.") and p.severity is not Severity.NOTE
    ]
    if as_json:
        print(dumped({"strengths": [asdict(a) for a in heeded],
                      "lacking": [list(b) for b in found.buy],
                      "problems": [p.message for p in wrong]}))  # fmt: skip
        return asking.exit_of_problems(wrong)
    shown = [(a.material, a.bottle, a.effect, TITRATE if a.titrate else "fine") for a in heeded]
    page = table(("material", "bottle", "its spread moves", ""), shown)
    page += [f"{name} lacks {show_amount(amount, unit)} for this run."
             for name, amount, unit in found.buy]  # fmt: skip
    print_page(page or ["The sheet names no bottle."])
    return asking.complain(*wrong, lines=forecast.preparation.source_lines) if wrong else 0
