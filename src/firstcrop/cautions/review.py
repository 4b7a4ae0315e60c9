"""The whole safety review of a sheet: cautions, labels, heat, exposure, what to do afterwards."""

from __future__ import annotations

from firstcrop.bank.lookup import Named
from firstcrop.cautions.after import after
from firstcrop.cautions.air import air_cases, room_of, room_words
from firstcrop.cautions.all import cautions_of, not_assessed
from firstcrop.cautions.care import care
from firstcrop.cautions.ghs.sheet import labels
from firstcrop.cautions.heat_cases import heat_cases
from firstcrop.cautions.records import Label, Review
from firstcrop.cautions.scene import scene_of
from firstcrop.forecast.records import Forecast


def review(forecast: Forecast, bank: Named) -> Review:
    """Everything that can be told of a forecast; of a refused sheet only the refusal."""
    if forecast.refused:
        return Review(refused=forecast.refused)
    scene = scene_of(forecast, bank)
    found = labels(scene)
    return Review(
        cautions=cautions_of(scene),
        labels=found,
        heat=heat_cases(forecast),
        air=air_cases(forecast),
        room=room_words(room_of(forecast.preparation)),
        after=after(scene),
        care=care(scene),
        not_assessed=(*label_gaps(found), *not_assessed(scene)),
    )


def label_gaps(found: tuple[Label, ...]) -> tuple[str, ...]:
    """What the classification could not tell, once each."""
    return tuple(dict.fromkeys(f"{one.name}: {gap}." for one in found for gap in one.gaps))
