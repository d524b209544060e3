"""`loop explain`: the calculation of a loop, step by step."""

from collections.abc import Iterator
from dataclasses import replace

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.text import Text

from loop.cli.check import verdict_lines
from loop.cli.options import console, load_job, print_json
from loop.cli.output import headed
from loop.job import JobError
from loop.teach import Explanation, Line, Step
from loop.teach import explain as worked_out
from loop.teach.fading import Faded, faded
from loop.units import System
from loop.words.course import SAY
from loop.words.guesses import guesses_sentence

_MOST = 3
_MORE = {1: "explain-more-1", 2: "explain-more-2"}


def explain(
    job: str, part: str | None, level: int | None, fade: bool, units: System | None, as_json: bool
) -> None:
    """Show the calculation in steps: formula, numbers, result, source, meaning."""
    if as_json and fade:
        raise JobError([SAY("explain-fade-json")])
    level = level or (_MOST if as_json else 1)
    whole = worked_out(load_job(job, units))
    try:
        shown = _shown(whole, part and part.strip(), level, fade)
    except LookupError as error:
        raise JobError([f"--part: {error}"]) from None
    if as_json:
        print_json(replace(whole, steps=shown.steps).to_dict())
        return
    blocks: list[RenderableType] = [
        Text(SAY("explain-title", job=whole.result.job.title), "bold"),
        *([*verdict_lines(whole.result, "more-in-check"), Text()] if part is None else []),
        Text(SAY("explain-how")),
        *map(Text, filter(None, [guesses_sentence(whole.result.job)])),
    ]
    section = ""
    for step in shown.steps:
        if step.section != section:
            section = step.section
            blocks += [Text(), Text(section, "bold underline")]
        blocks += _step(step)
    if shown.answers:
        title = Text(SAY("explain-answers"), "bold underline")
        blocks += [Text(), title, *map(Text, shown.answers)]
    if level < _MOST and part is None and not fade:
        blocks += [Text(), Text(SAY(_MORE[level]))]
    console().print(Group(*blocks))


def _shown(whole: Explanation, part: str | None, level: int, fade: bool) -> Faded:
    if fade:
        return faded(whole, part)
    return Faded(whole.page(level) if part is None else whole.of_part(part), ())


def _step(step: Step) -> Iterator[RenderableType]:
    yield Text.assemble(f"{step.number:>3}. ", (step.title, "bold"))
    told = Text("\n").join(Text(text) for line in step.lines for text in _texts(line))
    meaning = Text(step.meaning, "italic")
    source = [Text(SAY("explain-source", source=step.source), "dim")] if step.source else []
    lines = [*([told] if step.lines else []), meaning, *source]
    yield Padding(Text("\n").join(lines), (0, 0, 0, 5))
    if step.rows:
        table = headed("", "", "")
        table.show_header = False
        for row in step.rows:
            table.add_row(*row)
        yield Padding(table, (0, 0, 0, 5))


def _texts(line: Line) -> list[str]:
    """One calculation as lines of text."""
    symbol = line.equation.symbol
    if line.equation.conversion:
        given, put_in = line.inputs[0].shown, line.put_in
        said = SAY("explain-is", symbol=symbol, given=given, put_in=put_in, answer=line.answer)
        return [said]
    inputs = "; ".join(
        f"{item.symbol} = {item.shown}" + (f" ({item.origin})" if item.origin else "")
        for item in line.inputs
    )
    if not line.equation.formula:
        return [
            f"{symbol} = {line.answer}",
            *([SAY("explain-at", inputs=inputs)] if inputs else []),
        ]
    return [
        f"{symbol} = {line.formula}",
        SAY("explain-with", inputs=inputs),
        f"{symbol} = {line.put_in} = {line.answer}",
    ]
