"""The JSON document: schema, stable order, no value JSON cannot hold, as documented."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from firstcrop.forecast.records import Forecast
from firstcrop.sheet.records import Preparation
from firstcrop.views.json import SCHEMA, VERSION, forecast_json, problems_document
from sample_forecast import sample

DOCUMENTED = Path(__file__).parents[2] / "docs" / "json.md"


@pytest.fixture
def document():
    return forecast_json(sample(), "0.0")


def test_the_document_names_its_schema(document):
    assert (document["schema"], document["version"]) == (SCHEMA, VERSION)
    assert next(iter(document)) == "schema"


def test_it_holds_nothing_json_cannot(document):
    text = json.dumps(document, allow_nan=False)
    assert json.loads(text) == json.loads(json.dumps(document))


def test_the_order_of_keys_is_the_same_for_an_empty_forecast(document):
    assert list(forecast_json(Forecast(Preparation(title="")))) == list(document)


def test_numbers_carry_value_band_unit_and_the_words_shown(document):
    peak = document["steps"][1]["peak_temperature"]
    assert peak["value"] == 316.85
    assert peak["unit"] == "K"
    assert peak["shown"] == "43.7 °C (41.3–46.1)"
    terms = peak["working"]["terms"]
    assert sum(term["value"] for term in terms) == pytest.approx(peak["value"])


def test_an_unknown_value_is_null_with_a_reason(document):
    ph = document["steps"][3]["end_ph"]
    assert ph["value"] is None
    assert ph["why"] == "there is no liquor"
    assert document["trace"]["ph"][-1] is None


def test_problems_keep_their_places(document):
    first = document["problems"][0]
    assert first["places"] == [{"file": None, "line": 8, "column": 17, "length": 14}]
    assert len(first["excerpt"]) == 2


def test_the_document_of_check():
    document = problems_document(sample().problems, sample().preparation.source_lines)
    assert document["schema"] == "firstcrop.problems"
    assert [p["severity"] for p in document["problems"]] == ["error", "warning"]


def test_every_key_is_documented(document):
    words = set(re.findall(r"`([a-z_]+)`", DOCUMENTED.read_text(encoding="utf-8")))
    used: set[str] = set()
    collect(document, used)
    assert used - words == set()


def collect(value, used):
    free = {"composition", "rivals", "solids", "gas"}  # their keys are names of matter
    if isinstance(value, dict):
        for key, inner in value.items():
            used.add(key)
            if key in free and isinstance(inner, dict):
                continue
            collect(inner, used)
    elif isinstance(value, list):
        for inner in value[:50]:
            collect(inner, used)
