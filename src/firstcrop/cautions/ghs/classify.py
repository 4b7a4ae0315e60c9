"""All classes of a mixture, each with its reason, and what could not be told."""

from __future__ import annotations

import math
from dataclasses import dataclass

from firstcrop.cautions.ghs.acute import UNKNOWN_ENOUGH, acute
from firstcrop.cautions.ghs.ingredient import Ingredient, total
from firstcrop.cautions.ghs.physical import physical
from firstcrop.cautions.ghs.share import by_share

SOUR, ALKALINE = 2.0, 11.5  # pH at and beyond which skin and eyes are burnt (3.2.3.1.2)
# (a code, the codes it makes needless)
COVERS = (
    ("H314", ("H315", "H318", "H319")),
    ("H318", ("H319",)),
    ("H300", ("H301", "H302")),
    ("H301", ("H302",)),
    ("H310", ("H311", "H312")),
    ("H311", ("H312",)),
    ("H330", ("H331", "H332")),
    ("H331", ("H332",)),
    ("H340", ("H341",)),
    ("H350", ("H350i", "H351")),
    ("H350i", ("H351",)),
    ("H360FD", ("H360D", "H360F", "H360Df", "H361", "H361d")),
    ("H360D", ("H361", "H361d")),
    ("H360F", ("H361",)),
    ("H370", ("H371",)),
    ("H372", ("H373",)),
    ("H410", ("H400", "H411", "H412", "H413")),
    ("H411", ("H412", "H413")),
    ("H412", ("H413",)),
    ("H271", ("H272",)),
    ("H224", ("H225", "H226")),
    ("H225", ("H226",)),
    ("EUH032", ("EUH031",)),
)


@dataclass(frozen=True, slots=True)
class Classes:
    """(code, reason), and sentences on what was not told."""

    found: tuple[tuple[str, str], ...]
    gaps: tuple[str, ...] = ()

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes alone."""
        return tuple(code for code, _ in self.found)


def classify(
    ingredients: tuple[Ingredient, ...], ph: float = math.nan, form: str = "vapour"
) -> Classes:
    """Classify a mixture. `ph` NaN: not known, and not looked at; `form`: dust for a solid,
    vapour for a liquid. UN GHS Rev. 9, 2.6 to 4.1, with the specific limits of CLP Annex VI."""
    rows = [*physical(ingredients, form), *by_ph(ph), *acute(ingredients), *by_share(ingredients)]
    found: dict[str, str] = {}
    for code, reason in rows:
        if code:
            found.setdefault(code, reason)
    if "EUH071" in found and "H314" not in found:
        del found["EUH071"]  # corrosive to the airways only where it is corrosive
    for code, needless in COVERS:
        if code in found:
            for other in needless:
                found.pop(other, None)
    gaps = [reason for code, reason in rows if not code]
    return Classes(tuple(found.items()), (*gaps, *_gaps(ingredients)))


def by_ph(ph: float) -> list[tuple[str, str]]:
    """Skin corrosion from an extreme pH; an acid or alkali reserve that is measured may show
    otherwise (UN GHS 3.2.3.1.2)."""
    if not ph <= SOUR and not ph >= ALKALINE:
        return []
    sign = "at most 2" if ph <= SOUR else "at least 11.5"
    return [("H314", f"pH {ph:.1f}, {sign}, and no measured reserve shows otherwise (3.2.3.1.2)")]


def _gaps(ingredients: tuple[Ingredient, ...]) -> list[str]:
    strange = [i for i in ingredients if not i.known and i.share > 0.0]
    found = []
    if total(strange) > UNKNOWN_ENOUGH:
        found.append(
            f"{total(strange) * 100:.0f} % of it are ingredients of unknown acute toxicity"
        )
    found += [f"no hazard data for {i.name}" for i in strange if i.share >= 0.001]
    for i in ingredients:
        water = {"H400": i.detail.m_acute, "H410": i.detail.m_chronic}
        if any(code in i.codes and value is None for code, value in water.items()):
            found.append(f"M-factor of {i.name} not known, taken as 1")
    return found
