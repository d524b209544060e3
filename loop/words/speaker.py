"""How parts, places and numbers of one job are called in a sentence."""

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from loop.job import Job, Located, locate
from loop.parts import Hose
from loop.records import dataclass
from loop.units import show
from loop.words.base import Address, start_height
from loop.words.finding import Place, Value
from loop.words.numbers import (
    apart,
    digits,
    exact,
    round_down,
    round_up,
    significant,
)

_OPTIONAL = re.compile(r"\[([^\[\]]*)\]")
_FIELD = re.compile(r"\{(\w+)(?:\+(\w+))?(?::(\w+)(?:\.(\w+))?(?:\|(\w+))?)?\}")


@dataclass(frozen=True)
class Speaker:
    """Speaks of one job, in its units."""

    job: Job

    @cached_property
    def parts(self) -> dict[Address, Located]:
        """The job's parts by their addresses."""
        return {item.address: item for item in locate(self.job.part)}

    def number(self, value: float, quantity: str) -> str:
        """A number with its unit."""
        return show(value, quantity, self.job.units)

    def exact(self, value: float, quantity: str) -> str:
        """A number of an action, as many digits as it was rounded to."""
        return exact(value, quantity, self.job.units)

    def name(self, address: Address) -> str:
        """What a person calls a part, with an article unless it is numbered."""
        label = self.parts[address].label
        return label if label[-1].isdigit() else f"the {label}"

    def names(self, addresses: Iterable[Address]) -> str:
        """Several parts, one after the other."""
        return listed([self.name(address) for address in addresses])

    def where(self, at: Place) -> str:
        """A finding's place: a part's place in the file and its name, a unit, a branch."""
        if at.part is not None and at.unit is None:
            item = self.parts[at.part]
            return item.place if item.label == item.part.kind else f"{item.place}, {item.label}"
        if at.unit is not None:
            return f"condenser {at.unit}"
        return f"branch {at.branch}" if at.branch else "whole loop"

    def spot(self, address: Address, along: float | None, height: float) -> str:
        """Where on the boat: ``hose 2, 3.0 ft from its start, 14 in above the waterline``."""
        level = self.about_level(height)
        if along is None:
            return f"the far end of {self.name(address)}, {level}"
        return f"{self.name(address)}, {self.number(along, 'length')} from its start, {level}"

    def level(self, height: float) -> str:
        """A height as what a person measures: ``14.0 in above the waterline``."""
        side = "above" if height >= 0 else "below"
        return f"{self.exact(abs(height), 'height')} {side} the waterline"

    def about_level(self, height: float) -> str:
        """A height that is only said, and not to be set: rounded."""
        side = "above" if height >= 0 else "below"
        return f"{self.number(abs(height), 'height')} {side} the waterline"

    def below_water(self, address: Address) -> bool:
        """Whether any of a part lies below the waterline at rest."""
        part = self.parts[address].part
        heights = [start_height(self.job, address)]
        if isinstance(part, Hose):
            heights += [height for _, height in part.points]
        return min(heights) < 0

    def fill(self, template: str, values: Mapping[str, Value], at: Place = Place()) -> str:  # noqa: B008
        """A template with its values; see `loop.words.row.Row`."""

        def kept(match: re.Match[str]) -> str:
            names = [name for found in _FIELD.findall(match[1]) for name in found[:2] if name]
            return match[1] if all(name in values for name in names) else ""

        whole = _OPTIONAL.sub(kept, template)
        return _FIELD.sub(lambda match: self._field(match, values, at), whole)

    def _field(self, match: re.Match[str], values: Mapping[str, Value], at: Place) -> str:
        name, other, quantity, how, against = match.groups()
        if quantity == "spot":
            height = values["height"]
            assert at.part is not None
            assert isinstance(height, float)
            return self.spot(at.part, at.along, height)
        value = values[name]
        if isinstance(value, str):
            return self.name(value) if quantity == "name" else value
        if isinstance(value, tuple):
            texts = [str(one) for one in value]
            if other is not None:
                numbers = values[other]
                assert isinstance(numbers, tuple)
                pairs = zip(texts, map(float, numbers), strict=True)
                return listed([f"{one} gets {self._rounded(n, quantity, how)}" for one, n in pairs])
            return self.names(texts) if quantity == "names" else listed(texts)
        if quantity == "number":
            return f"{value:.{how}f}"
        if against is not None:
            compared = values[against]
            assert isinstance(compared, float)
            return apart(value, compared, quantity, self.job.units)[0]
        return self._rounded(value, quantity, how)

    def _rounded(self, value: float, quantity: str, how: str | None) -> str:
        system = self.job.units
        if how == "significant":
            return significant(value, quantity, system)
        if how in ("up", "down"):
            rounded = (round_up if how == "up" else round_down)(value, quantity, system)
            return show(rounded, quantity, system, digits(rounded, quantity, system))
        return show(value, quantity, system)


def listed(texts: Sequence[str]) -> str:
    """Texts one after the other: ``a, b and c``."""
    *most, last = texts
    return f"{', '.join(most)} and {last}" if most else last
