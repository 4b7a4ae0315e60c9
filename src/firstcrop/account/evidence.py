"""Readings a run can be compared with, and what a simulated run says in their place."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from firstcrop.account.records import Evidence
from firstcrop.forecast.context import Ground
from firstcrop.forecast.log import Log
from firstcrop.forecast.measures import Key, measures, own_instants
from firstcrop.forecast.simulate import Run

ATTRIBUTES = MappingProxyType(
    {"temperature": "temperature", "pH": "ph", "volume": "volume", "mass": "mass"}
)


class Oracle:
    """What a run says to each piece of evidence; its measures are computed once."""

    def __init__(self, ground: Ground, run: Run) -> None:
        self._logs = {log.step: log for log in run.logs}
        self._measures: Mapping[Key, float] = measures(ground, run)
        self._crops = {c.number: c.name for c in run.findings.cakes.values()}

    def says(self, of: Evidence) -> float:
        """The run's value in SI; NaN where it has none."""
        if of.what == "crop":
            name = self._crops.get(of.crop, "")
            return self._measures.get(("dry" if of.dry else "wet", name), math.nan)
        if of.what == "peak":
            return self._measures.get(("peak", of.step), math.nan)
        log = self._logs.get(of.step)
        return math.nan if log is None else _at(log, ATTRIBUTES.get(of.what, ""), of.seconds)


def _at(log: Log, attribute: str, seconds: float) -> float:
    instants = own_instants(log)
    if not instants or not attribute:
        return math.nan
    values = [float(getattr(i, attribute)) for i in instants]
    if math.isinf(seconds):
        return values[-1]
    times = [i.time - log.start_time for i in instants]
    return float(np.interp(seconds, times, values))
