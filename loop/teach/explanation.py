"""An explanation, and how much of it is shown: one page, each part once, or everything."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from typing_extensions import TypedDict

from loop.answers import Answer, plain, table_of
from loop.check import CheckResult, CondenserResult, Verdict
from loop.check.running_units import shortest_first
from loop.job import Inputs, file_numbers, inputs
from loop.records import dataclass
from loop.teach.step import STEP, Input, Line, Step
from loop.teach.water_paths import water_paths
from loop.words.course import SAY

# The steps of the first page, by topic.
_FIRST_PAGE = {
    "need": ("N_ton", "Q_need"),
    "flow": ("Q",),
    "balance": ("H_static", "h_lost", "h_left"),
    "heat": ("ΔT", "T_c"),
    "edges": ("Q_low",),
    "answer": ("r",),
    "change": ("Q_change",),
}
# Number of the largest losses that it works out in full.
_LOSSES_SHOWN = 2
# Most steps on it, and the symbols of steps dropped first where there are more.
_FIRST_PAGE_MAX = 20
_DROPPED_FIRST = ("f", "β", "K_s", "K_b", "h_left", "N_ton", "K_f", "h_r", "K", "V")
# Rows of a part's final steps: its head loss, with all factors and additions.
HEADS = ("head", "rated head", "with steps", "film", "with tees", "backwards head")


@dataclass(frozen=True)
class Explanation(Answer):
    """The steps of a job's calculation, in order, with the answer that they explain."""

    result: CheckResult
    steps: tuple[Step, ...]

    def page(self, level: int) -> tuple[Step, ...]:
        """The steps of a level, numbered from 1.

        Level 1 has at most twenty steps: the need of the unit shortest of water, the flow, where
        the head goes, the two largest losses, the answer, and the most effective change. Level 2
        works out the first part of each kind in full and gives only the loss of later ones; level 3
        is everything, including fine steps.
        """
        if level <= 1:
            return numbered(self.steps, self._first_page())
        return self.steps if level > 2 else numbered(self.steps, self._each_kind_once())

    def of_part(self, place: int | str) -> tuple[Step, ...]:
        """Steps of the part at a place in the job file, and all that they depend on.

        A place counts from 1: ``4``, or ``"9.2.3"`` for part 9, branch 2, its part 3. Raises
        LookupError where there is no such part.
        """
        numbers = file_numbers(self.result.job.part)
        if str(place) not in numbers:
            main = [number for number in numbers if "." not in number]
            inner = [number for number in numbers if "." in number]
            ends = {"first": inner[0], "inner": inner[-1]} if inner else {}
            raise LookupError(SAY("explain-no-part", part=str(place), last=main[-1], **ends))
        number = numbers.index(str(place)) + 1
        wanted = self.behind(step.number for step in self.steps if step.part == number)
        return tuple(step for step in self.steps if step.number in wanted)

    def behind(self, numbers: Iterable[int]) -> set[int]:
        """Numbers of these steps and of all that they depend on."""
        wanted = set(numbers)
        for step in reversed(self.steps):  # a step depends on earlier ones only
            if step.number in wanted:
                wanted.update(step.rests_on)
        return wanted

    def kinds(self) -> dict[str, list[int]]:
        """Positions, from 1, of the parts with a loss calculation, by kind."""
        found: dict[str, list[int]] = {}
        for position, part in enumerate(self.result.point.network.parts, start=1):
            own = [step for step in self.steps if step.part == position and step.lines]
            if own and part.kind not in ("pump", "manifold"):
                found.setdefault(part.kind, []).append(position)
        return found

    def head_step(self, position: int) -> Step:
        """The step that gives a part's head loss."""
        own = (step for step in reversed(self.steps) if step.part == position and step.lines)
        return next(step for step in own if step.row in HEADS)

    def _first_page(self) -> set[int]:
        network = self.result.point.network
        unit = shortest_first(network, self.result.condensers)[0]
        path_name, parts = self._path(unit)
        branch = network.branches[network.condenser_part(unit.name)]
        wanted = {
            step.number
            for step in self.steps
            if step.symbol in _FIRST_PAGE.get(step.topic, ())
            and step.of in ("", unit.name, path_name, branch)
        }
        pump = network.pump_index + 1
        wanted |= {s.number for s in self.steps if s.part == pump and s.symbol == "H_pump"}
        stations = self.result.point.stations
        heads = [i for i in parts if i + 1 != pump and stations[i].head_loss > 0]
        for index in sorted(heads, key=lambda i: -stations[i].head_loss)[:_LOSSES_SHOWN]:
            behind = self.behind([self.head_step(index + 1).number])
            wanted |= {
                s.number for s in self.steps if s.number in behind and self._on_first_page(s)
            }
        droppable = [s for s in self.steps if s.number in wanted and s.symbol in _DROPPED_FIRST]
        droppable.sort(key=lambda s: (_DROPPED_FIRST.index(s.symbol), -s.number))
        return wanted - {s.number for s in droppable[: max(len(wanted) - _FIRST_PAGE_MAX, 0)]}

    def _path(self, unit: CondenserResult) -> tuple[str, tuple[int, ...]]:
        """Name and parts of a flow path from sea to sea through a unit."""
        network, flow = self.result.point.network, self.result.point.line_flow
        index = network.condenser_part(unit.name)
        paths = [path for path in water_paths(network, flow) if index in path.parts]
        return paths[0].name, paths[0].parts

    def _each_kind_once(self) -> set[int]:
        later = {place for places in self.kinds().values() for place in places[1:]}
        heads = {self.head_step(place).number for place in later}
        return {
            step.number
            for step in self.steps
            if (step.part not in later and not step.fine) or step.number in heads
        }

    def _on_first_page(self, step: Step) -> bool:
        """Whether a step belongs to a part's loss as shown on the first page."""
        if step.topic != "part" or step.fine or step.part is None:
            return False
        return self.result.point.network.parts[step.part - 1].kind != "manifold"

    def to_dict(self) -> dict[str, Any]:
        """What ``loop explain --json`` prints: the keys of ``loop schema --what explain``."""
        return to_json(self)

    def __repr__(self) -> str:
        return f"Explanation({self.result.job.title!r}: {len(self.steps)} steps)"


def numbered(steps: tuple[Step, ...], wanted: set[int]) -> tuple[Step, ...]:
    """The wanted steps, numbered from 1.

    An input from an omitted step is labeled with that step's title, unless a table stands with it.
    """
    shown = [step for step in steps if step.number in wanted]
    new_numbers = {step.number: number for number, step in enumerate(shown, start=1)}
    titles = {step.number: step.title for step in steps}
    return tuple(
        replace(
            step,
            number=new_numbers[step.number],
            lines=tuple(
                _renumbered(line, new_numbers, {} if step.rows else titles) for line in step.lines
            ),
        )
        for step in shown
    )


def _renumbered(line: Line, new_numbers: dict[int, int], titles: dict[int, str]) -> Line:
    def origin(item: Input) -> str:
        if not item.origin.startswith(STEP):
            return item.origin
        number = int(item.origin.removeprefix(STEP))
        if number in new_numbers:
            return f"{STEP}{new_numbers[number]}"
        return titles.get(number, "")

    return replace(line, inputs=tuple(replace(one, origin=origin(one)) for one in line.inputs))


class InputTable(TypedDict):
    """An input of a calculation, as printed, and where it comes from."""

    symbol: str
    text: str
    unit: str
    origin: str


class LineTable(TypedDict):
    """A calculation: ``value`` is the result that the program uses, ``text`` the same as printed.

    ``formula`` is empty if the value is read from a table or found by the solver.
    """

    symbol: str
    formula: str
    inputs: list[InputTable]
    put_in: str
    value: float
    text: str
    unit: str


class StepTable(TypedDict):
    """One step; ``part`` is the number of its part, from 1, or null if it covers the whole loop."""

    number: int
    section: str
    title: str
    topic: str
    of: str
    part: int | None
    lines: list[LineTable]
    rows: list[list[str]]
    meaning: str
    source: str
    rests_on: list[int]


class ExplainTables(Inputs):
    """Output of ``loop explain --json``: every step, in order."""

    verdict: Verdict
    steps: list[StepTable]


def to_json(explanation: Explanation) -> dict[str, Any]:
    """The keys of `ExplainTables`, as plain dicts, lists, texts and numbers; null for no number."""
    return {
        **inputs(explanation.result.job),
        "verdict": explanation.result.verdict,
        "steps": [_step(step) for step in explanation.steps],
    }


def _step(step: Step) -> dict[str, Any]:
    said = ("number", "section", "title", "topic", "of", "part", "meaning", "source")
    return {
        **{name: getattr(step, name) for name in said},
        "lines": [_line(line) for line in step.lines],
        "rows": plain(step.rows),
        "rests_on": list(step.rests_on),
    }


def _line(line: Line) -> dict[str, Any]:
    given = [table_of(InputTable, one) for one in line.inputs]
    return table_of(LineTable, line, symbol=line.equation.symbol, inputs=given, value=line.exact)
