"""Half-widths combine in quadrature (JCGM 100:2008, 5.1.2), and workings give their number."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from firstcrop.account.numbers import measured, ratio, scaled, total, unknown

SIZES = st.floats(1e-6, 1e6)
PARTS = st.floats(0.0, 0.2)


@given(SIZES, PARTS, SIZES, PARTS)
def test_products_and_ratios_share_their_relative_widths(a, pa, b, pb):
    x, y = measured(a, a * pa, "kg"), measured(b, b * pb, "kg")
    expected = math.hypot(pa, pb)
    for found in (ratio(x, y, "1", ("x", "y")), scaled(x, y, "1", ("x", "y"))):
        assert (found.high - found.value) / found.value == pytest.approx(
            expected, rel=1e-6, abs=1e-9
        )
        assert found.working is not None
        product = math.prod(t.value for t in found.working.terms)
        assert product == pytest.approx(found.value, rel=1e-9)


@given(st.lists(st.tuples(SIZES, PARTS), min_size=1, max_size=6))
def test_a_sum_and_its_terms(parts):
    numbers = [(f"p{n}", 1.0 if n % 2 else -1.0, measured(v, v * p, "kg"))
               for n, (v, p) in enumerate(parts)]  # fmt: skip
    found = total(numbers, "kg")
    assert found.working is not None
    assert math.fsum(t.value for t in found.working.terms) == pytest.approx(found.value, abs=1e-12)
    assert found.high - found.value == pytest.approx(
        math.sqrt(sum((v * p) ** 2 for v, p in parts)), rel=1e-6, abs=1e-9
    )


def test_what_is_not_known_stays_unknown():
    nothing = unknown("kg", "no crop was weighed")
    assert ratio(nothing, measured(1.0, 0.0, "kg"), "1", ("a", "b")).why == "no crop was weighed"
    assert math.isnan(
        ratio(measured(1.0, 0.0, "kg"), measured(0.0, 0.0, "kg"), "1", ("a", "b")).value
    )
