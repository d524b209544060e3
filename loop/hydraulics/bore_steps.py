"""Steps of bore between the parts of a line, and the head that they take."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from loop.hydraulics.network import Fork, Line
from loop.parts import Fitting, Hose, Intake, Part, Pump, Seacock, Strainer
from loop.parts.friction import velocity_head
from loop.parts.step import narrower, step_coefficient
from loop.records import dataclass
from loop.seawater import Water

# Which of two neighbors bears the loss of the step between them, the last named the least: a
# hose's loss is not turned, cleaned or covered as these are, and a pump has none.
_LAST: tuple[type[Part], ...] = (Seacock, Intake, Strainer, Pump)
# In which a drop of pressure that a fitting states is a column: heavy, so that it is short.
_HEAVY = Water(temperature=0.0, salinity=42.0)
# An adapter states just what the step between its bores takes.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class BoreStep:
    """A change of bore [m] from the part `before` to the next, `after`, by their indices.

    ``bearer`` is the one of them whose loss it counts with; of a part and a header, a part.
    ``fittings`` stand between them; ``stated`` is what those are said to lose, over the square of
    the flow [s²/m⁵].
    """

    before: int
    after: int
    bore: float
    to: float
    bearer: int
    fittings: int = 0
    stated: float = 0.0

    @property
    def small(self) -> float:
        """The smaller bore [m]."""
        return min(self.bore, self.to)

    @property
    def coefficient(self) -> float:
        """K on the smaller bore."""
        return step_coefficient(self.bore, self.to)

    @property
    def resistance(self) -> float:
        """Head lost over the square of the flow [s²/m⁵], beside what the fittings are said to."""
        return self.coefficient * float(velocity_head(1.0, self.small)) - self.stated


def bore_steps(
    parts: Sequence[Part], lines: Sequence[Line], forks: Sequence[Fork]
) -> Iterator[BoreStep]:
    """The steps along lines, and where one ends at a header of another bore.

    Fittings state the loss of their ends too, and between two bores lose at least what a step from
    the one to the other does: where less is stated, the rest is counted. The relations of a
    manifold's tees hold the loss of theirs. A barb's own loss is counted beside that of the step at
    its end, as though the water filled the hose's bore between the two: an engineering estimate, on
    the safe side where the next part is narrower.
    """
    into, out_of = _headers(lines, forks)
    for number, line in enumerate(lines):
        others = [index for index in line.parts if not isinstance(parts[index], Fitting)]
        ends = [(index, parts[index].inner_bore) for index in others]
        if (fork := out_of.get(number)) is not None:
            ends.insert(0, (fork.manifold, fork.header_bore))
        if (fork := into.get(number)) is not None:
            ends.append((fork.manifold, fork.header_bore))
        for (before, bore), (after, to) in pairwise(ends):
            if not (narrower(bore, to) or narrower(to, bore)):
                continue
            near = [index for index in (after, before) if index in others] or line.parts
            bearer = min(near, key=lambda index: _reluctance(parts[index]))
            if after not in line.parts and isinstance(parts[bearer], Pump):
                # Its loss is its curve's: of a pump at a header the part before it bears the step.
                bearer = line.parts[line.parts.index(before) - 1]
            between = _between(line, before, after)
            stated = sum(float(parts[index].head_loss(1.0, _HEAVY)) for index in between)
            step = BoreStep(before, after, bore, to, bearer, len(between), stated)
            if step.resistance > _ROUNDING * stated:
                yield step


def step_resistances(
    parts: Sequence[Part], lines: Sequence[Line], forks: Sequence[Fork]
) -> tuple[float, ...]:
    """Resistance [s²/m⁵] of the steps that each part bears, shape (parts,)."""
    found = [0.0] * len(parts)
    for step in bore_steps(parts, lines, forks):
        found[step.bearer] += step.resistance
    return tuple(found)


def _between(line: Line, before: int, after: int) -> tuple[int, ...]:
    """The parts of a line between two of them, or between one and the header at its end."""
    first = line.parts.index(before) + 1 if before in line.parts else 0
    last = line.parts.index(after) if after in line.parts else len(line.parts)
    return line.parts[first:last]


def _headers(
    lines: Sequence[Line], forks: Sequence[Fork]
) -> tuple[dict[int, Fork], dict[int, Fork]]:
    """The headers into which lines end, and out of which they begin, but for those with tees."""
    splits = {fork.split: fork for fork in forks}
    joins = {fork.join: fork for fork in forks if fork.join is not None}
    into = {n: splits[line.end] for n, line in enumerate(lines) if line.end in splits}
    out_of = {n: joins[line.start] for n, line in enumerate(lines) if line.start in joins}
    for fork in forks:
        if len(fork.first) == 1:  # no tee
            out_of[fork.first[0]] = fork
            if fork.last[0] is not None:
                into[fork.last[0]] = fork
    return into, out_of


def _reluctance(part: Part) -> int:
    if isinstance(part, Hose):
        return -1
    return next((n for n, kind in enumerate(_LAST, start=1) if isinstance(part, kind)), 0)
