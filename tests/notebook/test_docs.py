"""docs/notebook.md describes the files as they are written."""

from __future__ import annotations

import json
import re
from pathlib import Path

from firstcrop.account.tables import reading_errors
from firstcrop.cli.notebook_commands import notebook
from firstcrop.notebook.chain import CHAINED_OF_A_RUN
from firstcrop.notebook.plain import COLUMNS, run_files
from firstcrop.notebook.records import Kind
from firstcrop.problems import Problem
from firstcrop.store.engine import Store, open_store
from firstcrop.views.bench import BenchSheet, BenchStep
from notebook.samples import started

TEXT = (Path(__file__).parents[2] / "docs" / "notebook.md").read_text(encoding="utf-8")


def rows_after(heading: str) -> list[str]:
    """The names in the first column of the table that follows."""
    table = TEXT[TEXT.index(heading) :].split("\n\n")[1]
    return [n for row in table.splitlines()[2:] for n in re.findall(r"`(\w+)`", row.split("|")[1])]


def test_every_column_and_every_key_is_described(tmp_path):
    assert set(rows_after("`entries.csv` has")) == set(COLUMNS)
    store = open_store(f"sqlite:///{tmp_path}/a.db")
    assert isinstance(store, Store)
    files = run_files(store, started(store).id)
    store.close()
    assert not isinstance(files, Problem)
    assert set(rows_after("`run.json`:")) == set(json.loads(files["run.json"]))
    assert all(kind.value in TEXT for kind in Kind)
    assert all(f"`{name}`" in TEXT for name in CHAINED_OF_A_RUN)


def test_the_forecast_file_is_described():
    said = TEXT[TEXT.index("`forecast.json` is") : TEXT.index("`photos/")]
    for record in (BenchSheet, BenchStep):
        assert all(f"`{name}`" in said for name in record.__dataclass_fields__)


def test_every_command_is_listed():
    assert all(f"`{name}" in TEXT or f" `{name}`" in TEXT for name in notebook.commands)


def test_the_errors_of_readings_are_those_of_the_table():
    errors = reading_errors()
    assert f"| temperature | {errors['temperature'].absolute:g} K |" in TEXT
    assert f"| pH | {errors['pH'].absolute:g} |" in TEXT
    assert f"| mass | {errors['mass'].absolute * 1e3:g} g |" in TEXT
    volume, crop = errors["volume"], errors["crop"]
    assert f"| volume | {volume.absolute * 1e6:g} mL, or {volume.relative * 100:g} %" in TEXT
    assert f"| crop | {crop.absolute * 1e3:g} g, or {crop.relative * 100:g} %" in TEXT
