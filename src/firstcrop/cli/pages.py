"""A Report as a page for the terminal."""

from __future__ import annotations

from collections import Counter

from firstcrop.cli.lines import Line, columns, heading, line, widest, wrapped
from firstcrop.views.numbers import DASH
from firstcrop.views.rows import (
    BasisRow,
    CautionRow,
    CropRow,
    LimitRow,
    ProblemRow,
    Report,
    StepRow,
)

HEADINGS = ("peak", "ends at", "volume", "pH", "gas", "takes")
GAS = HEADINGS.index("gas")
INDENT = 4
STYLES = (
    ("error", "bold red"),
    ("danger", "bold red"),
    ("warning", "bold yellow"),
    ("note", "bold"),
)


def report_page(report: Report, width: int, full: bool = False) -> list[Line]:
    """The whole forecast; `full` lists every data row it rests on."""
    page = _head(report, width)
    if report.refused:
        return page
    page += _steps(report, width)
    page += _blanks(report, width)
    page += _crops(report, width)
    page += _fates(report, width)
    page += _windows(report, width)
    page += _comparisons(report, width)
    page += _cautions(report, width)
    page += problems_page(report.problems, width)
    page += _basis(report, width, full)
    return page


def style_of(severity: str) -> str:
    """The colour of a severity; the word is always printed too."""
    return dict(STYLES).get(severity, "")


def _head(report: Report, width: int) -> list[Line]:
    page = [line(report.title, "bold"), line("═" * min(len(report.title), width), "bold")]
    if report.refused:
        return [*page, *wrapped(report.refused, width, style="bold red")]
    if report.makes:
        page += wrapped(report.makes, width)
    if report.theory:
        page += wrapped(f"Theory: {report.theory.full}, from the limiting reagent.", width)
    summary = _summary(report)
    return [*page, *wrapped(summary, width, style="bold")] if summary else page


def _summary(report: Report) -> str:
    """Counts of what needs reading, so that nobody misses the end of a long page."""
    counts = Counter(row.severity for row in report.problems)
    words = [_count(counts[kind], kind) for kind in ("error", "warning") if counts[kind]]
    if report.cautions:
        words.append(_count(len(report.cautions), "caution"))
    broken = sum(not limit.kept for step in report.steps for limit in step.limits)
    if broken:
        words.append(f"{_count(broken, 'limit')} broken")
    return ", ".join(words) + "; see below." if words else ""


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def _steps(report: Report, width: int) -> list[Line]:
    if not report.steps:
        return []
    table = _table(report.steps, width)
    rows, widths = table[1:], widest(table)
    page = heading("Steps", width)
    page.append(columns(table[0], widths, INDENT, "dim"))
    vessel = report.steps[0].vessel
    for step, cells in zip(report.steps, rows, strict=True):
        page += wrapped(step.text, width, style="bold", lead=f"{step.number:>2}  ")
        page.append(columns(cells, widths, INDENT))
        if len(cells) < len(HEADINGS) and step.gas != DASH:
            page += wrapped(f"gas: {step.gas}", width, INDENT)
        page += _details(step, width, vessel)
        vessel = step.vessel
    return page


def _table(steps: tuple[StepRow, ...], width: int) -> list[tuple[str, ...]]:
    """Headings and cells. When they do not fit the width, gas moves to a line of its own; when
    even that is too wide, the peak loses its band."""
    full = [HEADINGS, *(_cells(step) for step in steps)]
    slim = [tuple(cells[:GAS] + cells[GAS + 1 :]) for cells in full]
    bare = [slim[0], *((s.peak.text, *cells[1:]) for s, cells in zip(steps, slim[1:], strict=True))]
    for table in (full, slim):
        widths = widest(table)
        if INDENT + sum(widths) + 2 * len(widths) - 2 <= width:
            return table
    return bare


def _cells(step: StepRow) -> tuple[str, ...]:
    return (step.peak.full, step.ends.text, step.volume, step.ph.text, step.gas, step.takes)


def _details(step: StepRow, width: int, before: str) -> list[Line]:
    page: list[Line] = []
    if step.vessel and step.vessel != before:
        page += wrapped(f"in the {step.vessel}", width, INDENT, "dim")
    if step.lowest:
        page += wrapped(f"as low as {step.lowest.full}", width, INDENT)
    for limit in step.limits:
        page += _limit(limit, width)
    if step.crowded:
        page += wrapped(step.crowded, width, INDENT, "bold red", "✗ ")
    if step.solids:
        page += wrapped("solids: " + ", ".join(step.solids), width, INDENT)
    for why in dict.fromkeys(shown.why for shown in (step.peak, step.ends) if shown.why):
        page += wrapped(why, width, INDENT, "dim")
    return page


def _limit(limit: LimitRow, width: int) -> list[Line]:
    mark, style = ("✓ ", "green") if limit.sure else ("~ ", "yellow")
    if not limit.kept:
        mark, style = "✗ ", "bold red"
    return wrapped(f"{limit.text}: {limit.verdict}", width, INDENT, style, mark)


def _blanks(report: Report, width: int) -> list[Line]:
    if not report.blanks:
        return []
    page = heading("Blanks answered", width)
    for blank in report.blanks:
        band = f" ({blank.band})" if blank.band else ""
        page += wrapped(f"step {blank.step}: {blank.answer}{band}", width, 2, "bold")
        page += wrapped(blank.bound, width, 6)
    return page


def _crops(report: Report, width: int) -> list[Line]:
    if not report.crops:
        return []
    page = heading("Crops", width)
    for crop in report.crops:
        page += _crop(crop, width)
    return page


def _crop(crop: CropRow, width: int) -> list[Line]:
    title = f"crop {crop.number}, step {crop.step}: {crop.name}, {crop.dry.full} dry"
    page = wrapped(title, width, 2, "bold")
    parts = [f"{crop.wet.full} as filtered", f"purity {crop.purity.full}"]
    if crop.yield_:
        parts.append(f"yield {crop.yield_.full} of theory")
    parts.append(f"{crop.left.full} stays in the liquor")
    page += wrapped("; ".join(parts), width, 6)
    if len(crop.holds) > 1:
        page += wrapped("dry, it holds " + ", ".join(crop.holds), width, 6)
    return page


def _fates(report: Report, width: int) -> list[Line]:
    if not report.fates:
        return []
    page = heading("Where the target is at the end", width)
    room = max(len(row.share.full) for row in report.fates) + 2
    for row in report.fates:
        page += wrapped(f"{row.mass.full}, {row.where}", width, 2, lead=row.share.full.ljust(room))
    return page


def _windows(report: Report, width: int) -> list[Line]:
    if not report.windows:
        return []
    page = heading("Windows", width)
    for window in report.windows:
        page += wrapped(window.sentence, width, 2, lead=f"step {window.step}: ")
    return page


def _comparisons(report: Report, width: int) -> list[Line]:
    if not report.comparisons:
        return []
    page = heading("Beside what was observed", width)
    for row in report.comparisons:
        mark, style = ("✓ ", "green") if row.inside else ("✗ ", "bold red")
        words = f"{row.text}; forecast {row.forecast.full}; {row.verdict}"
        page += wrapped(words, width, 2, style, mark)
    return page


def _cautions(report: Report, width: int) -> list[Line]:
    if not report.cautions and not report.not_assessed:
        return []
    page = heading("Cautions", width)
    for row in report.cautions:
        page += _caution(row, width)
    for sentence in report.not_assessed:
        page += wrapped(sentence, width, 2, "italic")
    return page


def _caution(row: CautionRow, width: int) -> list[Line]:
    title = f"{row.severity.upper()}, {row.where}: {row.message}"
    page = wrapped(title, width, 2, style_of(row.severity))
    why = f"{row.why} [{row.source}]" if row.source else row.why
    if row.unverified:
        why += " (not verified)"
    page += wrapped(why, width, 6) if why else []
    return page + (wrapped(row.remedy, width, 6, lead="→ ") if row.remedy else [])


def problems_page(problems: tuple[ProblemRow, ...], width: int) -> list[Line]:
    """Problems with their line, a caret and what to write instead."""
    if not problems:
        return []
    page = heading("Problems", width)
    for row in problems:
        where = f"{row.severity}, {row.where}" if row.where else row.severity
        page += wrapped(f"{where}: {row.message}", width, 2, style_of(row.severity))
        page += [line(f"  {text}", "dim") for text in row.excerpt]
        page += wrapped(row.hint, width, 6, lead="→ ") if row.hint else []
    return page


def _basis(report: Report, width: int, full: bool) -> list[Line]:
    if not report.basis and not report.books:
        return []
    page = heading("What this rests on", width)
    if full:
        for row in report.basis:
            page += _basis_row(row, width)
    else:
        page += _basis_short(report, width)
    if report.books:
        page += wrapped(report.books, width, 2)
    return page


def _basis_row(row: BasisRow, width: int) -> list[Line]:
    source = f" [{row.source}]" if row.source else ""
    words = f"{row.label}: {row.value}; {row.obtained}{source}"
    return wrapped(words, width, 2, "yellow" if row.doubt else "")


def _basis_short(report: Report, width: int) -> list[Line]:
    page: list[Line] = []
    for group in report.doubts:
        page += wrapped(f"{group.obtained}: {group.words}", width, 2, "yellow")
    if report.sources:
        page += wrapped("The rest, measured or fitted, from " + "; ".join(report.sources), width, 2)
    page += wrapped("--full lists every value with its source.", width, 2, "dim")
    return page
