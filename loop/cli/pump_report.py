"""A pump's curve as `loop pumps` shows it, with remarks for the reader."""

from loop.cli.options import console
from loop.cli.output import headed, spaced
from loop.pumps import PumpCurve
from loop.pumps.doubts import closest_catalogue_pump, efficiency, remarks
from loop.units import System, bare, label
from loop.words.commands import SAY


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
