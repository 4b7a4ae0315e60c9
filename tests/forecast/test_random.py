"""Any sheet at all: the books close and nothing raises."""

from __future__ import annotations

import math

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sample_sheets import HEAD, sheet, told

SALTS = (
    "sodium chloride",
    "potassium nitrate",
    "ammonium nitrate",
    "boric acid",
    "urea",
    "copper sulfate pentahydrate",
    "sodium bicarbonate",
    "sodium hydroxide",
    "zinc",
)
RATES = "half-life 4 min at 25 °C; doubles every 10 °C"
REACTING = HEAD.replace(
    "## Steps", f"## Reactions\n\n- Zn + 2 HCl -> ZnCl2 + H2; {RATES}\n\n## Steps"
)


def grams(least: float = 0.2, most: float = 30.0):
    return st.floats(least, most).map(lambda x: f"{x:.1f}")


salts = st.sampled_from(SALTS)
warm = st.sampled_from([0, 4, 10, 25, 40, 60, 80, 95])
steps = st.one_of(
    st.builds("Add {} g of {}.".format, grams(), salts),
    st.builds("Add {} g of {} in {} portions.".format, grams(), salts, st.integers(1, 4)),
    st.builds(
        "Add {} mL of {} over {} min.".format,
        grams(1, 60),
        st.sampled_from(["acid", "lye", "muriatic acid", "water", "spirit"]),
        st.integers(1, 40),
    ),
    st.builds("Add ? mL of acid to pH {}.".format, st.integers(2, 9)),
    st.builds("Heat to {} °C and hold for 10 min.".format, warm),
    st.builds("Cool to {} °C over 30 min.".format, warm),
    st.builds("Boil down to {} mL.".format, st.integers(20, 80)),
    st.builds("Dissolve {} g of {} in ? mL of water at {} °C.".format, grams(), salts, warm),
    st.sampled_from(
        [
            "Filter; keep the liquor.",
            "Filter; keep the crystals. Wash with 5 mL of water at 5 °C. Dry in air.",
            "Wash with 10 mL of spirit.",
            "Transfer to the flask.",
            "Transfer the crystals to the beaker. Add 20 mL of water.",
            "Return the liquor to the beaker.",
            "Reflux for 20 min.",
            "Stand overnight.",
            "Dilute to 200 mL.",
            "Titrate with ? mL of lye to pH 7.",
            "Discard the residue.",
            "Decant; keep the residue.",
            "Cool to ? °C.",
            "Add half of the liquor to the flask.",
        ]
    ),
)


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(st.lists(steps, min_size=2, max_size=6))
def test_the_books_close_over_random_sheets(clauses):
    f = told(sheet("Put 80 mL of water in the beaker.", *clauses, head=REACTING))
    for balance in f.balances:
        assert math.isfinite(balance.gap)
        assert abs(balance.gap) < 1e-9, balance
    assert all(p.message for p in f.problems)
