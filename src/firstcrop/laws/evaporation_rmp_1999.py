"""Evaporation from an open surface into moving air."""

from __future__ import annotations

GAS_CONSTANT = 8.31446  # J/(mol K)
WATER = 0.018  # kg/mol
SOURCE = (
    "US EPA, Risk Management Program Guidance for Offsite Consequence Analysis, EPA 550-B-99-009 "
    "(1999), Appendix D equation D-1, in SI; from memory"
)
VALID = "a full, flat surface; a deep beaker gives off less"


def molar_flux(pressure: float, molar_mass: float, temperature: float, speed: float) -> float:
    """mol/(m2 s) of a liquid whose vapour has `pressure` Pa over it, in air of `speed` m/s:
    0.0067 u^0.78 (18/M)^(1/3) P/(R T)."""
    transfer = 0.0067 * speed**0.78 * (WATER / molar_mass) ** (1.0 / 3.0)
    return transfer * pressure / (GAS_CONSTANT * temperature)
