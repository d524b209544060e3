"""Steps of bore between the parts of a line, and their head loss."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from loop.hydraulics.network import Fork, Line
from loop.parts import Fitting, Hose, Intake, Part, Pump, Seacock, Strainer
from loop.parts.friction import velocity_head
from loop.parts.step import narrower, step_coefficient
from loop.records import dataclass
from loop.seawater import Water

# Which of two neighbors carries the loss of the step between them, the least preferred last: unlike
# these, a hose has no loss that is turned, cleaned or blocked, and a pump has none at all.
_LEAST_PREFERRED: tuple[type[Part], ...] = (Seacock, Intake, Strainer, Pump)
# A pressure drop stated for a fitting is converted with dense water, for the smallest head.
_DENSE_WATER = Water(temperature=0.0, salinity=42.0)
# The stated loss of an adapter is exactly that of the step between its bores.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class BoreStep:
    """A change of bore [m] from the part `before` to the next, `after`, by index.

    ``bearer`` is the part whose loss includes the step; next to a header, it is the part.
    ``fittings`` lie between the two; ``stated`` is their stated loss over the square of flow
    [s²/m⁵].
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
        """Head loss over the square of flow [s²/m⁵], beyond the fittings' stated loss."""
        return self.coefficient * float(velocity_head(1.0, self.small)) - self.stated


def bore_steps(
    parts: Sequence[Part], lines: Sequence[Line], forks: Sequence[Fork]
) -> Iterator[BoreStep]:
    """Steps of bore along lines, and where a line meets a header of another bore.

    The stated loss of a fitting includes its ends. Fittings between two bores lose at least as much
    as a step from one to the other; where less is stated, the difference is added. The relations of
    a manifold's tees include the loss at their ends. A barb's loss is added to that of the step at
    its end, as though the water expanded to the hose bore between the two: an engineering estimate,
    on the safe side where the next part is narrower.
    """
    into, out_of = _headers_at_line_ends(lines, forks)
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
                # A pump's loss is in its curve: at a header, the part before the pump carries the
                # step.
                bearer = line.parts[line.parts.index(before) - 1]
            between = _parts_between(line, before, after)
            stated = sum(float(parts[index].head_loss(1.0, _DENSE_WATER)) for index in between)
            step = BoreStep(before, after, bore, to, bearer, len(between), stated)
            if step.resistance > _ROUNDING * stated:
                yield step


def step_resistances(
    parts: Sequence[Part], lines: Sequence[Line], forks: Sequence[Fork]
) -> tuple[float, ...]:
    """Resistance [s²/m⁵] of the bore steps that each part carries, shape (parts,)."""
    found = [0.0] * len(parts)
    for step in bore_steps(parts, lines, forks):
        found[step.bearer] += step.resistance
    return tuple(found)


def _parts_between(line: Line, before: int, after: int) -> tuple[int, ...]:
    """Parts of a line between two of them, or between one and the header at its end."""
    first = line.parts.index(before) + 1 if before in line.parts else 0
    last = line.parts.index(after) if after in line.parts else len(line.parts)
    return line.parts[first:last]


def _headers_at_line_ends(
    lines: Sequence[Line], forks: Sequence[Fork]
) -> tuple[dict[int, Fork], dict[int, Fork]]:
    """Headers that lines end at and start from, except where a tee's relations cover the step."""
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
    return next(
        (n for n, kind in enumerate(_LEAST_PREFERRED, start=1) if isinstance(part, kind)), 0
    )
