"""Larger hose that may give the units their need: all hoses, the shared ones, or one."""

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

import numpy as np

from loop.check.context import Context
from loop.check.plan import Plan
from loop.check.result import CondenserResult
from loop.check.wider_hose import neighbor_bore, ribbed, wider_hose
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.job import bores_above
from loop.margins.speed import HOSE_MIN
from loop.parts import Hose, Manifold
from loop.parts.friction import velocity
from loop.parts.hose import USUAL_LINING
from loop.parts.step import narrower
from loop.words.actions import Action, ChangeHose

# Next larger sizes to try for each hose; and how many rows to solve in full, of those estimated to
# suffice and of those that nearly do.
_SIZES, _TRIED = 3, 3
# Share of the least speed in a hose under which no run is made wider for a little more flow: half,
# as after a hose a size or two too large. Engineering estimate.
_SLOWEST = 0.5
# Share of the required estimate that still counts as near: the band is a little narrower or wider
# in the loop as changed.
_NEAR = 0.97


def larger_hose(plan: Plan, unit: CondenserResult, hull: bool = True) -> Iterator[Action]:
    """Trade bores for all smaller hoses, smallest first, that give each unit its need.

    With the through-hull, or with adapters to the existing one (`wider_hose`).
    """
    yield from plan.that_cure(all_hoses_in(plan, bore, hull) for bore in larger_bores(plan, unit))


def trunk_hose(plan: Plan, hull: bool = True) -> Iterator[Action]:
    """The least bore that suffices for the hoses and headers that all branches share.

    With the through-hull, or with adapters to the existing one (`wider_hose`).
    """
    context, network = plan.context, plan.context.network
    trunk = {index: part for index, part in enumerate(network.parts) if not network.branches[index]}
    headers = [index for index, part in trunk.items() if isinstance(part, Manifold)]
    hoses = [index for index, part in trunk.items() if isinstance(part, Hose)]
    if not headers or not hoses:
        return

    def in_bore(bore: float) -> Action:
        narrow = [index for index in hoses if narrower(trunk[index].inner_bore, bore)]
        return _with_headers(context, narrow, headers, bore, hull)

    least = min(trunk[index].inner_bore for index in hoses)
    sizes = [in_bore(bore) for bore in bores_above(least)[:_SIZES]]
    # If the largest does not cure, no smaller one does.
    if sizes and plan.cures(sizes[-1]):
        yield from islice(plan.that_cure(sizes), 1)


def narrow_hoses(plan: Plan, hull: bool = True) -> Iterator[Action]:
    """The narrowest hoses, with the headers between them, in a size above theirs.

    Hose narrower than the rest of the boat's is changed alone, even to a size larger than the rest
    has: for example the run to a distant header that two units share. Not so wide that its water
    hardly moves.
    """
    context, parts = plan.context, plan.context.network.parts
    bores = {index: part.inner_bore for index, part in enumerate(parts) if isinstance(part, Hose)}
    headers = [index for index, part in enumerate(parts) if isinstance(part, Manifold)]
    network, sizes = context.network, []
    flows = {index: abs(context.point.line_flow[network.line_of[index]]) for index in bores}
    for own in sorted(set(bores.values())):
        run = [index for index, bore in bores.items() if bore <= own]
        between = [index for index in headers if not narrower(own, parts[index].inner_bore)]
        sizes += [
            _with_headers(context, run, between, size, hull)
            for size in bores_above(own)[:_SIZES]
            if 1 < len(run) < sum(narrower(bore, size) for bore in bores.values())
            and velocity(min(flows[index] for index in run), size) >= _SLOWEST * HOSE_MIN
        ]
    yield from plan.that_cure(sizes)


def _with_headers(
    context: Context, hoses: list[int], headers: list[int], bore: float, hull: bool
) -> ChangeHose:
    """Hoses in a bore [m], with the headers that are narrower."""
    parts, change = context.network.parts, wider_hose(context, hoses, bore, hull)
    narrow = [index for index in headers if narrower(parts[index].inner_bore, bore)]
    also = (context.addresses[index] for index in narrow)
    return replace(change, fittings=(*change.fittings, *also))


def one_hose(plan: Plan) -> Iterator[Action]:
    """One hose in a larger size that gives each unit its need, least excess first.

    A hose narrower than all others of its line comes first: it is the likely fault. All hoses and
    sizes are estimated in one solve, each with its loss at the present flow; the first of those
    that seem to suffice are then solved in full.
    """
    network = build(plan.job)
    flows = plan.flows(network)
    hoses = [
        (index, bore)
        for index, part in enumerate(network.parts)
        if isinstance(part, Hose) and flows[network.line_of[index]] > 0
        for bore in _bores_to_try(network, index)
    ]
    if not hoses:
        return
    loss = np.ones((len(hoses), len(network.parts)))
    for row, (index, bore) in enumerate(hoses):
        part, flow = network.parts[index], float(flows[network.line_of[index]])
        smooth = {"lining": USUAL_LINING, "roughness": None} if ribbed(part) else {}
        wider = part.model_copy(update={"bore": bore, "barb_bore": None, **smooth})
        # The bore steps at its ends are taken as unchanged: candidates are solved in full later.
        own = wider.head_loss(flow, network.water) + network.steps[index] * flow**2
        loss[row, index] = own / network.head_loss(index, flow)
    every = solve_flows(network, Cases(loss=loss), start=flows).line_flow
    lines = [network.unit_line(c.name) for c in plan.context.running_units]
    needs = np.array([c.needed_flow for c in plan.context.running_units])
    shares = (every[:, lines] / needs).min(axis=1)
    order, enough = np.argsort(shares, kind="stable"), plan.context.flow_margin
    odd = [_is_narrowest(network, index) for index, _ in hoses]
    for group in (True, False):
        rows = [row for row in order if odd[row] is group]
        nearly = [row for row in rows if _NEAR * enough <= shares[row] < enough]
        surely = [row for row in rows if shares[row] >= enough]
        for row in (*nearly[-_TRIED:], *surely[:_TRIED]):
            index, bore = hoses[row]
            ways = (wider_hose(plan.context, [index], bore, hull) for hull in (False, True))
            yield from islice(plan.that_cure(ways), 1)


def _is_narrowest(network: Network, hose: int) -> bool:
    """Whether a hose is narrower than every other hose of its line."""
    parts = network.parts
    line = [i for i in network.lines[network.line_of[hose]].parts if isinstance(parts[i], Hose)]
    own = parts[hose].inner_bore
    return len(line) > 1 and all(narrower(own, parts[i].inner_bore) for i in line if i != hose)


def _bores_to_try(network: Network, hose: int) -> list[float]:
    """The bores to try for a hose [m]: from its neighbors' bore on, if they are wider."""
    own, beside = network.parts[hose].inner_bore, neighbor_bore(network, hose)
    return [bore for bore in bores_above(own) if not narrower(bore, beside)][:_SIZES]


def all_hoses_in(plan: Plan, bore: float, hull: bool = True) -> ChangeHose:
    """All smaller hoses in a bore [m], with or without the through-hull."""
    parts = enumerate(plan.context.network.parts)
    hoses = [i for i, part in parts if isinstance(part, Hose) and narrower(part.inner_bore, bore)]
    return wider_hose(plan.context, hoses, bore, hull)


def larger_bores(plan: Plan, unit: CondenserResult) -> list[float]:
    """Trade bores above the smallest hose in which the required flow still sweeps air along."""
    bores = [p.inner_bore for p in plan.context.network.parts if isinstance(p, Hose)]
    return [
        bore
        for bore in bores_above(min(bores, default=math.inf))
        if velocity(unit.needed_flow, bore) >= HOSE_MIN
    ]
