"""What assembling gives back: the solver's System, what it rests on, what was estimated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from firstcrop.bank.records import Datum
from firstcrop.liquor.system import System
from firstcrop.problems import Problem


@dataclass(frozen=True, slots=True, eq=False)
class Assembled:
    """A System for a set of components.

    rests_on: the values behind a component, species, gas, solid (by key) or a pair of ions
    ("Na+ Cl-"). estimates: what no source gave and how it was filled, one sentence each.
    """

    system: System
    rests_on: Mapping[str, tuple[Datum, ...]] = field(default_factory=lambda: MappingProxyType({}))
    estimates: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()
