"""Materials whose strength or sale a law limits in some countries: a note, not advice."""

from __future__ import annotations

from collections import defaultdict

from firstcrop.bank.mixing import Rule, rules_in
from firstcrop.cautions.say import say
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.stuff import Stuff
from firstcrop.forecast.records import Caution


def law(scene: Scene) -> tuple[Caution, ...]:
    """One note per material above a limit of the sheet's jurisdiction; of any when none is said."""
    rules: dict[str, list[Rule]] = defaultdict(list)
    for rule in rules_in(_place(scene)):
        rules[rule.substance].append(rule)
    found = []
    for stuff in scene.story.materials.values():
        hit = [rule for rule in rules.get(stuff.key, ()) if stuff.strongest > rule.limit]
        if hit:
            found.append(_caution(stuff, hit))
    return tuple(found)


def _place(scene: Scene) -> str:
    """What the sheet's Conditions say of whose law holds."""
    settings = scene.forecast.preparation.conditions
    return next((s.text for s in settings if s.name.lower() == "jurisdiction"), "")


def _caution(stuff: Stuff, rules: list[Rule]) -> Caution:
    return say(
        "law",
        0,
        stuff.place,
        code=f"law.{stuff.key.replace(' ', '-')}",
        name=stuff.name,
        key=stuff.key,
        told=" ".join(_told(rule) for rule in rules),
        source="; ".join(dict.fromkeys(rule.source for rule in rules)),
    )


def _told(rule: Rule) -> str:
    match rule.kind:
        case "restricted":
            return (
                f"{rule.regime}: above {rule.limit * 100:g} % w/w the public needs a licence, or "
                "cannot have it."
            )
        case "reportable":
            return f"{rule.regime}: sellers report suspicious purchases."
        case _:
            return f"{rule.regime}: trade in it is watched."
