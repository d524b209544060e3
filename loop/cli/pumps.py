"""`loop pumps`: the catalogue, or a check of a pump file."""

from pathlib import Path
from typing import Any

import typer
from typing_extensions import TypedDict

from loop.answers import table_of
from loop.cli.options import console, print_json
from loop.cli.output import fitted, headed, spaced
from loop.cli.streams import complain
from loop.mistakes import JobError
from loop.pumps import PumpCurve, catalogue, load_pump, read_pump
from loop.pumps.doubts import remarks
from loop.units import System, bare, label, show
from loop.version import program_version
from loop.wrong import wrong


class PumpTable(TypedDict):
    """A pump in SI units at its rated supply; null for what its file does not state."""

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
    """Output of ``loop pumps --json``: the program's version, and the pumps."""

    loop: str
    pumps: list[PumpTable]


def pumps(
    files: list[str] | None,
    units: System,
    as_json: bool,
    new: str | None,
    points: str | None,
    force: bool,
    **answers: str | None,
) -> None:
    """List the pump catalog, check pump files and show their curves, or write one."""
    given = {name: text for name, text in answers.items() if text}
    if new is not None:
        from loop.cli.pump_questions import new_pump

        new_pump(new, given, points, force, units)
        return
    if given or points:
        complain(wrong("pump-answers-alone"))
        raise typer.Exit(2)
    found, mistakes = _read(files or [])
    for line in mistakes:
        complain(line)
    if mistakes:
        raise typer.Exit(2)
    if as_json:
        shown = found or [load_pump(name) for name in catalogue()]
        print_json({"loop": program_version(), "pumps": [_table(pump) for pump in shown]})
    elif found:
        for pump in found:
            _print_curve(pump, units)
    else:
        _print_catalogue(units)


def _read(files: list[str]) -> tuple[list[PumpCurve], list[str]]:
    """Pumps that could be read, and every mistake in the others."""
    found: list[PumpCurve] = []
    mistakes: list[str] = []
    for name in files:
        try:
            is_file = name.endswith(".toml") or Path(name).exists()
            found.append(read_pump(name) if is_file else load_pump(name))
        except LookupError as error:
            mistakes.append(str(error.args[0]))
        except JobError as error:
            mistakes += error.problems
    return found, mistakes


def _table(pump: PumpCurve) -> dict[str, Any]:
    points = pump.points
    columns = {key: getattr(points, key) for key in ("flow", "head", "power", "npsh_required")}
    return table_of(
        PumpTable,
        pump,
        **{key: None if one is None else one.tolist() for key, one in columns.items()},
    )


def _supply(pump: PumpCurve) -> str:
    volts = show(pump.rated_supply, "voltage", "us", 0)
    if pump.rated_frequency is None:
        return f"{volts} DC"
    return f"{volts} {show(pump.rated_frequency, 'frequency', 'us')}"


def _print_catalogue(units: System) -> None:
    head, flow, port = (label(quantity, units) for quantity in ("head", "flow", "bore"))
    columns = (f"shut-\noff\n{head}", f"most\n{flow}", f"port\n{port}", "self-\nprimes")
    table = headed("Pump", "runs on", *columns)
    pumps = (load_pump(name) for name in catalogue())
    for pump in sorted(pumps, key=lambda one: (one.drive, one.rated_supply, one.shutoff_head)):
        table.add_row(
            pump.name,
            _supply(pump),
            bare(pump.shutoff_head, "head", units),
            bare(pump.last_flow, "flow", units),
            bare(pump.port, "bore", units),
            "yes" if pump.self_priming else "no",
        )
    out = console()
    out.print(spaced(fitted(table, out.width)))
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
