"""The bleed valves of a loop, fitted and proposed, in the order the water meets them."""

from dataclasses import dataclass

from loop.check import CheckResult
from loop.margins.air import ProposedBleed
from loop.units import show


@dataclass(frozen=True)
class Vent:
    """A bleed valve: what it is called and where it is.

    ``place`` says where a proposed one goes, and is empty for one that is fitted; ``height`` [m]
    above the waterline; ``draws_air``, whether it would let air in while the pump runs;
    ``useful``, whether air leaves by it at all.
    """

    name: str
    place: str
    height: float
    draws_air: bool
    useful: bool

    @property
    def proposed(self) -> bool:
        """Whether it is yet to be fitted."""
        return bool(self.place)


def vents(result: CheckResult) -> tuple[Vent, ...]:
    """Every bleed valve once, in the order of the file."""
    network = result.point.network
    found: dict[tuple[int, float], Vent] = {}
    for path in result.air:
        for bleed in path.bleeds:
            branch = network.branches[bleed.part]
            name = called(network.labels[bleed.part]) + (f" in {branch}" if branch else "")
            found[(bleed.part, 0.0)] = Vent(
                name, "", bleed.height, bleed.draws_air, bleed.lets_out_air
            )
        for new in path.proposed:
            place = _place(result, new)
            found[new.key] = Vent(f"the bleed {place}", place, new.height, new.draws_air, True)
    return tuple(found[key] for key in sorted(found))


def called(label: str) -> str:
    """A part's label within a sentence, with its article: the seacock, but seacock 2."""
    return label if label[-1:].isdigit() else f"the {label}"


def _place(result: CheckResult, new: ProposedBleed) -> str:
    """Where a proposed bleed goes, in words that find it on the boat."""
    network, system = result.point.network, result.job.units
    label, branch = network.labels[new.part], network.branches[new.part]
    where = f"{label} in {branch}" if branch else label
    if new.reason == "pump outlet":
        return "at the pump's outlet"
    height = show(abs(new.height), "height", system)
    level = f"{height} {'above' if new.height >= 0 else 'below'} the waterline"
    if not new.on_part:
        return f"just after the {where}, {level}"
    return f"at the crest of the {where}, {show(new.along, 'length', system)} along it, {level}"
