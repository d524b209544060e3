"""`loop explain`: the whole reckoning of a loop, step by step."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from loop.cli.options import console, load_job
from loop.job import JobError
from loop.teach import Line, Step
from loop.teach import explain as worked_out
from loop.units import System

_INTRODUCTION = (
    "Every sum here can be done on a calculator with brackets and powers; a phone's will do. "
    "8.5e-7 means 8.5 × 10⁻⁷ (the EE or EXP key), ln is the natural logarithm, sin and cos take "
    "radians. Keep each result in the memory: where a step puts in a digit more than an earlier "
    "one printed, it comes from there."
)


def explain(job: str, part: str | None, units: System | None) -> None:
    """Show the whole reckoning in steps: formula, numbers put in, result, source, meaning."""
    whole = worked_out(load_job(job, units))
    steps = whole.steps
    if part is not None:
        try:
            steps = whole.of_part(part.strip())
        except LookupError as error:
            raise JobError([f"--part: {error}"]) from None
    blocks: list[RenderableType] = [
        Text(f"{whole.result.job.title}, worked out", "bold"),
        Text(_INTRODUCTION),
    ]
    section = ""
    for step in steps:
        if step.section != section:
            section = step.section
            blocks += [Text(), Text(section, "bold underline")]
        blocks += _step(step)
    console().print(Group(*blocks))


def _step(step: Step) -> Iterator[RenderableType]:
    yield Text.assemble(f"{step.number:>3}. ", (step.title, "bold"))
    told = Text("\n").join(Text(text) for line in step.lines for text in _texts(line))
    meaning = Text(step.meaning, "italic")
    source = [Text(f"Source: {step.source}.", "dim")] if step.source else []
    lines = [*([told] if step.lines else []), meaning, *source]
    yield Padding(Text("\n").join(lines), (0, 0, 0, 5))


def _texts(line: Line) -> list[str]:
    """A sum as lines of text."""
    symbol = line.sum_.symbol
    if line.sum_.conversion:
        given = line.inputs[0]
        return [f"{symbol}: {given.shown} is {line.put_in} = {line.answer}"]
    inputs = "; ".join(
        f"{item.symbol} = {item.shown}" + (f" ({item.origin})" if item.origin else "")
        for item in line.inputs
    )
    if not line.sum_.formula:
        return [f"{symbol} = {line.answer}", *([f"at {inputs}"] if inputs else [])]
    return [
        f"{symbol} = {line.formula}",
        f"with {inputs}",
        f"{symbol} = {line.put_in} = {line.answer}",
    ]
