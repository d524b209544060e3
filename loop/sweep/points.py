"""Arrays for the answers at many points, and the functions that fill them."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from loop.air.priming_head import weakest_share
from loop.answers import Answer, plain
from loop.curve import Array
from loop.hydraulics import InstalledPump, Network
from loop.job import Job
from loop.margins.heat import runs_on, water_rise
from loop.margins.warming import condensing_in_loop, inlet_rises
from loop.parts.friction import ROUNDING
from loop.records import dataclass
from loop.words.commands import SAY
from loop.words.guesses import guesses_sentence

# What is reported of the loop and of each unit, and the quantity of each.
LOOP_ARRAYS = {
    "total_flow": "flow", "head": "head", "power": "power", "settled": "", "past_curve": "",
    "starts": "", "intake_dry": "", "wrong_supply": "",
}  # fmt: skip
UNIT_ARRAYS = {
    "flow": "flow",
    "needed_flow": "flow",
    "inlet_temperature": "temperature",
    "temperature_rise": "temperature_difference",
    "condensing_temperature": "temperature",
}
_DTYPES = {name: bool for name, kind in LOOP_ARRAYS.items() if not kind}
SI = {
    "flow": "m3/s",
    "head": "m",
    "power": "W",
    "temperature": "degC",
    "temperature_difference": "K",
}


# The physical unit of each array that has one.
QUANTITIES = {name: SI[kind] for name, kind in (LOOP_ARRAYS | UNIT_ARRAYS).items() if kind}


@dataclass(frozen=True)
class Points:
    """Answers at many points, in SI and °C; in arrays of the units the last axis is the unit.

    flow, needed_flow [m³/s], inlet_temperature, temperature_rise [K] and condensing_temperature of
    each unit, the last two NaN where it trips (over 60 °C, `loop.margins.heat.TRIPS`); total_flow
    [m³/s], head [m] and power [W, NaN if the pump's file does not state it] of the pump; settled,
    whether the solution converged; past_curve, whether the flow is beyond the pump's last measured
    point; starts, whether the loop primes by itself as it stands (if not, all flows are those once
    primed); intake_dry, whether the intake comes out of the water when the boat heels, trims or
    pitches as the job states; wrong_supply, whether the pump is not made for its supply (the flow
    is what it would give if it ran).
    """

    flow: Array
    needed_flow: Array
    inlet_temperature: Array
    temperature_rise: Array
    condensing_temperature: Array
    total_flow: Array
    head: Array
    power: Array
    settled: NDArray[np.bool_]
    past_curve: NDArray[np.bool_]
    starts: NDArray[np.bool_]
    intake_dry: NDArray[np.bool_]
    wrong_supply: NDArray[np.bool_]

    @property
    def warnings(self) -> list[str]:
        """Reasons not to take the flows at face value, in words; empty if there are none."""
        count = self.head.size
        rows = {
            "points-not-started": ~self.starts,
            "points-intake-dry": self.intake_dry,
            "points-wrong-supply": self.wrong_supply,
        }
        return [
            SAY(row, some=None if affected.all() else f"{affected.sum():,}", count=f"{count:,}")
            for row, affected in rows.items()
            if affected.any()
        ]


@dataclass(frozen=True)
class JobPoints(Points, Answer):
    """The points of one job."""

    job: Job

    @property
    def notes(self) -> list[str]:
        """What to know before using the numbers: loops that do not start, guesses in the job."""
        said = guesses_sentence(self.job)
        return [*self.warnings, said] if said else self.warnings

    def _tables(self) -> dict[str, Any]:
        """The arrays as nested lists, None for no number; their physical units, and `notes`."""
        arrays = {
            name: plain(getattr(self, name).tolist()) for name in (*LOOP_ARRAYS, *UNIT_ARRAYS)
        }
        return {"quantities": dict(QUANTITIES), **arrays, "notes": self.notes}


def empty_points(points: int, units: int) -> Points:
    """Empty arrays for so many points of a loop with so many units."""
    of_unit: dict[str, Any] = {name: np.empty((points, units)) for name in UNIT_ARRAYS}
    of_loop: dict[str, Any] = {
        name: np.empty(points, dtype=_DTYPES.get(name, float)) for name in LOOP_ARRAYS
    }
    return Points(**of_unit, **of_loop)


def write_pump(
    answer: Points, rows: NDArray[np.intp] | slice, pump: InstalledPump, flow: Array
) -> None:
    """Write the pump's flow [m³/s], and what follows from it, into these rows."""
    answer.total_flow[rows] = flow
    answer.power[rows] = pump.power_at(flow)
    answer.past_curve[rows] = pump.past_curve(flow)


def write_starts(
    answer: Points,
    rows: NDArray[np.intp] | slice,
    pump: InstalledPump,
    lowest: float | None,
    needed: ArrayLike,
) -> None:
    """Write whether the pump, on the given lowest supply [V], has the priming head `needed` [m]."""
    fleet = pump.case_pumps
    speed_share = (
        weakest_share(pump.pump, lowest)
        if fleet is None
        else fleet.per_case(lambda one: weakest_share(one, lowest))
    )
    answer.starts[rows] = np.asarray(needed) <= pump.shutoff_head * speed_share**2 + ROUNDING


def write_heat(
    answer: Points, rows: NDArray[np.intp] | slice, network: Network, line_flow: Array
) -> None:
    """Write each unit's flow and the resulting temperatures into these rows.

    `line_flow`: shape (n, lines) [m³/s].
    """
    sea = network.job.water.temperature
    inlets = sea + inlet_rises(network, line_flow, np.full(len(line_flow), sea))
    for column, unit in enumerate(network.job.condenser):
        own_flow = line_flow[:, network.unit_line(unit.name)]
        inlet = inlets[:, column]
        answer.flow[rows, column] = own_flow
        answer.needed_flow[rows, column] = unit.needed_flow
        answer.inlet_temperature[rows, column] = inlet
        rise = water_rise(unit.rejected_heat, own_flow, network.water)
        condensing = condensing_in_loop(network, unit, own_flow, inlet)
        answer.temperature_rise[rows, column] = np.where(runs_on(condensing), rise, np.nan)
        answer.condensing_temperature[rows, column] = np.where(
            runs_on(condensing), condensing, np.nan
        )
