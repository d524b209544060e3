"""Names of parts and places, and numbers, of one job in a sentence."""

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from loop.job import Job, Located, locate
from loop.job.attitude import lowest_immersion
from loop.margins.suction import SINKAGE
from loop.parts import Discharge, Hose, Intake
from loop.records import dataclass
from loop.words.base import Address
from loop.words.finding import Place
from loop.words.meetings import meetings
from loop.words.numbers import exact, nearest, spoken
from loop.words.template import Blank, Value, fill, listed, rounded

# Most units whose flows are listed one by one.
_MANY = 6
_LEADS_TO = re.compile(r"^to (the )?(?=\S)", re.IGNORECASE)


@dataclass(frozen=True)
class Speaker:
    """Words for one job, in its units."""

    job: Job

    @cached_property
    def parts(self) -> dict[Address, Located]:
        """The job's parts by their addresses."""
        return {item.address: item for item in locate(self.job.part)}

    @cached_property
    def meets(self) -> dict[Address, list[Address]]:
        """The parts adjoining each part."""
        return meetings(self.job)

    @cached_property
    def first(self) -> dict[tuple[object, ...], str]:
        """Cache of the precautions before opening the line, by place."""
        return {}

    def number(self, value: float, quantity: str) -> str:
        """A number with its unit."""
        return spoken(value, quantity, self.job.units)

    def exact(self, value: float, quantity: str) -> str:
        """A number of an action, with the digits it was rounded to."""
        return exact(value, quantity, self.job.units)

    def name(self, address: Address) -> str:
        """A part's name, with an article unless it is numbered."""
        return called(self.parts[address].label)

    def names(self, addresses: Iterable[Address]) -> str:
        """Names of several parts, joined."""
        return listed([self.name(address) for address in addresses])

    def where(self, at: Place) -> str:
        """A finding's place: a part's place in the file and its name, a unit, a branch."""
        if at.part is not None and at.unit is None:
            item = self.parts[at.part]
            return item.place if item.label == item.part.kind else f"{item.place}, {item.label}"
        if at.unit is not None:
            return f"condenser {at.unit}"
        if not at.branch:
            return "whole loop"
        return at.branch if at.branch.startswith("branch ") else f"branch {at.branch}"

    def spot(self, address: Address, along: float | None, height: float) -> str:
        """Where on the boat: ``hose 2, 3.0 ft from its start, 14 in above the waterline``."""
        level = self.about_level(height)
        level = f"at {level}" if nearest(height, "height", self.job.units) == 0 else level
        if along is None:
            hose = isinstance(self.parts[address].part, Hose)
            return f"{'the far end of ' * hose}{self.name(address)}, {level}"
        return f"{self.name(address)}, {self.number(along, 'length')} from its start, {level}"

    def level(self, height: float) -> str:
        """A height as measured: ``14.0 in above the waterline``."""
        if height == 0:
            return "the waterline"
        side = "above" if height > 0 else "below"
        return f"{self.exact(abs(height), 'height')} {side} the waterline"

    def about_level(self, height: float) -> str:
        """A height for information, not for setting: rounded."""
        return self.level(nearest(height, "height", self.job.units))

    @cached_property
    def reach(self) -> float:
        """Height [m] above the waterline at rest that the water may reach during work.

        The worst of all causes, as at an intake: heel and trim at the stated part furthest from the
        middle of the boat, half a wave, and the change of draft with load.
        """
        return -lowest_immersion(0.0, *self._furthest, self.job.boat)

    def may_flood(self, address: Address, together: bool = True) -> bool:
        """Whether a part is a hull opening that the water may reach during work.

        By heel and trim at its own place, if stated, and half a wave, both `together` or each
        alone: a boat does not lie for long at the worst heel in the worst waves. Also by how far a
        boat goes down when people step aboard. A light boat only rises.
        """
        part = self.parts[address].part
        if not isinstance(part, Intake | Discharge):
            return False
        leant, crest = self._leant(part), self.job.boat.wave_height / 2
        comes = leant + crest if together else max(leant, crest)
        return part.height <= SINKAGE or part.height < comes

    def _leant(self, part: Intake | Discharge) -> float:
        """How far heel and trim raise the water at a hull opening [m]."""
        stated = (part.off_centre, part.fore_aft)
        across, along = (
            far if own is None else own for own, far in zip(stated, self._furthest, strict=True)
        )
        calm = self.job.boat.model_copy(update={"light_rise": 0.0, "wave_height": 0.0})
        return -lowest_immersion(0.0, across, along, calm)

    @cached_property
    def _furthest(self) -> tuple[float, float]:
        """Largest stated distances [m] of parts from the boat's middle, across and along."""
        parts = [item.part for item in self.parts.values()]
        across, along = (
            max((abs(getattr(part, name, None) or 0.0) for part in parts), default=0.0)
            for name in ("off_centre", "fore_aft")
        )
        return across, along

    def below_water(self, address: Address) -> bool:
        """Whether the water may reach any point of a part."""
        item = self.parts[address]
        heights = [item.start, item.end]
        if isinstance(item.part, Intake):
            heights = [item.part.height]
        elif isinstance(item.part, Hose):
            heights += [height for _, height in item.part.points]
        return min(heights) <= self.reach

    def fill(self, template: str, values: Mapping[str, Value], at: Place = Place()) -> str:  # noqa: B008
        """Fill a template; besides those of `loop.words.template`, blanks that name parts.

        ``{part:name}`` is a part's name, ``{parts:names}`` several, ``{at:spot}`` a place on the
        boat, ``{others:branches}`` what branches lead to, ``{branch:branch}`` a branch, and
        ``{units+flows:flow}`` pairs.
        """

        def own(blank: Blank) -> str | None:
            if blank.quantity == "spot":
                height = values["height"]
                assert at.part is not None
                assert isinstance(height, float)
                return self.spot(at.part, at.along, height)
            value = values[blank.name]
            if isinstance(value, str):
                if blank.quantity == "branches":
                    return branch_called(value)
                if blank.quantity == "branch":
                    return the_branch(value)
                return self.name(value) if blank.quantity == "name" else None
            if not isinstance(value, tuple):
                return None
            texts = [str(one) for one in value]
            if blank.quantity == "branches":
                return listed([branch_called(one) for one in texts])
            if blank.other is not None:
                numbers = values[blank.other]
                assert isinstance(numbers, tuple)
                return self._pairs(texts, [float(n) for n in numbers], blank)
            return self.names(texts) if blank.quantity == "names" else None

        return fill(template, values, self.job.units, own)

    def _pairs(self, names: Sequence[str], numbers: Sequence[float], blank: Blank) -> str:
        """The flow of each; for many, the least and the most."""
        quantity, many = blank.quantity or "", len(names) > _MANY
        ends = [min(numbers), max(numbers)] if many else numbers
        shown = [rounded(number, quantity, blank.how, self.job.units) for number in ends]
        if many:
            return f"the other {len(names)} units get {' to '.join(shown)}"
        return listed([f"{one} gets {n}" for one, n in zip(names, shown, strict=True)])


def called(label: str) -> str:
    """A part's label within a sentence, with its article: the seacock, but seacock 2."""
    return label if label[-1:].isdigit() else f"the {label}"


def branch_called(name: str) -> str:
    """A branch's name within a sentence: what it leads to.

    >>> branch_called("to the port side / to galley"), branch_called("high")
    ('port side / galley', 'high')
    """
    return " / ".join(_LEADS_TO.sub("", one) for one in name.split(" / "))


def the_branch(name: str, unit: str | None = None) -> str:
    """A branch within a sentence, as a branch; by its unit if its name does not say where to.

    >>> the_branch("to the galley", "saloon"), the_branch("branch 2"), the_branch("port", "saloon")
    ('the branch to the galley', 'branch 2', 'the branch to saloon')
    """
    if unit and not name.startswith("to "):
        return f"the branch to {unit}"
    return name if name.startswith("branch ") else f"the branch {name}"
