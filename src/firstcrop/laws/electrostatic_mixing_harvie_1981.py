"""Unsymmetrical electrostatic mixing: Pitzer's J(x) by the Chebyshev sums of Harvie 1981."""

from __future__ import annotations

import math
from types import MappingProxyType

from numba.extending import register_jitable

SOURCE = (
    "Pitzer K.S., J. Solution Chem. 4 (1975) 249-265, eq. 47; Chebyshev coefficients of "
    "Harvie C.E. (thesis, UC San Diego 1981) as printed in Pitzer 1991, ch. 3, appendix"
)
VALID = MappingProxyType({"x": (0.0, 1e4)})

_SMALL = (
    1.925154014814667,
    -0.060076477753119,
    -0.029779077456514,
    -0.007299499690937,
    0.000388260636404,
    0.000636874599598,
    0.000036583601823,
    -0.000045036975204,
    -0.000004537895710,
    0.000002937706971,
    0.000000396566462,
    -0.000000202099617,
    -0.000000025267769,
    0.000000013522610,
    0.000000001229405,
    -0.000000000821969,
    -0.000000000050847,
    0.000000000046333,
    0.000000000001943,
    -0.000000000002563,
    -0.000000000010991,
)
_LARGE = (
    0.628023320520852,
    0.462762985338493,
    0.150044637187895,
    -0.028796057604906,
    -0.036552745910311,
    -0.001668087945272,
    0.006519840398744,
    0.001130378079086,
    -0.000887171310131,
    -0.000242107641309,
    0.000087294451594,
    0.000034682122751,
    -0.000004583768938,
    -0.000003548684306,
    -0.000000250453880,
    0.000000216991779,
    0.000000080779570,
    0.000000004558555,
    -0.000000006944757,
    -0.000000002849257,
    0.000000000237816,
)


@register_jitable
def mixing_integral(x: float) -> tuple[float, float, float]:
    """J(x) and its first two derivatives by ln x, all dimensionless; x > 0."""
    if x <= 1.0:
        power = math.exp(0.2 * math.log(x))
        table = _SMALL
        z, z1, z2 = 4.0 * power - 2.0, 0.8 * power, 0.16 * power
    else:
        power = math.exp(-0.1 * math.log(x))
        table = _LARGE
        z, z1, z2 = (40.0 * power - 22.0) / 9.0, -4.0 / 9.0 * power, 0.4 / 9.0 * power
    b0 = b1 = b2 = d0 = d1 = d2 = e0 = e1 = e2 = 0.0
    for k in range(len(table) - 1, -1, -1):
        e2, e1 = e1, e0
        e0 = 2.0 * d0 + z * e1 - e2
        d2, d1 = d1, d0
        d0 = b0 + z * d1 - d2
        b2, b1 = b1, b0
        b0 = table[k] + z * b1 - b2
    slope, bend = d0 - d2, e0 - e2
    value = 0.25 * x - 1.0 + 0.5 * (b0 - b2)
    first = 0.25 * x + 0.5 * z1 * slope
    second = 0.25 * x + 0.5 * (z2 * slope + z1 * z1 * bend)
    return value, first, second
