"""An explanation that fades: fully worked, then with blanks, then as a question."""

from dataclasses import replace

from loop.records import dataclass
from loop.teach.explanation import Explanation, numbered
from loop.teach.step import BLANK, STEP, Input, Step
from loop.words.course import SAY


@dataclass(frozen=True)
class Faded:
    """Steps with results left out, and the answers."""

    steps: tuple[Step, ...]
    answers: tuple[str, ...]


def faded(explanation: Explanation, part: int | str | None = None) -> Faded:
    """The first part of a kind in full, the next with blanks, the last of three or more asked.

    Everything else is as at level 2. With `part`, only that part and the steps it depends on;
    LookupError as `Explanation.of_part`.
    """
    blank: set[int] = set()
    asked: set[int] = set()
    for places in explanation.kinds().values():
        last = places[-1:] if len(places) > 2 else []
        asked.update(last)
        blank.update(place for place in places[1:] if place not in last)
    heads = {explanation.head_step(place).number for place in asked}
    coarse = (step for step in explanation.steps if not step.fine)
    wanted = {step.number for step in coarse if step.part not in asked or step.number in heads}
    if part is not None:
        wanted &= {step.number for step in explanation.of_part(part)}
    shown = numbered(explanation.steps, wanted)
    left_out = {f"{STEP}{step.number}" for step in shown if step.part in blank}
    steps, answers = [], []
    for step in shown:
        if step.part not in blank | asked or not step.lines:
            steps.append(step)
            continue
        answers.append(f"{step.number}. {step.title}: {_results(step)}")
        steps.append(
            _as_question(explanation, step) if step.part in asked else _with_blanks(step, left_out)
        )
    return Faded(tuple(steps), tuple(answers))


def _results(step: Step) -> str:
    return ", ".join(
        f"{ln.equation.symbol} = {ln.answer}" for ln in step.lines if not _is_conversion(step, ln)
    )


def _is_conversion(step: Step, line: object) -> bool:
    """Whether a line only converts a figure of the job to SI."""
    first = next(i for i, ln in enumerate(step.lines) if not ln.equation.conversion)
    return line in step.lines[:first]


def _with_blanks(step: Step, left_out: set[str]) -> Step:
    """A step without its result, and without inputs whose results were left out before."""
    first = next(i for i, line in enumerate(step.lines) if not line.equation.conversion)
    conversions, (equation, *_) = step.lines[:first], step.lines[first:]
    hidden = {item.symbol for item in equation.inputs if item.origin in left_out} | {step.symbol}
    inputs = tuple(
        replace(item, text=BLANK) if item.symbol in hidden else item for item in equation.inputs
    )
    return replace(
        step, lines=(*conversions, replace(equation, inputs=inputs, blank=True)), rows=()
    )


def _as_question(explanation: Explanation, step: Step) -> Step:
    """The last part of a kind as a question: its own figures, and nothing worked out."""
    behind = explanation.behind([explanation.head_step(step.part or 0).number])
    lines = [ln for one in explanation.steps if one.number in behind for ln in one.lines]
    facts: dict[str, Input] = {}
    for line in lines:
        facts |= {
            item.symbol: item
            for item in line.inputs
            if not line.equation.conversion and (item.symbol == "Q" or not _is_result(item))
        }
    known = "; ".join(f"{item.symbol} = {item.shown}" for item in facts.values())
    return replace(
        step,
        title=f"{step.title}?",
        lines=(),
        source="",
        meaning=SAY("explain-fade", known=known),
    )


def _is_result(item: Input) -> bool:
    """Whether a figure is another step's result, or a constant of a relation."""
    return item.origin.startswith(STEP) or item.symbol in ("g", "f")
