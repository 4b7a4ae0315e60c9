"""General published rules for what is left when the work is done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from firstcrop.bank.records import Obtained
from firstcrop.bank.tables import read_table


@dataclass(frozen=True, slots=True)
class WasteRule:
    """What to do with a component. `ratio`: mol of `agent` per mol; `ph` None: it does not say."""

    component: str
    kind: str  # quench, fall, collect, never
    agent: str
    ratio: float
    ph: float | None
    words: str
    equation: str
    source: str
    obtained: Obtained

    @property
    def quenched_first(self) -> bool:
        """Whether it must be destroyed before acid may come near it."""
        return self.kind == "quench" and self.component in ("ClO-", "NO2-", "MnO4-")


@cache
def waste_rules() -> Mapping[str, WasteRule]:
    """The rows of `waste.tsv` by component."""
    return MappingProxyType(
        {
            row.text("component"): WasteRule(
                row.text("component"),
                row.text("kind"),
                row.text("agent"),
                row.number("ratio") or 0.0,
                row.number("ph"),
                row.text("words"),
                row.text("equation"),
                row.text("source"),
                Obtained(row.text("obtained")),
            )
            for row in read_table("waste")
        }
    )


@cache
def neutral_protons() -> Mapping[str, float]:
    """Component -> protons it holds near pH 8; 0 for those not listed."""
    rows = read_table("neutralising")
    return MappingProxyType({row.text("component"): float(row.text("protons")) for row in rows})
