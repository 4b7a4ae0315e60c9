"""One small file an operation; the table below is all that knows them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from firstcrop.forecast.operations.add import add
from firstcrop.forecast.operations.boil import boil_down, reflux
from firstcrop.forecast.operations.dilute import dilute
from firstcrop.forecast.operations.discard import discard
from firstcrop.forecast.operations.dissolve import dissolve
from firstcrop.forecast.operations.drying import dry
from firstcrop.forecast.operations.filtering import filtering
from firstcrop.forecast.operations.heat import cool, heat
from firstcrop.forecast.operations.hold import hold, stand
from firstcrop.forecast.operations.keep import keep
from firstcrop.forecast.operations.titrate import titrate
from firstcrop.forecast.operations.transfer import transfer
from firstcrop.forecast.operations.washing import wash
from firstcrop.forecast.task import Task
from firstcrop.forecast.world import World
from firstcrop.sheet.records import Verb

Operation = Callable[[Task], World]

OPERATIONS: Mapping[Verb, Operation] = MappingProxyType(
    {
        Verb.PUT: add,
        Verb.ADD: add,
        Verb.DISSOLVE: dissolve,
        Verb.DILUTE: dilute,
        Verb.MAKE_UP: dilute,
        Verb.STIR: stand,
        Verb.HOLD: hold,
        Verb.STAND: stand,
        Verb.HEAT: heat,
        Verb.COOL: cool,
        Verb.BOIL_DOWN: boil_down,
        Verb.REFLUX: reflux,
        Verb.FILTER: filtering,
        Verb.DECANT: filtering,
        Verb.WASH: wash,
        Verb.DRY: dry,
        Verb.TRANSFER: transfer,
        Verb.COMBINE: transfer,
        Verb.RETURN: transfer,
        Verb.TITRATE: titrate,
        Verb.KEEP: keep,
        Verb.DISCARD: discard,
    }
)
