"""`loop pumps --new`: a pump file from the nameplate, or from a table of the datasheet."""

import sys
import tomllib
from collections.abc import Mapping

from loop.cli.options import console, free_place, option, write_whole
from loop.cli.output import headed, spaced
from loop.cli.typed import ask
from loop.job import JobError, file_text
from loop.pumps import PumpCurve, pump_problems
from loop.pumps.datasheet import MAX_TEXT, Datasheet, read_datasheet
from loop.pumps.doubts import closest_catalogue_pump, doubts, efficiency, remarks
from loop.pumps.writing import PUMP_QUESTIONS, answer_error, pump_tables, pump_text
from loop.units import System, bare, label
from loop.words.commands import SAY
from loop.words.help import PUMP_ANSWERS

_USUAL = {"port": "3/4 in", "self_priming": "no", "power": ""}
_OF_PLATE = ("most_flow", "most_head", "power")


def new_pump(
    file: str, given: Mapping[str, str], points: str | None, force: bool, units: System
) -> None:
    """Asks for what is missing, writes the pump file, and shows its curve beside a known pump's."""
    target = free_place(file, force)
    if target.suffix != ".toml":
        raise JobError([SAY("pump-ending", file=file)])
    sheet = None if points is None else _sheet(points)
    if sheet is None and not set(given) & set(_OF_PLATE) and sys.stdin.isatty():
        sheet = _pasted()
    answers = _answers(given, sheet is not None, target.stem)
    text = pump_text(pump_tables(answers, sheet))
    try:
        pump = PumpCurve.model_validate(tomllib.loads(text), context={"text": True})
    except ValueError as error:
        raise JobError([f"{file}: {line}" for line in pump_problems(error)]) from None
    if any(one.code == "too-efficient" and one.value > 1 for one in doubts(pump)):
        raise JobError([f"{file}: {remark}" for remark in remarks(pump)[-1:]])
    write_whole(target, text)
    out = console()
    if sheet is not None and "order" in sheet.changed:
        out.print(SAY("pump-sorted"))
    show_beside(pump, units)
    out.print(SAY("pump-written", file=file, name=target.name))


def _answers(given: Mapping[str, str], has_points: bool, stem: str) -> dict[str, str]:
    """An answer to each question: given, or asked until valid."""
    answers = dict(given)
    wrong = [(name, answer_error(name, text)) for name, text in answers.items()]
    if any(why for _, why in wrong):
        raise JobError([f"{option(name)}: {why}" for name, why in wrong if why])
    left = [
        name
        for name in PUMP_QUESTIONS
        if name not in answers and not (has_points and name in _OF_PLATE)
    ]
    if left and not sys.stdin.isatty():
        needed = [n for n in left if n not in ("name", *_USUAL) and not _spare(n, answers)]
        if needed:
            raise JobError([SAY("pump-no-terminal", options=", ".join(map(option, needed)))])
        return {"name": stem, **_USUAL, **answers}
    for name in left:
        usual = stem if name == "name" else _USUAL.get(name, "")
        while True:
            answers[name] = ask(PUMP_ANSWERS[name], usual) or usual
            why = answer_error(name, answers[name])
            if why is None:
                break
            console().print(f"  {why}")
    return answers


def _spare(name: str, answers: Mapping[str, str]) -> bool:
    """Whether this nameplate figure can be omitted, because the two others are known."""
    return name in _OF_PLATE and sum(bool(answers.get(other)) for other in _OF_PLATE) >= 2


def _sheet(path: str) -> Datasheet:
    try:
        typed = path == "-"
        return read_datasheet(
            sys.stdin.read(MAX_TEXT + 1) if typed else file_text(path, "datasheet")
        )
    except JobError:
        raise
    except ValueError as error:
        raise JobError([f"{path}: {error}"]) from None


def _pasted() -> Datasheet | None:
    """The table pasted on the terminal, or None if there is none."""
    out = console()
    while True:
        out.print(SAY("pump-paste"))
        out.print(SAY("pump-paste-none"))
        lines: list[str] = []
        while line := sys.stdin.readline().rstrip("\n"):
            lines.append(line)
        if not lines:
            return None
        try:
            return read_datasheet("\n".join(lines))
        except ValueError as error:
            out.print(SAY("pump-wrong-table", why=str(error)))


def show_beside(pump: PumpCurve, units: System) -> None:
    """Prints a curve beside that of the most similar catalogue pump, then what looks doubtful."""
    other, out = closest_catalogue_pump(pump), console()
    head, flow = label("head", units), label("flow", units)
    titles = [f"{SAY('head-flow')}\n{flow}", f"{SAY('head-head')}\n{head}", f"{other.name}\n{head}"]
    known = pump.power_curve is not None
    if known:
        titles += [f"{SAY('head-power')}\nW", f"{SAY('head-efficiency')}\n%"]
    table = headed("", *titles)
    for at in pump.points.flow:
        row = ["", bare(at, "flow", units), bare(float(pump.head(at)), "head", units)]
        row.append(bare(float(other.head(at)), "head", units))
        if known:
            row.append(bare(float(pump.power(at)), "power", units))
            row.append(f"{100 * max(float(efficiency(pump, at)), 0.0):.0f}")
        table.add_row(*row)
    out.print(spaced(table))
    for line in remarks(pump):
        out.print(line)
