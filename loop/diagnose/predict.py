"""Predicted readings of a loop for many changes and parameter samples at once."""

from collections.abc import Callable

import numpy as np

from loop.curve import Array
from loop.diagnose.instruments import Column, Instruments
from loop.diagnose.readings import SEA
from loop.diagnose.solved_loops import SolvedLoops, State
from loop.hydraulics import shutoff_head
from loop.margins.heat import TRIPS
from loop.margins.warming import condensing_in_loop, rise_in_loop

# Largest temperature rise of water standing in a hot condenser [K] (engineering estimate).
_HOTTEST_RISE = 25.0
# Power factor of a small AC motor (engineering estimate); 1 for DC.
POWER_FACTOR = 0.8


def predict(instruments: Instruments, state: State, exact: bool = False) -> Array:
    """Readings, shape (n, columns), in SI and °C, without instrument error.

    Losses come from the parts' tables, or with `exact` from their own functions. With no flow the
    unit is assumed to trip: temperatures stop at their upper limits.
    """
    loops = SolvedLoops(instruments, state, exact)
    values = np.empty((len(loops.pump_flow), len(instruments.columns)))
    for number, column in enumerate(instruments.columns):
        values[:, number] = PREDICTED[column.kind.name](loops, column)
    return values


def _flow(loops: SolvedLoops, column: Column) -> Array:
    """Flow of the pump, or through a unit."""
    return loops.pump_flow if column.unit < 0 else np.maximum(loops.through(column), 0.0)


def _outlet_temperature(loops: SolvedLoops, column: Column) -> Array:
    unit, before = loops.instruments.units[column.unit], loops.warmed[:, column.unit]
    off, flow = loops.exchanger(column), loops.through(column)
    rise = before + rise_in_loop(loops.instruments.network, unit, flow, loops.sea + before, off)
    return np.asarray(loops.sea + np.minimum(rise, _HOTTEST_RISE))


def _condensing_temperature(loops: SolvedLoops, column: Column) -> Array:
    unit, inlet = loops.instruments.units[column.unit], loops.sea + loops.warmed[:, column.unit]
    off, flow = loops.exchanger(column), loops.through(column)
    hot = condensing_in_loop(loops.instruments.network, unit, flow, inlet, off)
    return np.asarray(np.minimum(hot + loops.state.condensing[:, column.unit], TRIPS))


def _inlet_pressure(loops: SolvedLoops, column: Column) -> Array:
    network = loops.instruments.network
    before = network.parts[network.pump_index - 1].inner_bore
    return loops.gauge(loops.inlet, loops.pump_flow, before)


def _outlet_pressure(loops: SolvedLoops, column: Column) -> Array:
    pump = loops.instruments.network.pump
    # Pumps in parallel each have a port and share the flow.
    shared = loops.pump_flow / pump.in_parallel
    return loops.gauge(loops.inlet + loops.head, shared, pump.inner_bore)


def _shutoff_pressure(loops: SolvedLoops, column: Column) -> Array:
    network = loops.instruments.network
    shut = network.start_head + shutoff_head(network, loops.state.cases)
    return loops.gauge(shut, np.zeros(len(shut)), network.pump.inner_bore)


def _strainer_drop(loops: SolvedLoops, column: Column) -> Array:
    assert loops.instruments.strainer is not None, "the reading is not asked where there is none"
    return np.asarray(loops.weight * loops.lost[:, loops.instruments.strainer])


def _volts(loops: SolvedLoops, column: Column) -> Array:
    return np.asarray(loops.instruments.supply * loops.state.supply)


def _current(loops: SolvedLoops, column: Column) -> Array:
    factor = 1.0 if loops.instruments.network.pump.curve.drive == "dc" else POWER_FACTOR
    volts = np.maximum(_volts(loops, column), 1e-3 * loops.instruments.supply)
    return np.asarray(loops.watts * loops.state.current / (volts * factor))


# Prediction of each numeric reading, in SI and °C, shape (n,).
PREDICTED: dict[str, Callable[[SolvedLoops, Column], Array]] = {
    "flow": _flow,
    SEA: lambda loops, column: loops.sea,
    "outlet_temperature": _outlet_temperature,
    "condensing_temperature": _condensing_temperature,
    "pump_inlet_pressure": _inlet_pressure,
    "pump_outlet_pressure": _outlet_pressure,
    "strainer_drop": _strainer_drop,
    "shutoff_pressure": _shutoff_pressure,
    "supply": _volts,
    "frequency": lambda loops, column: np.asarray(
        (loops.instruments.frequency or 0.0) * loops.state.frequency
    ),
    "pump_power": lambda loops, column: loops.watts,
    "pump_current": _current,
}
