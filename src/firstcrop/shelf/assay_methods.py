"""The tables of methods, of what they count and of primary standards, and how to find a row."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from fractions import Fraction
from functools import cache

from firstcrop.bank.lookup import Named, plain_name, substance_named
from firstcrop.bank.tables import read_table
from firstcrop.cautions.refuse import refused_name
from firstcrop.problems import Problem
from firstcrop.shelf.assay_records import Counted, Method, Standard


@cache
def load_methods() -> tuple[Method, ...]:
    """Every way of finding a strength."""
    return tuple(
        Method(
            row.text("key"),
            row.names("names"),
            row.text("form"),
            row.text("titrant"),
            row.text("back"),
            row.text("end"),
            row.text("note"),
            row.text("source"),
            tuple((n.removeprefix("?"), not n.startswith("?")) for n in row.names("rows")),
        )
        for row in read_table("assay_methods")
    )


@cache
def load_counted() -> tuple[Counted, ...]:
    """Every substance a titration counts."""
    return tuple(
        Counted(
            row.text("method"),
            row.text("substance"),
            Fraction(row.text("ratio")),
            row.names("equations"),
            row.text("end"),
            row.text("source"),
        )
        for row in read_table("assay_substances")
    )


@cache
def load_standards() -> tuple[Standard, ...]:
    """Every primary standard."""
    return tuple(
        Standard(
            row.text("titrant"),
            row.text("standard"),
            row.text("formula"),
            Fraction(row.text("ratio")),
            row.names("equations"),
            row.text("drying"),
            row.text("source"),
        )
        for row in read_table("assay_standards")
    )


def find_method(text: str) -> Method | Problem:
    """The method called `text`. Code: assay.method."""
    wanted = plain_name(text)
    for method in load_methods():
        if wanted in (plain_name(n) for n in (method.key, *method.names)):
            return method
    return _unknown("method", text, (m.key for m in load_methods()))


def form(method: Method) -> str:
    """An empty table of readings for a method, as Markdown, with what each row is."""
    about = {row.text("name"): row.text("about") for row in read_table("assay_readings")}
    lines = [f"| {name} |  |  |" for name, _ in method.rows]
    told = [
        f"- {name}{'' if needed else ' (if there is one)'}: {about[name]}."
        for name, needed in method.rows
    ]
    head = ("| reading | value | with |", "|---|---|---|", f"| method | {method.key} | |")
    return "\n".join((f"# {method.key.capitalize()}", "", *head, *lines, "", *told, ""))


def find_counted(method: Method, substance: str, bank: Named) -> Counted | Problem:
    """What `method` counts of a substance by any of its names. Code: assay.substance."""
    rows = [row for row in load_counted() if row.method == method.key]
    name = _key(substance, bank)
    for row in rows:
        if row.substance == name:
            return row
    return _unknown("substance", substance, (r.substance for r in rows), f" for {method.key}")


def find_standard(titrant: str, standard: str, bank: Named) -> Standard | Problem:
    """A primary standard for a titrant. Code: assay.standard."""
    key, name = _key(titrant, bank), _key(standard, bank)
    rows = [row for row in load_standards() if row.titrant == key]
    for row in rows:
        if row.name == name:
            return row
    return _unknown("standard", standard, (r.name for r in rows), f" for {titrant}")


def _key(name: str, bank: Named) -> str:
    found = substance_named(bank, name)
    return found.key if found else name.strip()


def _unknown(what: str, text: str, known: Iterable[str], whence: str = "") -> Problem:
    refusal = refused_name(text)
    if refusal:
        return Problem("sheet.refused", refusal)
    names = tuple(known)
    near = difflib.get_close_matches(text.lower(), names, n=3, cutoff=0.5) or names
    hint = f"Known{whence}: {'; '.join(near)}." if near else ""
    said = f"'{text}' is no {what} known{whence}." if text else f"The {what} is not named."
    return Problem(f"assay.{what}", said, (), hint)
