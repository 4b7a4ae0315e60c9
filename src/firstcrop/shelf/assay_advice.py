"""What to improve first: the reading that adds most, and what halving it would gain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from firstcrop.shelf.assay_readings import vocabulary
from firstcrop.shelf.gum import Input, Measured, Model, Shape, propagate

WORTH = 0.1  # share of the variance below which a reading is not worth improving


def advice(inputs: Sequence[Input], model: Model) -> tuple[str, ...]:
    """One sentence for each reading worth improving, the largest first, three at most."""
    now = propagate(inputs, model)
    worth = [(name, share) for name, _, share in now.groups() if share >= WORTH]
    return tuple(_sentence(now, inputs, model, name, share) for name, share in worth[:3])


def _sentence(now: Measured, inputs: Sequence[Input], model: Model, name: str, share: float) -> str:
    then = propagate([_better(i) if (i.of or i.name) == name else i for i in inputs], model)
    before, after = now.half_width(0.9), then.half_width(0.9)
    row = vocabulary().get(name)
    how = row.text("better") if row else ""
    if name == "standardisation":
        how = "repeat the standardisation more often"
    what = "twice as many replicates" if _scatter(inputs, name) else "half its uncertainty"
    gain = 100.0 * (1.0 - after / before) if before else 0.0
    tail = f" Way: {how}." if how else ""
    part = f"{name}: {100.0 * share:.0f} % of the variance"
    return f"{part}; {what} would make the ± {gain:.0f} % smaller.{tail}"


def _scatter(inputs: Sequence[Input], name: str) -> bool:
    return any(i.shape is Shape.STUDENT for i in inputs if (i.of or i.name) == name)


def _better(item: Input) -> Input:
    """Half the uncertainty; replicates: twice as many."""
    if item.shape is Shape.STUDENT:
        return replace(item, u=item.u / 2.0**0.5, freedom=2.0 * item.freedom + 1.0)
    return replace(item, u=0.5 * item.u)
