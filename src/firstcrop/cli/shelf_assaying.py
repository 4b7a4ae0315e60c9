"""What the assay commands do: read, compute, print; keep a result with its bottle."""

from __future__ import annotations

import json
import uuid
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from firstcrop.bank.bank import Bank, load_bank
from firstcrop.cli import asking
from firstcrop.cli.exits import Exit
from firstcrop.cli.files import read_text, write_whole
from firstcrop.cli.shelf_pages import Page, print_page, table
from firstcrop.cli.shelf_store import shelf_of
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_quantity, read_strength
from firstcrop.quantity.records import Basis, Kind, Strength
from firstcrop.shelf.assay import assay
from firstcrop.shelf.assay_methods import find_method, form, load_counted, load_methods
from firstcrop.shelf.assay_readings import read_readings
from firstcrop.shelf.assay_records import Assay, assay_json
from firstcrop.shelf.assay_storing import fits, record_of
from firstcrop.shelf.bottles import find_level, record_assay
from firstcrop.shelf.glassware import Piece, find_piece
from firstcrop.shelf.titration import forecast_titration
from firstcrop.shelf.titration_plan import plan_sample
from firstcrop.shelf.titration_records import SamplePlan, TitrationForecast
from firstcrop.views.assay import (
    budget_rows,
    curve_sentences,
    indicator_rows,
    plan_sentences,
    result_sentences,
)
from firstcrop.views.titration_chart import titration_chart

Where = tuple[Path, str | None]
WATER = 50e-6  # m3 with which a portion is usually thinned: common practice
PICTURES = (".svg", ".png", ".pdf")


def compute(
    where: Where, file: str, method: str, bottle: str, who: str, look: tuple[bool, bool]
) -> int:
    """The strength from a file of readings, printed (in full? as JSON?), and kept where a bottle
    is named."""
    full, as_json = look
    text = read_text(file)
    if isinstance(text, Problem):
        return asking.complain(text)
    found = assay(method, read_readings(text), load_bank())
    if not isinstance(found, Assay):
        return asking.complain(*found, lines=text.splitlines())
    if as_json:
        print(json.dumps(assay_json(found), ensure_ascii=False, indent=1))
    else:
        print_page(result_page(found) + (_sources(found) if full else []))
        asking.complain(*found.problems, lines=text.splitlines())
    return _keep(where, bottle, found, who) if bottle else int(Exit.FINE)


def _keep(where: Where, bottle: str, found: Assay, who: str) -> int:
    record = record_of(found, uuid.uuid4().hex, datetime.now(UTC).isoformat(), who)
    if isinstance(record, Problem):
        return asking.complain(record)
    with shelf_of(*where) as store:
        if isinstance(store, Problem):
            return asking.complain(store)
        level = find_level(store, bottle)
        wrong = level if isinstance(level, Problem) else fits(found, level.bottle, load_bank())
        kept = wrong or record_assay(store, bottle, record)
    if isinstance(kept, Problem):
        return asking.complain(kept)
    print(f"Kept with the bottle {bottle}.")
    return int(Exit.FINE)


def result_page(found: Assay) -> Page:
    """The result, its budget and what to improve."""
    rows = [
        (f"  {r.name}" if r.inner else r.name, r.value, r.u, r.share, r.how)
        for r in budget_rows(found)
    ]
    budget = table(("budget", "value", "u", "share", "how it is known"), rows)
    better = [f"Improve first: {found.advice[0]}"] if found.advice else []
    head = [found.title, ""] if found.title else []
    return [*head, *result_sentences(found), "", *budget, *better, *found.advice[1:]]


def _sources(found: Assay) -> Page:
    cited = load_bank().sources
    return ["", "Sources", *(f"  {cited[key].citation}" for key in found.sources)]


@dataclass(frozen=True, slots=True)
class Asked:
    """What a plan is asked for, as written."""

    method: str
    substance: str
    strength: str
    titrant: str
    burette: str
    density: str
    solid: bool


def plan(asked: Asked, plot: str | None, as_json: bool) -> int:
    """What to take, the curve and the indicator."""
    if plot and Path(plot).suffix.lower() not in PICTURES:
        return asking.complain(Problem("file.unwritable", "a picture ends in .svg, .png or .pdf"))
    found = _planned(asked, load_bank())
    if not isinstance(found[0], SamplePlan):
        return asking.complain(*(p for p in found if isinstance(p, Problem)))
    sample, curve = found
    assert isinstance(curve, TitrationForecast)
    if as_json:
        whole = {"plan": asdict(sample), "curve": asdict(curve)}
        print(json.dumps(_bare(whole), ensure_ascii=False, indent=1))
    else:
        shown = [(r.name, r.change, r.error, r.fits) for r in indicator_rows(curve)]
        head = ("indicator", curve.scale, "begins / middle / ends of its change", "fits")
        print_page([*plan_sentences(sample), "", *curve_sentences(curve), "", *table(head, shown)])
    if plot:
        picture = asking.rendered(titration_chart(curve), Path(plot).suffix.lower())
        problem = write_whole(plot, picture, force=True)
        if problem:
            return asking.complain(problem)
    asking.complain(*sample.problems, *curve.problems)
    return int(Exit.FINE)


def _planned(
    asked: Asked, bank: Bank
) -> tuple[SamplePlan, TitrationForecast] | tuple[Problem, ...]:
    strength, titrant = read_strength(asked.strength), read_strength(asked.titrant)
    burette, wrong = find_piece(asked.burette)
    density = _density(asked.density)
    problems = [p for p in (strength, titrant, density, *wrong) if isinstance(p, Problem)]
    if not isinstance(strength, Strength) or not isinstance(titrant, Strength) or not burette:
        return tuple(problems)
    if titrant.basis is not Basis.MOLARITY or isinstance(density, Problem):
        return (*problems, Problem("assay.unit", "The titrant is given in mol/L."))
    return _made(asked, strength, titrant.value, burette, density, bank)


def _made(asked: Asked, strength: Strength, titrant: float, burette: Piece, density: float | None,
          bank: Bank) -> tuple[SamplePlan, TitrationForecast] | tuple[Problem, ...]:  # fmt: skip
    sample = plan_sample(asked.method, asked.substance, strength, titrant, burette, bank, density,
                         asked.solid)  # fmt: skip
    if isinstance(sample, Problem):
        return (sample,)
    portion = sample.aliquot or (0.0 if sample.weighed else sample.sample)
    curve = forecast_titration(asked.method, asked.substance, sample.amount, portion + WATER,
                               titrant, bank)  # fmt: skip
    return (sample, curve) if isinstance(curve, TitrationForecast) else curve


def _density(text: str) -> float | Problem | None:
    if not text:
        return None
    read = read_quantity(text)
    if isinstance(read, Problem):
        return read
    if read.kind is not Kind.DENSITY:
        return Problem("assay.unit", f"“{text}” is no density", hint="write it as 1.15 g/mL")
    return read.value


def form_of(method: str) -> int:
    """Print the empty table of a method."""
    found = find_method(method)
    if isinstance(found, Problem):
        return asking.complain(found)
    print(form(found))
    return int(Exit.FINE)


def methods() -> int:
    """List the methods and what they count."""
    page: Page = []
    for method in load_methods():
        counts = "; ".join(c.substance for c in load_counted() if c.method == method.key)
        page += [f"{method.key}" + (f" ({'; '.join(method.names)})" if method.names else "")]
        page += [f"  counts {counts}"] if counts else []
        page += [f"  {method.note}"] if method.note else []
    print_page(page)
    return int(Exit.FINE)


def _bare(value: object) -> object:
    """JSON has no NaN and no infinity: null instead."""
    if isinstance(value, float):
        return value if abs(value) < float("inf") else None
    if isinstance(value, dict):
        return {k: _bare(v) for k, v in value.items()}
    if isinstance(value, tuple | list):
        return [_bare(v) for v in value]
    return value
