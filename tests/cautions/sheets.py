"""Small sheets for the caution tests, read as a user would write them."""

from __future__ import annotations

from pathlib import Path

from firstcrop.bank.bank import load_bank
from firstcrop.cautions.all import assess
from firstcrop.forecast.records import Caution, Forecast, StepForecast
from firstcrop.problems import Severity
from firstcrop.sheet.read import read_sheet
from firstcrop.sheet.records import Preparation

BANK = load_bank()
# name -> substance, strength, as in a materials table
STOCK = {
    "oil of vitriol": ("sulfuric acid", "96 % w/w"),
    "dilute vitriol": ("sulfuric acid", "30 ± 1 % w/w"),
    "battery acid": ("battery acid", ""),
    "muriatic": ("hydrochloric acid", "31 % w/w"),
    "vinegar": ("white vinegar", ""),
    "aqua fortis": ("nitric acid", "65 % w/w"),
    "weak nitric": ("nitric acid", "5 % w/w"),
    "lye pellets": ("sodium hydroxide", "98 % w/w"),
    "caustic potash": ("potassium hydroxide", "85 ± 2 % w/w"),
    "lye solution": ("sodium hydroxide", "10 % w/w"),
    "bleach": ("thin bleach", ""),
    "ammonia": ("household ammonia", ""),
    "peroxide": ("hydrogen peroxide", "30 % w/w"),
    "weak peroxide": ("peroxide 3 %", ""),
    "spirit": ("ethanol", "95 % v/v"),
    "acetone": ("acetone", "99 % w/w"),
    "ring-pulls": ("aluminium", "97 ± 1 % w/w"),
    "copper wire": ("copper", "99.9 % w/w"),
    "zinc": ("zinc", "99 % w/w"),
    "cream": ("cream of tartar", ""),
}


def table(name: str) -> list[tuple[str, ...]]:
    """The rows of a table beside this file."""
    lines = (Path(__file__).parent / f"{name}.tsv").read_text(encoding="utf-8").splitlines()
    rows = [line.split("\t") for line in lines if line and not line.startswith("#")]
    return [(row[0].replace(" / ", "\n"), *row[1:]) for row in rows[1:]]


def sheet(
    steps: str,
    *names: str,
    vessel: str = "400 mL low-form beaker",
    title: str = "Try",
    **extra: str,
) -> Preparation:
    """A sheet of these steps with these materials; it must read without an error."""
    stock = {**STOCK, **{name.replace("_", " "): (text, "") for name, text in extra.items()}}
    rows = []
    for name in (*names, *(n.replace("_", " ") for n in extra)):
        substance, strength = stock.get(name, (name, ""))
        rows.append(f"| {name} | {substance} | {strength} | |")
    numbered = [f"{i}. {line.strip()}" for i, line in enumerate(steps.strip().split("\n"), 1)]
    text = "\n".join(
        [
            f"# {title}",
            "",
            "## Materials",
            "",
            "| name | substance | strength | notes |",
            "|---|---|---|---|",
            *rows,
            "",
            "## Vessels",
            "",
            f"- beaker: {vessel}",
            "- flask: 250 mL conical flask",
            "",
            "## Steps",
            "",
            *numbered,
            "",
        ]
    )
    reading = read_sheet(text)
    wrong = [p for p in reading.problems if p.severity is Severity.ERROR]
    assert not wrong, wrong
    return reading.preparation


def cautions(prep: Preparation, *steps: StepForecast) -> tuple[Caution, ...]:
    """The cautions of a sheet with the forecast steps given, if any."""
    return assess(Forecast(prep, steps=steps), BANK)[0]


def codes(prep: Preparation, *steps: StepForecast) -> set[str]:
    """Their codes."""
    return {caution.code for caution in cautions(prep, *steps)}
