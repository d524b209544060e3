"""Loops without hoses: every loss is quadratic in flow, so that results follow by hand."""

from collections.abc import Mapping

from loop.job import Job, parse_job
from loop.parts import Seacock
from loop.parts.seacock import opening_at
from tests.loops import Table

INCH = 0.0254
GALLONS = 231 * INCH**3 / 3600  # gal/h in m³/s


def valve(angle: float = 0.0, **more: object) -> Table:
    """A ball valve with its handle at an angle [deg] from fully open."""
    return {"kind": "seacock", "open": f"{100 * opening_at(angle):.12g} %", **more}


def seacock(bore: float, angle: float, port: float | None = None) -> Seacock:
    """A ball valve of a bore [m] with its handle at an angle [deg] from fully open."""
    return Seacock(bore=bore, port=port, open=opening_at(angle))


def unit(name: str) -> Table:
    """A condenser with quadratic loss: 1 psi at 200 gal/h."""
    loss = ["0.25 psi at 100 gal/h", "1 psi at 200 gal/h"]
    return {"kind": "condenser", "serves": name, "loss": loss}


def way(name: str, k: float = 5.0, *more: Table, units: tuple[str, ...] = ()) -> Table:
    """A branch: a fitting with K, the units (one of its own name if none), and more parts."""
    served = [unit(each) for each in units or (name,)]
    return {"name": f"to {name}", "part": [{"kind": "fitting", "k": k}, *more, *served]}


def bypass(k: float, *more: Table) -> Table:
    """A branch without a unit."""
    return {"name": "round", "part": [{"kind": "fitting", "k": k}, *more]}


def square_job(
    needs: Mapping[str, float],
    ways: list[Table],
    pump: str = "demo-ac-700",
    *main: Table,
) -> Job:
    """A pump and a 2 in header with these branches of 1/2 in bore; needs in gal/h."""
    wide: Table = {"bore": "2 in"}
    return parse_job(
        {
            "water": {"temperature": "75 degF"},
            "defaults": {"bore": "1/2 in"},
            "condenser": [
                {"name": name, "cooling": "9000 BTU/h", "flow_needed": f"{need} gal/h"}
                for name, need in needs.items()
            ],
            "part": [
                {"kind": "intake", "height": "-16 in", **wide},
                {"kind": "pump", "curve": pump, "bore": "1 in"},
                *(main or ({"kind": "fitting", "k": 1.0, **wide},)),
                *([{"kind": "manifold", "branch": ways, **wide}] if ways else ()),
                {"kind": "discharge", "height": "-16 in", **wide},
            ],
        }
    )
