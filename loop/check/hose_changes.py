"""Larger hose that may give the units their need: all of it, what branches share, or one."""

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

import numpy as np

from loop.check.job_changes import Care
from loop.check.result import CondenserResult
from loop.check.widened import of_neighbors, ribbed, widened
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.job import bores_above
from loop.margins.speed import HOSE_LEAST
from loop.parts import Hose, Manifold
from loop.parts.friction import velocity
from loop.parts.hose import USUAL_LINING
from loop.parts.step import narrower
from loop.words.actions import Action, ChangeHose

# Sizes of each hose that are tried by themselves, the next larger; and how many are asked whole, of
# those that seem to do and of those that nearly seem to.
_SIZES, _TRIED = 3, 3
# Of the share of the need that leaves it at the low edge of the band, what is near it: a band is a
# little narrower or wider in the loop as changed.
_NEAR = 0.97


def larger_hose(care: Care, unit: CondenserResult, hull: bool = True) -> Iterator[Action]:
    """Trade bores, for all smaller hoses, the smallest first, that give each unit its need.

    With the through-hull, or with adapters to the one that is there (`widened`).
    """
    yield from care.that_cure(hoses_in(care, bore, hull) for bore in larger_bores(care, unit))


def trunk_hose(care: Care, hull: bool = True) -> Iterator[Action]:
    """Of what all branches share, the hoses and headers, the least bore that is enough.

    With the through-hull, or with adapters to the one that is there (`widened`).
    """
    context, network = care.context, care.context.network
    trunk = {index: part for index, part in enumerate(network.parts) if not network.branches[index]}
    headers = [index for index, part in trunk.items() if isinstance(part, Manifold)]
    hoses = [index for index, part in trunk.items() if isinstance(part, Hose)]
    if not headers or not hoses:
        return

    def in_bore(bore: float) -> Action:
        hose, header = (
            [index for index in some if narrower(trunk[index].inner_bore, bore)]
            for some in (hoses, headers)
        )
        change = widened(context, hose, bore, hull)
        also = tuple(context.addresses[index] for index in header)
        return replace(change, fittings=(*change.fittings, *also))

    least = min(trunk[index].inner_bore for index in hoses)
    sizes = [in_bore(bore) for bore in bores_above(least)[:_SIZES]]
    # What the largest does not do no other does.
    if sizes and care.cures(sizes[-1]):
        yield from islice(care.that_cure(sizes), 1)


def one_hose(care: Care) -> Iterator[Action]:
    """One hose in a size larger that gives each unit its need, the least too much first.

    All hoses and sizes are told from one solve, each with its loss at the flow that it has now; of
    those that seem to do, the first are asked whole.
    """
    network = build(care.job)
    flows = care.flows(network)
    hoses = [
        (index, bore)
        for index, part in enumerate(network.parts)
        if isinstance(part, Hose) and flows[network.line_of[index]] > 0
        for bore in _sizes(network, index)
    ]
    if not hoses:
        return
    loss = np.ones((len(hoses), len(network.parts)))
    for row, (index, bore) in enumerate(hoses):
        part, flow = network.parts[index], float(flows[network.line_of[index]])
        smooth = {"lining": USUAL_LINING, "roughness": None} if ribbed(part) else {}
        wider = part.model_copy(update={"bore": bore, "barb_bore": None, **smooth})
        # The steps at its ends are about what they were: what seems to do is asked whole.
        own = wider.head_loss(flow, network.water) + network.steps[index] * flow**2
        loss[row, index] = own / network.head_loss(index, flow)
    every = solve_flows(network, Cases(loss=loss), start=flows).line_flow
    lines = [network.unit_line(c.name) for c in care.context.running]
    needs = np.array([c.needed_flow for c in care.context.running])
    shares = (every[:, lines] / needs).min(axis=1)
    order, enough = np.argsort(shares, kind="stable"), care.context.spare
    nearly = [row for row in order if _NEAR * enough <= shares[row] < enough]
    surely = [row for row in order if shares[row] >= enough]
    for row in (*nearly[-_TRIED:], *surely[:_TRIED]):
        index, bore = hoses[row]
        ways = (widened(care.context, [index], bore, hull) for hull in (False, True))
        yield from islice(care.that_cure(ways), 1)


def _sizes(network: Network, hose: int) -> list[float]:
    """The bores that are tried of one hose [m]: from its neighbors' on, where they are wider."""
    own, beside = network.parts[hose].inner_bore, of_neighbors(network, hose)
    return [bore for bore in bores_above(own) if not narrower(bore, beside)][:_SIZES]


def hoses_in(care: Care, bore: float, hull: bool = True) -> ChangeHose:
    """All smaller hoses in a bore [m], with the through-hull or without."""
    parts = enumerate(care.context.network.parts)
    hoses = [i for i, part in parts if isinstance(part, Hose) and narrower(part.inner_bore, bore)]
    return widened(care.context, hoses, bore, hull)


def larger_bores(care: Care, unit: CondenserResult) -> list[float]:
    """Trade bores above the smallest hose in which the need would still sweep air along."""
    bores = [p.inner_bore for p in care.context.network.parts if isinstance(p, Hose)]
    return [
        bore
        for bore in bores_above(min(bores, default=math.inf))
        if velocity(unit.needed_flow, bore) >= HOSE_LEAST
    ]
