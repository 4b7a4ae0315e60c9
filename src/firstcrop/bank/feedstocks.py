"""Shop products: the salt that is really in the packet, and how strong it is."""

from __future__ import annotations

from functools import cache, lru_cache

from firstcrop.bank.records import Feedstock, Obtained
from firstcrop.bank.tables import read_table
from firstcrop.problems import Problem
from firstcrop.quantity.read import read_strength
from firstcrop.quantity.records import Strength


@cache
def load_feedstocks() -> tuple[Feedstock, ...]:
    """Every row of `feedstocks.tsv`."""
    return tuple(
        Feedstock(
            name=row.text("name"),
            names=row.names("names"),
            substance=row.text("substance"),
            strength=row.text("strength"),
            source=row.text("source"),
            obtained=Obtained(row.text("obtained")),
            notes=row.text("notes"),
            place=row.place,
        )
        for row in read_table("feedstocks")
    )


@lru_cache(maxsize=1024)
def strength_of(product: Feedstock) -> Strength | Problem:
    """The product's strength, read; a Problem would be a bug of the table (a test keeps it)."""
    return read_strength(product.strength, product.place)
