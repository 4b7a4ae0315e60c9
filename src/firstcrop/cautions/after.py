"""When the work is done: what to quench, neutralise, let fall, collect and keep apart, with the
amounts of this batch, by general published rules. Local rules come first."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from firstcrop.bank.lookup import Named, substance_named
from firstcrop.bank.waste import WasteRule, neutral_protons, waste_rules
from firstcrop.cautions.ghs.sheet import last_liquors
from firstcrop.cautions.pairs import meets
from firstcrop.cautions.records import Advice
from firstcrop.cautions.scene import Scene
from firstcrop.cautions.story import Meeting
from firstcrop.forecast.records import StepForecast
from firstcrop.problems import Severity
from firstcrop.sheet.records import Verb

LOCAL = Advice("everything", "Follow local rules; label waste with what it is, how much, and when.",
               "common-practice", False)  # fmt: skip
SMALL = 1e-5  # mol
LEAST = 5e-5  # kg of an agent that are worth weighing
SHARE = 1e-4  # mol/kg of liquor below which a component is let be
DRAIN = (6.0, 9.0)  # pH window of the strictest published drain rules (nus-drain)
ACID_AGENT, ALKALI_AGENT = "sodium hydrogencarbonate", "citric acid"


def after(scene: Scene) -> tuple[Advice, ...]:
    """Advice for every liquor that is left, what must be kept apart, and the standing sentence."""
    found = [a for step in last_liquors(scene.forecast) for a in _liquor(step, scene.bank)]
    return (*found, *_apart(scene), LOCAL)


def _liquor(step: StepForecast, bank: Named) -> Iterator[Advice]:
    inside = step.inside[-1]
    name = f"liquor in the {step.vessel}" if step.vessel else "liquor"
    here = [
        (c, n) for c, n in inside.liquor.items
        if n > SMALL and n > SHARE * inside.liquor_mass
    ]  # fmt: skip
    told = [(waste_rules()[c], n) for c, n in here if c in waste_rules()]
    order = ("never", "quench", "fall", "collect")
    for rule, amount in sorted(told, key=lambda row: order.index(row[0].kind)):
        yield Advice(name, _words(rule, amount, bank), rule.source, rule.obtained != "measured")
    kept = any(rule.kind != "never" for rule, _ in told)
    touchy = [rule.component for rule, _ in told if "acidify" in rule.words or rule.quenched_first]
    yield from _neutral(name, step, kept, tuple(touchy), bank)


def _words(rule: WasteRule, amount: float, bank: Named) -> str:
    what = f"{rule.component}, {amount:.2g} mol"
    match rule.kind:
        case "quench":
            agent = substance_named(bank, rule.agent)
            mass = amount * rule.ratio * agent.molar_mass * 1e3 if agent else 0.0
            return (
                f"{what}: quench with {mass:.2g} g of {rule.agent}, {rule.words} "
                f"({rule.equation}). Test with iodide-starch paper after half an hour."
            )
        case "fall":
            return f"{what}: never to the drain. At pH {rule.ph:g} it falls out, {rule.words}; " \
                "filter, keep the solid as hazardous waste, ask about the liquid."  # fmt: skip
        case "never":
            return f"{what}: never {rule.words}."
        case _:
            return f"{what}: collect, never to the drain: {rule.words}."


def _neutral(
    name: str, step: StepForecast, kept: bool, touchy: tuple[str, ...], bank: Named
) -> Iterator[Advice]:
    """Acid or alkali for what is outside the window; no acid for what gives off gas with it."""
    ph = step.end.ph
    if DRAIN[0] <= ph <= DRAIN[1] or math.isnan(ph):
        return
    protons = excess_protons(step)
    if ph > DRAIN[1] and touchy:
        words = f"pH {ph:.1f}: do not neutralise it with acid: it holds {', '.join(touchy)}."
        yield Advice(name, words, "bretherick", True)
        return
    agent = substance_named(bank, ACID_AGENT if protons > 0.0 else ALKALI_AGENT)
    if agent is None or (ph < DRAIN[0]) != (protons > 0.0):
        return
    count = 1.0 if protons > 0.0 else 3.0  # protons a citric acid gives
    mass = abs(protons) / count * agent.molar_mass
    if mass < LEAST:
        return
    how = "in an open vessel three times the volume" if protons > 0.0 else "stirred and cold"
    end = "before it is collected" if kept else "before it goes where local rules let it go"
    words = (
        f"pH {ph:.1f}: neutralise to pH {DRAIN[0]:g} to {DRAIN[1]:g} with about "
        f"{mass * 1e3:.2g} g of {agent.key}, in portions, {how}, {end}; check with paper. "
        f"Counted from {abs(protons):.2g} mol of {'acid' if protons > 0.0 else 'alkali'}, "
        "what metals bind included."
    )
    yield Advice(name, words, "nus-drain", True)


def excess_protons(step: StepForecast) -> float:
    """mol of acid (negative: alkali) in the liquor at the end of a step, counted to about pH 8."""
    table = neutral_protons()
    liquor = step.inside[-1].liquor
    held = sum(n * table.get(c, 0.0) for c, n in liquor.items if c not in ("H2O", "H+"))
    return liquor.get("H+") - held


def _apart(scene: Scene) -> Iterator[Advice]:
    """Leftovers that must not go into one waste bottle."""
    left = scene.story.left
    met = {(m.pairing.key, m.a, m.b) for m in scene.met}
    told: set[str] = set()
    for (one, here), (other, there) in combinations(left.items(), 2):
        poured = Meeting(0, Verb.COMBINE, one, here, there, here.merged(there))
        for m in meets((poured,)):
            key = (m.pairing.key, m.a, m.b)
            if key in met or m.pairing.severity is Severity.NOTE or m.pairing.key in told:
                continue
            told.add(m.pairing.key)
            words = f"Keep apart from {other}: {m.a} and {m.b}. {m.pairing.message}"
            yield Advice(f"what is left in {one}", words, m.pairing.source,
                         m.pairing.obtained != "measured")  # fmt: skip
