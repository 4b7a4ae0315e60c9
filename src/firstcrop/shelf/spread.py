"""Standard uncertainties and 90 % half-widths of the same normal spread."""

from __future__ import annotations

from typing import Final

HALF: Final = 1.6449  # half-width of the central 90 % of a normal distribution, in its σ
