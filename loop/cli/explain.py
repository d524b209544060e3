"""`loop explain`: the calculation of a loop, step by step."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from loop.cli.options import console, load_job
from loop.cli.output import headed
from loop.job import JobError
from loop.teach import Line, Step
from loop.teach import explain as worked_out
from loop.teach.fading import Faded, faded
from loop.units import System

_INTRODUCTION = (
    "Every sum here can be done on a calculator with brackets and powers; a phone's will do. "
    "8.5e-7 means 8.5 × 10⁻⁷ (the EE or EXP key), ln is the natural logarithm, sin and cos take "
    "radians. Keep each result in the memory: where a step puts in a digit more than an earlier "
    "one printed, it comes from there."
)

_MOST = 3
_MORE = {
    1: "For each kind of part in full: --level 2. For everything: --level 3.",
    2: "For every part in full: --level 3. To work some out yourself: --fade.",
}


def explain(job: str, part: str | None, level: int, fade: bool, units: System | None) -> None:
    """Show the calculation in steps: formula, numbers put in, result, source, meaning."""
    whole = worked_out(load_job(job, units))
    shown = faded(whole) if fade else Faded(whole.page(level), ())
    steps, answers = shown.steps, shown.answers
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
    if answers:
        blocks += [Text(), Text("Answers", "bold underline"), *map(Text, answers)]
    if level < _MOST and part is None and not fade:
        blocks += [Text(), Text(_MORE[level])]
    console().print(Group(*blocks))


def _step(step: Step) -> Iterator[RenderableType]:
    yield Text.assemble(f"{step.number:>3}. ", (step.title, "bold"))
    told = Text("\n").join(Text(text) for line in step.lines for text in _texts(line))
    meaning = Text(step.meaning, "italic")
    source = [Text(f"Source: {step.source}.", "dim")] if step.source else []
    lines = [*([told] if step.lines else []), meaning, *source]
    yield Padding(Text("\n").join(lines), (0, 0, 0, 5))
    if step.rows:
        table = headed("", "", "")
        table.show_header = False
        for row in step.rows:
            table.add_row(*row)
        yield Padding(table, (0, 0, 0, 5))


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
