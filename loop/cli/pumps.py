"""`loop pumps`: the catalogue, or a pump file checked."""

import json
from pathlib import Path
from typing import Annotated, Any, Literal

import typer
from rich.table import Table

from loop.cli.options import JsonOption, complain, console, user_errors
from loop.pumps import PumpCurve, catalogue, load_pump, pump_problems, read_pump
from loop.units import show


@user_errors
def pumps(
    files: Annotated[
        list[str] | None,
        typer.Argument(metavar="[PUMP]...", help="Pump files to check, or catalogue names."),
    ] = None,
    units: Annotated[Literal["us", "si"], typer.Option("--units", help="Units to show.")] = "us",
    as_json: JsonOption = False,
) -> None:
    """List the pump catalogue, or check pump files and show their curves.

    Example:  loop pumps demo-ac-350 my-pump.toml
    """
    found, wrong = _read(files or [])
    for line in wrong:
        complain(line)
    if wrong:
        raise typer.Exit(2)
    if as_json:
        shown = found or [load_pump(name) for name in catalogue()]
        print(json.dumps([_table(pump) for pump in shown], indent=2))
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


def _table(pump: PumpCurve) -> dict[str, Any]:
    """A pump as JSON: SI, at rated supply."""
    curve = pump.curve
    return {
        "name": pump.name,
        "note": pump.note,
        "drive": pump.drive,
        "rated_supply": pump.rated_supply,
        "rated_frequency": pump.rated_frequency,
        "self_priming": pump.self_priming,
        "port": pump.port,
        "flow": curve.flow.si("flow", "flow"),
        "head": curve.head.si("length", "head"),
        "power": curve.power and curve.power.si("power", "power"),
        "npsh_required": curve.npsh_required and curve.npsh_required.si("length", "npsh"),
    }


def _supply(pump: PumpCurve) -> str:
    volts = show(pump.rated_supply, "voltage", "us", 0)
    if pump.rated_frequency is None:
        return f"{volts} DC"
    return f"{volts} {show(pump.rated_frequency, 'frequency', 'us')}"


def _print_catalogue(units: Literal["us", "si"]) -> None:
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    for name in ("pump", "supply", "shut-off", "most", "port", "primes"):
        table.add_column(name, justify="left" if name in ("pump", "supply") else "right")
    for name in catalogue():
        pump = load_pump(name)
        table.add_row(
            name,
            _supply(pump),
            show(pump.shutoff_head, "head", units),
            show(pump.last_flow, "flow", units),
            show(pump.port, "bore", units),
            "itself" if pump.self_priming else "",
        )
    out = console()
    out.print(table)
    out.print("\nAll invented for the examples; none is a real pump.")


def _print_curve(pump: PumpCurve, units: Literal["us", "si"]) -> None:
    curve = pump.curve
    out = console()
    primes = ", self-priming" if pump.self_priming else ""
    out.print(f"{pump.name}: {_supply(pump)}, {show(pump.port, 'bore', units)} port{primes}")
    if pump.note:
        out.print(pump.note)
    columns = [("flow", "flow", curve.flow.si("flow", "flow"))]
    columns.append(("head", "head", curve.head.si("length", "head")))
    if curve.power is not None:
        columns.append(("power", "power", curve.power.si("power", "power")))
    if curve.npsh_required is not None:
        columns.append(("NPSH required", "head", curve.npsh_required.si("length", "npsh")))
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    for title, _, _ in columns:
        table.add_column(title, justify="right")
    for row in zip(*(values for _, _, values in columns), strict=True):
        shown = zip(row, columns, strict=True)
        table.add_row(*(show(value, kind, units) for value, (_, kind, _) in shown))
    out.print(table)
    out.print()
