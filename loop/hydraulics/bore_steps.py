"""Steps of bore between the parts of a line, and the head that they take."""

from collections.abc import Iterator, Sequence

from loop.hydraulics.network import Fork, Line
from loop.parts import Fitting, Hose, Intake, Part, Pump, Seacock, Strainer
from loop.parts.friction import velocity_head
from loop.parts.step import narrower, step_coefficient
from loop.records import dataclass

# Which of two neighbors bears the loss of the step between them, the last named the least: a
# hose's loss is not turned, cleaned or covered as these are, and a pump has none.
_LAST: tuple[type[Part], ...] = (Seacock, Intake, Strainer, Pump)


@dataclass(frozen=True)
class BoreStep:
    """A change of bore [m] from the part `before` to the next, `after`, by their indices.

    ``bearer`` is the one of them whose loss it counts with; of a part and a header, a part.
    """

    before: int
    after: int
    bore: float
    to: float
    bearer: int

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
        """Head lost over the square of the flow [s²/m⁵]."""
        return self.coefficient * float(velocity_head(1.0, self.small))


def bore_steps(
    parts: Sequence[Part], lines: Sequence[Line], forks: Sequence[Fork]
) -> Iterator[BoreStep]:
    """The steps along lines, and where one ends at a header of another bore.

    A fitting states the loss of its ends too, and the relations of a manifold's tees hold that of
    theirs. A barb's own loss is counted beside that of the step at its end, as though the water
    filled the hose's bore between the two: an engineering estimate, on the safe side where the next
    part is narrower.
    """
    into, out_of = _headers(lines, forks)
    for number, line in enumerate(lines):
        for before, after in zip(line.parts, line.parts[1:], strict=False):
            if any(isinstance(parts[index], Fitting) for index in (before, after)):
                continue
            bearer = min((after, before), key=lambda index: _reluctance(parts[index]))
            bore, to = (parts[index].inner_bore for index in (before, after))
            if _unlike(bore, to):
                yield BoreStep(before, after, bore, to, bearer)
        yield from _at_headers(parts, line, out_of.get(number), into.get(number))


def step_resistances(
    parts: Sequence[Part], lines: Sequence[Line], forks: Sequence[Fork]
) -> tuple[float, ...]:
    """Resistance [s²/m⁵] of the steps that each part bears, shape (parts,)."""
    found = [0.0] * len(parts)
    for step in bore_steps(parts, lines, forks):
        found[step.bearer] += step.resistance
    return tuple(found)


def _at_headers(
    parts: Sequence[Part], line: Line, out_of: Fork | None, into: Fork | None
) -> Iterator[BoreStep]:
    """The steps of a line that begins at a header, or ends at one."""
    first, last = line.parts[0], line.parts[-1]
    if out_of is not None and not isinstance(parts[first], Fitting):
        bore, to = out_of.header_bore, parts[first].inner_bore
        if _unlike(bore, to):
            yield BoreStep(out_of.manifold, first, bore, to, first)
    if into is not None and not isinstance(parts[last], Fitting):
        # A pump's loss is its curve's: of one at a header the part before it bears the step.
        bearer = line.parts[-2] if isinstance(parts[last], Pump) else last
        bore, to = parts[last].inner_bore, into.header_bore
        if _unlike(bore, to):
            yield BoreStep(last, into.manifold, bore, to, bearer)


def _unlike(bore: float, to: float) -> bool:
    return narrower(bore, to) or narrower(to, bore)


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
