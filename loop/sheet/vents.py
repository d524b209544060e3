"""The bleed valves of a loop, fitted and proposed, in the order the water meets them."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from loop.air.air_paths import AirPath, ProposedBleed
from loop.air.bleeds import crest_bleed
from loop.check import CheckResult
from loop.job import locate
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
    """Every bleed valve once, in the order of the file: those fitted, and those findings ask for.

    A finding asks for one to start the loop, and where running water leaves air.
    """
    network = result.point.network
    fitted: dict[tuple[int, float], Vent] = {}
    new: dict[tuple[int, float], Vent] = {}
    for path in result.air:
        for bleed in path.bleeds:
            branch = network.branches[bleed.part]
            name = called(network.labels[bleed.part]) + (f" ({branch})" if branch else "")
            fitted[bleed.part, 0.0] = Vent(
                name, "", bleed.height, bleed.draws_air, bleed.lets_out_air
            )
        for wanted in (*path.proposed, *_for_held_air(result, path)):
            place = _place(result, wanted)
            vent = Vent(f"the bleed {place}", place, wanted.height, wanted.draws_air, True)
            new.setdefault(wanted.key, vent)
    if len(fitted) == 1 and new:
        # Not to be taken for one of the others, where it has no name of its own.
        only, vent = next(iter(fitted.items()))
        if vent.name.startswith("the bleed"):
            fitted[only] = replace(vent, name=vent.name.replace("the bleed", "the fitted bleed", 1))
    found = new | fitted
    return tuple(found[key] for key in sorted(found))


def _for_held_air(result: CheckResult, path: AirPath) -> Iterator[ProposedBleed]:
    """Bleeds at the crests of a way at which a finding says that air stays."""
    addresses = [item.address for item in locate(result.job.part)]
    told = {
        addresses.index(finding.at.part)
        for finding in result.findings
        if finding.code == "air-held" and finding.level == "warning" and finding.at.part
    }
    for number, crest in enumerate(path.crests):
        held = crest.running == "held" and not crest.open_end
        if held and crest.side == "pressure" and crest.bleed is None and crest.part in told:
            yield crest_bleed(path.crests, number)


def called(label: str) -> str:
    """A part's label within a sentence, with its article: the seacock, but seacock 2."""
    return label if label[-1:].isdigit() else f"the {label}"


def _place(result: CheckResult, new: ProposedBleed) -> str:
    """Where a proposed bleed goes, in words that find it on the boat."""
    network, system = result.point.network, result.job.units
    label, branch = network.labels[new.part], network.branches[new.part]
    where = called(label) + (f" ({branch})" if branch else "")
    if new.reason == "pump outlet":
        return "at the pump's outlet"
    height = show(abs(new.height), "height", system)
    level = f"{height} {'above' if new.height >= 0 else 'below'} the waterline"
    if not new.on_part:
        return f"just after {where}, {level}"
    return f"at the crest of {where}, {show(new.along, 'length', system)} along it, {level}"
