"""An explanation that leaves more and more to the reader: worked, with blanks, as a question."""

from dataclasses import replace

from loop.records import dataclass
from loop.teach.explanation import Explanation, numbered
from loop.teach.step import STEP, Input, Step


@dataclass(frozen=True)
class Faded:
    """Steps in which results are left out, and the answers that stand behind them."""

    steps: tuple[Step, ...]
    answers: tuple[str, ...]


def faded(explanation: Explanation) -> Faded:
    """The first part of a kind in full, the next with blanks, the last of three or more asked.

    Everything else is as at level 2.
    """
    blank: set[int] = set()
    ask: set[int] = set()
    for places in explanation.kinds().values():
        last = places[-1:] if len(places) > 2 else []
        ask.update(last)
        blank.update(place for place in places[1:] if place not in last)
    heads = {explanation.head_step(place).number for place in ask}
    wanted = {s.number for s in explanation.steps if s.part not in ask or s.number in heads}
    steps, answers = [], []
    for step in numbered(explanation.steps, wanted):
        if step.part not in blank | ask or not step.lines:
            steps.append(step)
            continue
        answers.append(f"{step.number}. {step.title}: {_answers(step)}")
        steps.append(_asked(explanation, step) if step.part in ask else _blanked(step))
    return Faded(tuple(steps), tuple(answers))


def _answers(step: Step) -> str:
    return ", ".join(f"{ln.sum_.symbol} = {ln.answer}" for ln in step.lines if not _given(step, ln))


def _given(step: Step, line: object) -> bool:
    """Whether a line only turns a figure of the job into SI units."""
    own = next(i for i, ln in enumerate(step.lines) if not ln.sum_.conversion)
    return line in step.lines[:own]


def _blanked(step: Step) -> Step:
    lines = (ln if _given(step, ln) else replace(ln, blank=True) for ln in step.lines)
    return replace(step, lines=tuple(lines), rows=())


def _asked(explanation: Explanation, step: Step) -> Step:
    """The last part of a kind, as a question: its own figures, and nothing worked out."""
    behind = explanation.behind([explanation.head_step(step.part or 0).number])
    lines = [ln for one in explanation.steps if one.number in behind for ln in one.lines]
    facts: dict[str, Input] = {}
    for line in lines:
        facts |= {
            item.symbol: item
            for item in line.inputs
            if not line.sum_.conversion and (item.symbol == "Q" or not _found(item))
        }
    told = "; ".join(f"{item.symbol} = {item.shown}" for item in facts.values())
    return replace(
        step,
        title=f"{step.title}?",
        lines=(),
        source="",
        meaning=f"Work it out as for the first of its kind, with {told}.",
    )


def _found(item: Input) -> bool:
    """Whether a figure is another step's result, or the constant of a relation."""
    return item.origin.startswith(STEP) or item.symbol in ("g", "f")
