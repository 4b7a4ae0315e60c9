"""Commands that write a sheet: scaled, or with its blanks filled in."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from firstcrop.cli import asking
from firstcrop.cli.exits import Exit
from firstcrop.cli.files import write_whole
from firstcrop.forecast.records import Forecast
from firstcrop.problems import Place, Problem, Severity
from firstcrop.quantity.records import Kind, Quantity

FULL = 2.0 / 3.0  # of the vessel to fill at most: common practice
CLOSE = 0.005  # a scaled crop this near the wanted one is near enough
ROUNDS = 4
ADVICE = (
    "Amounts and vessels were scaled; times, portions and limits were not. A larger batch gives "
    "its heat away more slowly: forecast the scaled sheet."
)
LEAST, MOST = 1e-3, 1e3  # factors beyond are a slip of the pen


def fill(sheet: str, output: str | None, force: bool) -> int:
    """Write the sheet with the forecast's answers in place of its blanks."""
    from firstcrop.sheet.rewrite import filled

    forecast = asking.forecast_of(sheet)
    code = _not_writable(forecast)
    if code is not None:
        return code
    lines = forecast.preparation.source_lines
    answers = [(b.place, b.text) for b in forecast.blanks if math.isfinite(b.number.value)]
    code = _deliver(filled(lines, answers), output, force)
    if not forecast.blanks:
        print("The sheet has no blanks; it is written as it was.", file=sys.stderr)
    return code or asking.exit_of(forecast)


def _not_writable(forecast: Forecast) -> int | None:
    """The exit code when there is nothing to write: refused, or nothing was simulated."""
    if forecast.refused:
        print(forecast.refused, file=sys.stderr)
        return int(Exit.REFUSED)
    errors = [p for p in forecast.problems if p.severity is Severity.ERROR]
    if errors and not forecast.steps:
        return asking.complain(*errors, lines=forecast.preparation.source_lines)
    return None


def _deliver(lines: Sequence[str], output: str | None, force: bool) -> int:
    text = "\n".join(lines).rstrip("\n") + "\n"
    if output is None:
        sys.stdout.write(text)
        return int(Exit.FINE)
    problem = write_whole(output, text.encode(), force)
    if problem:
        return asking.complain(problem)
    print(f"Written to {output}", file=sys.stderr)
    return int(Exit.FINE)


def scale(sheet: str, goal: str, wanted: str, output: str | None, force: bool) -> int:
    """Write the sheet scaled; `goal` is product, have or vessel."""
    forecast = asking.forecast_of(sheet)
    code = _not_writable(forecast)
    if code is not None:
        return code
    factor = _factor(forecast, goal, wanted)
    if isinstance(factor, Problem):
        return asking.complain(factor, lines=forecast.preparation.source_lines)
    if not LEAST <= factor <= MOST:
        message = f"this would multiply the sheet by {factor:.3g}"
        return asking.complain(Problem("scale.far", message, hint="is the amount right?"))
    if goal == "product":
        factor = _refined(forecast, factor, wanted, Path(sheet).parent)
    return _deliver(_scaled(forecast, factor, goal, wanted), output, force) or _advise()


def _advise() -> int:
    print(ADVICE, file=sys.stderr)
    return int(Exit.FINE)


def _scaled(forecast: Forecast, factor: float, goal: str, wanted: str) -> tuple[str, ...]:
    from firstcrop.sheet.rewrite import scaled, with_remark

    name, _, amount = wanted.partition("=")
    why = {
        "product": f"for {wanted} of dry crop",
        "have": f"for {amount.strip()} of {name.strip()}",
        "vessel": f"for a vessel of {wanted}",
    }[goal]
    lines = scaled(forecast.preparation, factor, _sizes(goal, wanted))
    return with_remark(lines, f"Scaled by {factor:.3g}, {why}.")


def _sizes(goal: str, wanted: str) -> Callable[[str, float], float]:
    """Which vessel to take for a form and a volume; none need be larger than the one given."""
    given = _read(wanted) if goal == "vessel" else None
    if not isinstance(given, Quantity):
        return nominal_size
    return lambda form, volume: min(nominal_size(form, volume), given.value)


def nominal_size(form: str, volume: float) -> float:
    """The smallest vessel of a form, as made, that holds a volume (m3); the volume itself
    rounded up to two figures when none does."""
    from firstcrop.bank.vessels import load_vessels

    sizes = sorted(v.nominal for v in load_vessels() if v.form == form)
    step = 10.0 ** (math.floor(math.log10(volume)) - 1)
    beyond = math.ceil(volume / step - 1e-9) * step
    return next((size for size in sizes if size >= volume * 0.999), float(f"{beyond:.3g}"))


def _factor(forecast: Forecast, goal: str, wanted: str) -> float | Problem:
    if goal == "have":
        return _to_stock(forecast, wanted)
    if goal == "vessel":
        return _to_vessel(forecast, wanted)
    return _to_product(forecast, wanted)


def _to_stock(forecast: Forecast, wanted: str) -> float | Problem:
    """From "ring-pulls=5 g": what is at hand over what the steps take."""
    from firstcrop.sheet.names import fold
    from firstcrop.sheet.rewrite import total_of

    name, equals, amount = wanted.partition("=")
    if not equals:
        return Problem("scale.have", f"“{wanted}” names no amount", hint="write: 'ring-pulls=5 g'")
    taken = total_of(forecast.preparation, fold(name.strip()))
    stock = _read(amount)
    if isinstance(taken, Problem):
        return taken
    if isinstance(stock, Problem):
        return stock
    if stock.kind is not taken.kind:
        message = f"the sheet takes {name.strip()} by {taken.kind.value}, not by {stock.kind.value}"
        return Problem("scale.kind", message, hint="say what you have in the same way")
    return _ratio(stock.value, taken.value)


def _read(text: str) -> Quantity | Problem:
    """A quantity from the command line; its Problem has no place in the sheet."""
    from firstcrop.quantity.read import read_quantity

    found = read_quantity(text.strip(), place=Place(1, 1, max(len(text), 1)))
    if isinstance(found, Problem):
        return Problem(found.code, found.message, (), found.hint, found.severity)
    return found


def _ratio(wanted: float, present: float) -> float | Problem:
    if present > 0.0 and wanted > 0.0 and math.isfinite(wanted / present):
        return wanted / present
    return Problem("scale.nothing", "nothing can be scaled from or to nothing")


def _to_vessel(forecast: Forecast, wanted: str) -> float | Problem:
    """So that the fullest moment of the run, foam included, fills two thirds of the vessel."""
    size = _read(wanted)
    if isinstance(size, Problem):
        return size
    volumes = [s.peak_volume.value for s in forecast.steps if math.isfinite(s.peak_volume.value)]
    if size.kind is not Kind.VOLUME:
        return Problem("scale.vessel", f"“{wanted}” is no volume", hint="write: --vessel '1 L'")
    return _ratio(FULL * size.value, max(volumes, default=0.0))


def crop_mass(forecast: Forecast) -> float:
    """Dry mass of the target over all crops; of the last crop when none is the target."""
    target = [c for c in forecast.crops if math.isfinite(c.yield_fraction.value)]
    masses = [c.dry_mass.value for c in target or forecast.crops[-1:]]
    return math.fsum(m for m in masses if math.isfinite(m))


def _to_product(forecast: Forecast, wanted: str) -> float | Problem:
    mass = _read(wanted)
    if isinstance(mass, Problem):
        return mass
    if mass.kind is not Kind.MASS:
        return Problem("scale.mass", f"“{wanted}” is no mass", hint="write: --to '50 g'")
    if not forecast.crops:
        hint = "a crop is what a “Filter; keep the crystals” keeps"
        return Problem("scale.crop", "the sheet gives no crop to scale to", hint=hint)
    return _ratio(mass.value, crop_mass(forecast))


def _refined(forecast: Forecast, factor: float, wanted: str, folder: Path) -> float:
    """The factor corrected until the scaled sheet's own forecast gives the wanted crop."""
    mass = _read(wanted)
    if isinstance(mass, Problem):
        return factor
    for _ in range(ROUNDS):
        text = "\n".join(_scaled(forecast, factor, "product", wanted))
        crop = crop_mass(asking.forecast_text(text, (folder, None)))
        if not crop > 0.0 or abs(crop / mass.value - 1.0) < CLOSE:
            break
        factor *= mass.value / crop
    return factor
