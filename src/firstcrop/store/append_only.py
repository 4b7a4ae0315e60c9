"""Tables whose rows are never changed: the database itself refuses, whoever asks."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

REFUSAL: Final = "rows of this table are never changed"


def triggers(dialect: str, table: str, events: Iterable[str] = ("UPDATE", "DELETE")) -> list[str]:
    """The statements that make a table refuse the events; `dialect` is sqlite or postgresql."""
    if dialect == "sqlite":
        return [
            f"CREATE TRIGGER {table}_no_{event.lower()} BEFORE {event} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
            for event in events
        ]
    function = (
        "CREATE OR REPLACE FUNCTION firstcrop_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{REFUSAL}'; END $$"
    )
    return [
        function,
        *(
            f"CREATE TRIGGER {table}_no_{event.lower()} BEFORE {event} ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION firstcrop_refuse()"
            for event in events
        ),
    ]
