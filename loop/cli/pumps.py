"""`loop pumps`: the catalogue, or a pump file checked."""

from pathlib import Path
from typing import Annotated

import typer
from typing_extensions import TypedDict

from loop.cli.options import (
    JsonOption,
    console,
    print_json,
    pump_names,
    user_errors,
)
from loop.cli.output import bare, headed, spaced
from loop.cli.pump_questions import new_pump, remarks
from loop.cli.streams import complain
from loop.job import JobError
from loop.job.inputs import program_version
from loop.pumps import PumpCurve, catalogue, load_pump, pump_problems, read_pump
from loop.pumps.writing import PUMP_QUESTIONS
from loop.units import System, label, show


class PumpTable(TypedDict):
    """A pump as JSON: SI, at rated supply; null where its file does not state it."""

    name: str
    note: str
    drive: str
    rated_supply: float
    rated_frequency: float | None
    self_priming: bool
    port: float
    nameplate: bool
    supply_range: tuple[float, float] | None
    frequencies: tuple[float, ...]
    flow: tuple[float, ...]
    head: tuple[float, ...]
    power: tuple[float, ...] | None
    npsh_required: tuple[float, ...] | None


class PumpTables(TypedDict):
    """What `loop pumps --json` prints: the program's version, and the pumps."""

    loop: str
    pumps: list[PumpTable]


def _answer(name: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(
        metavar="TEXT", help=f"With --new: {PUMP_QUESTIONS[name]}.", show_default=False
    )
    return option


@user_errors
def pumps(
    files: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[PUMP]...",
            help="Pump files to check, or catalogue names.",
            autocompletion=pump_names,
        ),
    ] = None,
    units: Annotated[System, typer.Option("--units", help="Units to show.")] = "us",
    as_json: JsonOption = False,
    new: Annotated[
        str | None,
        typer.Option("--new", metavar="FILE", help="Write a pump file: asks what it needs."),
    ] = None,
    points: Annotated[
        str | None,
        typer.Option(metavar="CSV", help="With --new: table of a datasheet; - for standard input."),
    ] = None,
    name: Annotated[str | None, _answer("name")] = None,
    runs_on: Annotated[str | None, _answer("runs_on")] = None,
    port: Annotated[str | None, _answer("port")] = None,
    self_priming: Annotated[str | None, _answer("self_priming")] = None,
    most_flow: Annotated[str | None, _answer("most_flow")] = None,
    most_head: Annotated[str | None, _answer("most_head")] = None,
    power: Annotated[str | None, _answer("power")] = None,
    force: Annotated[bool, typer.Option("--force", help="With --new: write over a file.")] = False,
) -> None:
    """List the pump catalogue, check pump files and show their curves, or write one.

    Example:  loop pumps demo-ac-350 my-pump.toml
    """
    given = {key: text for key, text in locals().items() if key in PUMP_QUESTIONS and text}
    if new is not None:
        new_pump(new, given, points, force, units)
        return
    if given or points:
        raise JobError(["answers and --points go with --new FILE"])
    found, wrong = _read(files or [])
    for line in wrong:
        complain(line)
    if wrong:
        raise typer.Exit(2)
    if as_json:
        shown = found or [load_pump(name) for name in catalogue()]
        tables: PumpTables = {"loop": program_version(), "pumps": [_table(p) for p in shown]}
        print_json(tables)
    elif found:
        for pump in found:
            _print_curve(pump, units)
    else:
        _print_catalogue(units)


def _read(files: list[str]) -> tuple[list[PumpCurve], list[str]]:
    """Pumps that could be read, and every mistake in those that could not."""
    found: list[PumpCurve] = []
    wrong: list[str] = []
    for name in files:
        try:
            is_file = name.endswith(".toml") or Path(name).exists()
            found.append(read_pump(name) if is_file else load_pump(name))
        except LookupError as error:
            wrong.append(str(error.args[0]))
        except OSError as error:
            wrong.append(f"{name}: cannot be read: {error.strerror or error}")
        except ValueError as error:
            wrong += [f"{name}: {line}" for line in pump_problems(error)]
    return found, wrong


def _table(pump: PumpCurve) -> PumpTable:
    points = pump.points
    return {
        "name": pump.name,
        "note": pump.note,
        "drive": pump.drive,
        "rated_supply": pump.rated_supply,
        "rated_frequency": pump.rated_frequency,
        "self_priming": pump.self_priming,
        "port": pump.port,
        "nameplate": pump.nameplate,
        "supply_range": pump.supply_range,
        "frequencies": pump.frequencies,
        "flow": tuple(points.flow.tolist()),
        "head": tuple(points.head.tolist()),
        "power": None if points.power is None else tuple(points.power.tolist()),
        "npsh_required": None
        if points.npsh_required is None
        else tuple(points.npsh_required.tolist()),
    }


def _supply(pump: PumpCurve) -> str:
    volts = show(pump.rated_supply, "voltage", "us", 0)
    if pump.rated_frequency is None:
        return f"{volts} DC"
    return f"{volts} {show(pump.rated_frequency, 'frequency', 'us')}"


def _print_catalogue(units: System) -> None:
    head, flow, port = (label(quantity, units) for quantity in ("head", "flow", "bore"))
    columns = (f"shut-\noff {head}", f"most\n{flow}", f"port\n{port}", "self-\nprimes")
    table = headed("Pump", "runs on", *columns)
    for name in catalogue():
        pump = load_pump(name)
        table.add_row(
            name,
            _supply(pump),
            bare(pump.shutoff_head, "head", units),
            bare(pump.last_flow, "flow", units),
            bare(pump.port, "bore", units),
            "yes" if pump.self_priming else "no",
        )
    out = console()
    out.print(spaced(table))
    out.print("All invented for the examples; none is a real pump.")


def _print_curve(pump: PumpCurve, units: System) -> None:
    points = pump.points
    out = console()
    primes = ", self-priming" if pump.self_priming else ""
    out.print(f"{pump.name}: {_supply(pump)}, {show(pump.port, 'bore', units)} port{primes}")
    if pump.note:
        out.print(pump.note)
    every = [
        ("flow", "flow", points.flow),
        ("head", "head", points.head),
        ("power", "power", points.power),
        ("NPSH needed", "head", points.npsh_required),
    ]
    rows = [(name, quantity, values) for name, quantity, values in every if values is not None]
    table = headed("", *(f"{name}\n{label(quantity, units)}" for name, quantity, _ in rows))
    for point in zip(*(values for _, _, values in rows), strict=True):
        numbers = zip(point, rows, strict=True)
        table.add_row("", *(bare(value, quantity, units) for value, (_, quantity, _) in numbers))
    out.print(spaced(table))
    for line in remarks(pump):
        out.print(line)
