"""Single parts that take far more head than their kind does: they are changed before a pump is."""

import math
from collections.abc import Iterator

from loop.check.context import Context
from loop.check.job_changes import Care
from loop.check.widened import ribbed, widened
from loop.job import TRADE_BORES
from loop.parts import Fitting, Hose, Strainer
from loop.parts.hose import BARB_OVER_HOSE
from loop.parts.step import narrower
from loop.units import parse
from loop.words.actions import Action, ChangeBarbs, ChangeStrainer, CleanStrainer, RemovePart
from loop.words.numbers import round_up

# What a strainer may take, clean, at the loop's flow [Pa]: engineering estimate.
STRAINER_LOSS = parse("0.4 psi", "pressure")
# Share of the pump's head from which what one part takes is odd, and how far under the usual bore
# of its barbs a hose's are: engineering estimates.
_ODD, _NARROW = 0.15, 0.75
# Sizes of smooth hose that are tried in the place of ribbed, from the one that is there.
_SIZES = 3


def eased(care: Care) -> Iterator[Action]:
    """Each odd loss by itself taken away, the greatest first, that gives each unit its need."""
    context = care.context
    network, head = context.network, context.point.pump_head
    # A strainer is odd by what it takes when clean.
    dirt = [
        part.blocked_factor(0.0) if isinstance(part, Strainer) else 1.0 for part in network.parts
    ]
    taken = [s.head_loss * float(f) for s, f in zip(context.point.stations, dirt, strict=True)]
    odd = [index for index, loss in enumerate(taken) if loss > _ODD * head]
    for index in sorted(odd, key=lambda i: -taken[i]):
        part, address = network.parts[index], context.addresses[index]
        if isinstance(part, Fitting):
            yield from _curing(care, RemovePart(address))
        elif isinstance(part, Strainer):
            rest = [step for step in care.steps if step != CleanStrainer(address)]
            change = ChangeStrainer(address, STRAINER_LOSS, strainer_flow(context))
            yield from _curing(Care(context, tuple(rest)), change)
    yield from _smooth(care)
    narrow = [
        index
        for index, part in enumerate(network.parts)
        if isinstance(part, Hose) and part.barb < _NARROW * BARB_OVER_HOSE * part.inner_bore
    ]
    if narrow:
        yield from _curing(care, ChangeBarbs(tuple(context.addresses[i] for i in narrow)))


def _smooth(care: Care) -> Iterator[Action]:
    """Smooth hose in the place of all that is ribbed, of its bore or else of the next sizes."""
    parts = care.context.network.parts
    ribs = [index for index, part in enumerate(parts) if ribbed(part)]
    least = min((parts[index].inner_bore for index in ribs), default=math.inf)
    for bore in [one for one in TRADE_BORES if not narrower(one, least)][:_SIZES]:
        own = [index for index in ribs if not narrower(bore, parts[index].inner_bore)]
        smooth = widened(care.context, own, bore)
        if care.cures(smooth):
            yield care.with_(smooth)
            return


def strainer_flow(context: Context) -> float:
    """The flow [m³/s] for which a strainer is bought, round in the job's units."""
    most = max(context.point.flow, context.job.needed_flow)
    return round_up(most, "flow", context.job.units)


def _curing(care: Care, action: Action) -> Iterator[Action]:
    if care.cures(action):
        yield care.with_(action)
