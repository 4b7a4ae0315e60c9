"""How each material must be handled, from its hazard codes at its strength."""

from __future__ import annotations

from firstcrop.bank.hazards import load_statements
from firstcrop.cautions.ghs.sheet import bottle
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.stuff import Stuff
from firstcrop.forecast.records import Caution
from firstcrop.problems import Severity

# code prefix -> what to do; the first that applies leads
CARE = (
    (("H314", "H318"), "Goggles and gloves; water at hand to rinse for many minutes."),
    (("H300", "H310", "H330", "H301", "H311", "H331"), "Gloves, no dust or vapour, nothing eaten."),
    (("H340", "H350", "H360"), "Gloves, no dust; keep it from pregnant people and children."),
    (("H271", "H272", "H270"), "Keep it from anything that burns; wipe up spills wet."),
    (("H224", "H225", "H226", "H228"), "No flames or sparks; good draught."),
    (("H334", "H317"), "Gloves; no dust."),
)
GRAVE = (*tuple(code for codes, _ in CARE[:3] for code in codes), "H271", "H224", "H334", "H372")
WATER_LIFE = ("H400", "H410", "H411", "H412")


def handling(scene: Scene) -> tuple[Caution, ...]:
    """One caution per material that carries a code."""
    found = []
    for stuff in scene.story.materials.values():
        codes = bottle(stuff).codes if stuff.substance and not stuff.guessed else ()
        shown = tuple(code for code in codes if code not in WATER_LIFE)
        if codes:
            found.append(_caution(stuff, shown or codes, codes))
    return tuple(found)


def _caution(stuff: Stuff, shown: tuple[str, ...], codes: tuple[str, ...]) -> Caution:
    statements = load_statements()
    told = "; ".join(f"{statements[c].text} ({c})" for c in codes if c in statements)
    care = [what for marks, what in CARE if any(c.startswith(marks) for c in shown)]
    grave = any(code.startswith(GRAVE) for code in shown)
    return say(
        "handling",
        0,
        stuff.place,
        code=f"handling.{stuff.key.replace(' ', '-')}",
        severity=Severity.WARNING if grave else Severity.NOTE,
        name=stuff.name,
        first=_first(shown),
        told=f"{told}. The sheet of your bottle comes first.",
        remedy=" ".join(care) or "Goggles; wash your hands; keep it out of drains.",
    )


def _first(codes: tuple[str, ...]) -> str:
    texts = load_statements()
    lead = next((c for c in codes if c.startswith(GRAVE)), codes[0])
    text = texts[lead].text if lead in texts else lead
    return f"{text[0].lower()}{text[1:]}."
