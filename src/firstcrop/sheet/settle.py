"""What a verb turns out to mean once its phrases are known, and clauses that belong together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from firstcrop.sheet.draft import Draft
from firstcrop.sheet.names import is_vessel
from firstcrop.sheet.records import Basket, Clause, EndKind, Verb

_HOLDING = ("at", "below", "above", "duration", "end", "means")
_KEEPERS = frozenset({Verb.FILTER, Verb.DECANT, Verb.WASH})


def settle(draft: Draft, vessels: Iterable[str]) -> None:
    """Choose between the meanings a verb has: keep, boil, bring, dissolve in, filter off."""
    fields = draft.fields
    if draft.verb in (Verb.HOLD, Verb.KEEP):
        holding = any(k in fields for k in _HOLDING) or not fields.get("what")
        draft.verb = Verb.HOLD if holding else Verb.KEEP
    if fields.get("reflux") and draft.verb in (Verb.HEAT, Verb.BOIL_DOWN, Verb.HOLD):
        draft.verb = Verb.REFLUX
    end = fields.get("end")
    if draft.verb is Verb.HEAT and end is not None and end.kind is EndKind.PH:
        draft.verb = Verb.ADD
    if draft.verb is Verb.STAND and "amount" in fields:  # cover it with 50 mL of water
        draft.verb = Verb.ADD
        fields.pop("covered", None)
    if draft.verb is Verb.BOIL_DOWN and "into_amount" in fields:  # to 50 mL of liquor
        fields["to_volume"] = fields.pop("into_amount")
        draft.spans["to_volume"] = draft.spans.pop("into_amount")
        fields.pop("into", None)
    if draft.verb is Verb.DISSOLVE:
        _solvent(draft, vessels)
    if draft.verb in (Verb.STIR, Verb.COMBINE) and "into" in fields and "what" in fields:
        _mixed(draft)


def _solvent(draft: Draft, vessels: Iterable[str]) -> None:
    """`dissolve X in water`: a place that is no vessel is the solvent."""
    into = draft.fields.get("into", "")
    if not into or "solvent" in draft.fields or is_vessel(into, vessels):
        return
    if into in tuple(Basket):
        return
    draft.fields["solvent"] = draft.fields.pop("into")
    draft.spans["solvent"] = draft.spans.pop("into")


def _mixed(draft: Draft) -> None:
    """`mix A with B` adds B to A when B has an amount, else combines them."""
    if draft.verb is Verb.STIR:
        draft.verb = Verb.ADD if "amount" in draft.fields else Verb.COMBINE


def merge(clauses: Iterable[Clause]) -> tuple[Clause, ...]:
    """Fold `keep the liquor` into the filtering before it, and a bare limit into what it limits."""
    merged: list[Clause] = []
    for clause in clauses:
        before = merged[-1] if merged else None
        joined = _joined(before, clause) if before is not None else None
        if joined is None:
            merged.append(clause)
        else:
            merged[-1] = joined
    return tuple(merged)


def _joined(before: Clause, clause: Clause) -> Clause | None:
    plain = Clause(clause.verb)
    if clause.verb is Verb.KEEP and before.verb in _KEEPERS and before.keep is None:
        if clause.what in tuple(Basket) and clause == replace(plain, what=clause.what):
            where = (("keep", clause.place),)
            return replace(before, keep=Basket(clause.what), places=before.places + where)
        return None
    if clause.verb is not Verb.HOLD or before.below is not None or before.above is not None:
        return None
    limits = replace(plain, below=clause.below, above=clause.above, stirred=clause.stirred)
    if clause != limits or (clause.below is None and clause.above is None):
        return None
    return replace(
        before, below=clause.below, above=clause.above, places=before.places + clause.places
    )
