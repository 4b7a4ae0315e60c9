"""Components, aqueous species and gases of the bank: what can be in a liquor or leave it."""

from __future__ import annotations

from firstcrop.bank.records import Component, Datum, Gas, Species
from firstcrop.bank.tables import Row, read_table

_KILO = 1e3  # kJ to J
_CM3 = 1e-6  # cm3 to m3


def load_components(table: str = "components") -> tuple[Component, ...]:
    """Every master component, H2O and H+ first, in table order."""
    return tuple(_component(row) for row in read_table(table))


def load_species(table: str = "species") -> tuple[Species, ...]:
    """Every aqueous species other than the components themselves."""
    return tuple(_species(row) for row in read_table(table))


def load_gases() -> tuple[Gas, ...]:
    """Every gas; water vapour first."""
    return tuple(_gas(row) for row in read_table("gases"))


def _component(row: Row) -> Component:
    key = row.text("key")
    return Component(
        key=key,
        formula=row.text("formula"),
        charge=int(row.text("charge")),
        formation=_needed(row, "formation", "J/mol", _KILO, f"ΔfH° of {key}(aq)"),
        heat_capacity=row.datum("heat_capacity", "J/(mol K)", 1.0, f"Cp° of {key}(aq)"),
        volume=row.datum("volume", "m3/mol", _CM3, f"V° of {key}(aq)"),
        names=row.names("names"),
    )


def _species(row: Row) -> Species:
    key = row.text("key")
    return Species(
        key=key,
        components=row.stoichiometry("components"),
        charge=int(row.text("charge")),
        log_k=_needed(row, "log_k", "1", 1.0, f"log K of {key}"),
        enthalpy=row.datum("enthalpy", "J/mol", _KILO, f"ΔH° of forming {key}"),
        heat_capacity=row.datum("heat_capacity", "J/(mol K)", 1.0, f"ΔCp° of forming {key}"),
        bulk=row.stoichiometry("bulk"),
        names=row.names("names"),
        formation=row.datum("formation", "J/mol", _KILO, f"ΔfH° of {key}(aq)"),
        volume=row.datum("volume", "m3/mol", _CM3, f"V° of {key}(aq)"),
    )


def _gas(row: Row) -> Gas:
    key = row.text("key")
    return Gas(
        key=key,
        components=row.stoichiometry("components"),
        log_k=_needed(row, "log_k", "1", 1.0, f"log K of {key}"),
        enthalpy=row.datum("enthalpy", "J/mol", _KILO, f"ΔH° of forming {key} from solution"),
        heat_capacity=row.datum("heat_capacity", "J/(mol K)", 1.0, f"ΔCp° of forming {key}"),
        formation=row.datum("formation", "J/mol", _KILO, f"ΔfH° of {key}"),
        cp=row.datum("cp", "J/(mol K)", 1.0, f"Cp of {key}"),
        names=row.names("names"),
    )


def _needed(row: Row, heading: str, unit: str, scale: float, label: str) -> Datum:
    datum = row.datum(heading, unit, scale, label)
    if datum is None:
        raise ValueError(f"{row.place.file}:{row.place.line}: no {heading}")
    return datum
