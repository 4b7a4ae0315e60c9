"""The board as a page: tables in Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from .properties import PROPERTIES
from .score import Result, Score, reasons, score
from .tables import FAMILIES, Known

_WORST = 8  # rows shown of each family
_GOALS = Path(__file__).with_name("goals.tsv")
_INTRO = """# The accuracy board

Written by `make board`; do not edit. Every published value of `tests/published/board/` beside what
the engine gives. Differences are in % of the published value (heats of less than 5 kJ/mol, and
temperature rises of less than 10 K, in % of that), for pH and pK in their own unit.

- *checked*: computed, and not used to fit the law that computes it.
- *beyond range*: the solution is past the ionic strength to which the electrolyte parameters were
  fitted; the engine then holds its coefficients and says so. Counted apart, not left out.
- *fit*: the value went into the bank or into a law; it shows that the engine reproduces
  it, no more.
- *not computable*: the engine has no such component, solid or gas, or there
  is no liquor.
- *inside own*: of the values whose source states an uncertainty, the share that is met.
- *met*: the goal, over the checked values and those beyond range together.
"""


@dataclass(frozen=True, slots=True)
class Split:
    """A family's results by how they count."""

    checked: tuple[Result, ...]
    beyond: tuple[Result, ...]
    fit: tuple[Result, ...]
    missing: tuple[Result, ...]


def split(results: Iterable[Result]) -> Split:
    """Sort the results of a family."""
    found = tuple(results)
    computed = [r for r in found if r.error is not None]
    checks = [r for r in computed if not r.row.fit]
    return Split(
        tuple(r for r in checks if not r.beyond),
        tuple(r for r in checks if r.beyond),
        tuple(r for r in computed if r.row.fit),
        tuple(r for r in found if r.error is None),
    )


def summary(families: Mapping[str, Split]) -> list[list[str]]:
    """The main table's rows."""
    rows = []
    for key, heading in FAMILIES:
        part = families[key]
        count = sum(map(len, (part.checked, part.beyond, part.fit, part.missing)))
        found = score(part.checked)
        goals, met = _judge(key, part.checked + part.beyond)
        rows.append(
            [
                heading, str(count), str(len(part.checked)), *figures(found),
                str(len(part.beyond)), str(len(part.fit)), str(len(part.missing)), goals, met,
            ]
        )  # fmt: skip
    totals = [str(sum(int(r[i]) for r in rows)) for i in (1, 2, 6, 7, 8)]
    rows.append(["all", *totals[:2], "", "", "", *totals[2:], "", ""])
    return rows


SUMMARY_HEAD = (
    "family", "values", "checked", "median", "95th percentile", "inside own", "beyond range",
    "fit", "not computable", "goal", "met",
)  # fmt: skip


def page(families: Mapping[str, Split], sources: Mapping[str, str], known: Sequence[Known]) -> str:
    """docs/board.md."""
    lines = [_INTRO, *table(SUMMARY_HEAD, summary(families)), ""]
    lines += ["## Beyond the range of the activity model", ""]
    lines += table(("family", "count", "median", "95th percentile"), _apart(families, "beyond"))
    lines += ["", "## Values that were used to fit", ""]
    lines += table(("family", "count", "median", "95th percentile"), _apart(families, "fit"))
    lines += ["", "## Table by table", ""]
    head = ("family", "table", "checked", "median", "95th percentile", "inside own")
    lines += table(head, _by_table(families))
    lines += ["", "## The worst", "", "Checked values in range that differ most.", ""]
    for key, heading in FAMILIES:
        lines += [f"### {heading[0].upper()}{heading[1:]}", "", *_worst(families[key], sources), ""]
    lines += ["## Not computable, and why", ""]
    lines += table(("family", "reason", "values"), _missing(families))
    lines += ["", "## Known failures", ""]
    lines += table(
        ("family", "what", "property", "reason"),
        [[k.family, k.what, k.property, k.reason] for k in known],
    )
    return "\n".join(lines).rstrip() + "\n"


def figures(found: Score | None) -> list[str]:
    """Median, 95th percentile and the share inside the sources' own uncertainty, as words."""
    if found is None:
        return ["", "", ""]
    inside = "" if found.inside is None else f"{100 * found.inside:.0f} %"
    unit = f" {found.unit}".rstrip()
    return [f"{found.median:.2g}{unit}", f"{found.high:.2g}{unit}", inside]


def _judge(key: str, results: Sequence[Result]) -> tuple[str, str]:
    """Goals of a family in words, and whether each is met."""
    words, met = [], []
    found = score(results)
    for family, measure, limit, text in _goals():
        if family != key or found is None:
            continue
        worst = max(abs(r.error or 0.0) for r in results)
        value = {"median": found.median, "p95": found.high, "worst": worst}[measure]
        words.append(text)
        met.append("yes" if value <= limit else "no")
    return "; ".join(words), "; ".join(met)


def _goals() -> list[tuple[str, str, float, str]]:
    lines = _GOALS.read_text(encoding="utf-8").splitlines()[2:]
    cells = [line.split("\t") for line in lines if line]
    return [(family, measure, float(limit), text) for family, measure, limit, text in cells]


def _apart(families: Mapping[str, Split], which: str) -> list[list[str]]:
    rows = []
    for key, heading in FAMILIES:
        found = score(getattr(families[key], which))
        if found is not None:
            rows.append([heading, str(found.count), *figures(found)[:2]])
    return rows


def _by_table(families: Mapping[str, Split]) -> list[list[str]]:
    rows = []
    for key, heading in FAMILIES:
        groups: dict[str, list[Result]] = {}
        for result in families[key].checked:
            groups.setdefault(result.row.file, []).append(result)
        for name, results in groups.items():
            found = score(results)
            if found is not None:
                rows.append([heading, name, str(found.count), *figures(found)])
    return rows


def _worst(part: Split, sources: Mapping[str, str]) -> list[str]:
    """The worst of each substance, so that one substance does not fill the table."""
    ranked: dict[str, Result] = {}
    for result in sorted(part.checked, key=lambda r: -abs(r.error or 0.0)):
        ranked.setdefault(result.row.what, result)
    rows = []
    for result in list(ranked.values())[:_WORST]:
        row, ask = result.row, PROPERTIES[result.row.property]
        unit = " %" if ask.relative else ""
        said = sources[row.source] + (f" ({row.where})" if row.where else "")
        rows.append(
            [
                row.id, row.composition or row.what, f"{row.temperature:g}", row.property,
                f"{row.value:g}", f"{result.computed:.4g}", f"{result.error:+.2g}{unit}",
                said, result.known,
            ]
        )  # fmt: skip
    head = ("row", "solution", "°C", "property", "published", "ours", "off", "source", "known")
    return table(head, rows)


def _missing(families: Mapping[str, Split]) -> list[list[str]]:
    return [
        [heading, reason, str(count)]
        for key, heading in FAMILIES
        for reason, count in reasons(families[key].missing).most_common()
    ]


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """A Markdown table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return lines + ["| " + " | ".join(c.replace("|", "/") for c in row) + " |" for row in rows]
