"""A run in progress: what was read beside what was forecast, and the rest forecast from it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from firstcrop.account.entries import evidence
from firstcrop.account.learn import Learned, learn
from firstcrop.account.records import Alarm, Surprise
from firstcrop.account.study import Study
from firstcrop.account.tables import meanings
from firstcrop.notebook.chain import in_force
from firstcrop.notebook.records import Entry


@dataclass(frozen=True, slots=True, eq=False)
class Watched:
    """What the readings so far say of the run."""

    learned: Learned
    alarms: tuple[Alarm, ...]


def watch(study: Study, entries: Iterable[Entry]) -> Watched:
    """Compare the entries that stand with the run, and forecast the rest of it from them."""
    learned = learn(study, evidence(in_force(entries), durations(study)))
    return Watched(learned, tuple(_alarm(s) for s in learned.surprises))


def durations(study: Study) -> dict[int, float]:
    """s a step takes in the forecast."""
    return {
        log.step: max((i.time for i in log.instants), default=log.start_time) - log.start_time
        for log in study.base.logs
    }


def _alarm(surprise: Surprise) -> Alarm:
    what, side = surprise.evidence.what, "above" if surprise.size > 0.0 else "below"
    meaning = meanings()["temperature" if what == "peak" else what, side]
    return Alarm(surprise, meaning.means, meaning.first, meaning.obtained)
