"""Grubbs' test: printed critical values, the handbook's example, nothing dropped."""

from __future__ import annotations

import pytest

from firstcrop.shelf.assay_outliers import critical, grubbs, outlier

# NIST/SEMATECH e-Handbook 1.3.5.17.1: eight readings of a mass spectrometer, from memory
HANDBOOK = (199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57)


@pytest.mark.parametrize(
    ("count", "printed"),  # Grubbs 1969, two-sided 5 % (upper 2.5 %), from memory
    [(3, 1.155), (4, 1.481), (5, 1.715), (6, 1.887), (7, 2.020), (8, 2.126), (10, 2.290)],
)
def test_critical_values_as_printed(count, printed):
    assert critical(count) == pytest.approx(
        printed, abs=1e-3
    )  # figures set down from memory: one unit


def test_the_handbooks_example():
    index, size = grubbs(HANDBOOK)
    assert (index, round(size, 3)) == (7, 2.469)
    assert critical(8, 0.10) == pytest.approx(2.032, abs=5e-4)  # printed: one-sided 5 %
    assert outlier(HANDBOOK) == 7


def test_few_or_equal_values_have_no_outlier():
    assert outlier((1.0, 9.0)) is None
    assert outlier((2.0, 2.0, 2.0)) is None
    assert outlier((16.70, 16.75, 16.68)) is None
    assert outlier((16.70, 16.72, 16.71, 16.70, 18.2)) == 4
