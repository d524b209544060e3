"""The steps of the heat: how much the water warms, and where the unit condenses."""

import math
from collections.abc import Mapping

from loop.check import CondenserResult
from loop.job import Unit
from loop.margins.heat import (
    FILM_EXPONENT,
    TRIPS,
    WATER_SHARE,
    conductance,
    fouling_of,
    rated_conductance,
    water_rise,
)
from loop.teach.arriving import Arriving
from loop.teach.ledger import Notes
from loop.teach.reckoning import Reckoning
from loop.teach.step import Sum, Value
from loop.units import show

_KAYS = "effectiveness-NTU, Kays & London, Compact Heat Exchangers"
_TRIPPED = "engineering estimate: past it a unit trips, and adds no heat"


def heat_steps(reckoning: Reckoning, needs: Mapping[str, tuple[Value, Value]]) -> None:
    """Rise, outlet temperature, NTU and condensing temperature of each unit.

    `needs` are the needed flow and the rejected heat of each. A unit whose water another has
    warmed comes after that one, unless water goes round between the two.
    """
    arriving = Arriving(reckoning)
    waiting = list(reckoning.result.condensers)
    while waiting:
        names = {unit.name for unit in waiting}
        ready = (unit for unit in waiting if not names.intersection(unit.warmed_by))
        found = next(ready, waiting[0])
        waiting.remove(found)
        reckoning.ledger.begin(f"Heat at the {found.name} unit", "heat", of=found.name)
        if found.flow == 0:
            reckoning.ledger.remark(
                "No water, no cooling", "With no flow the unit trips on high pressure."
            )
        else:
            _unit_steps(reckoning, found, arriving, needs[found.name])


def _unit_steps(
    reckoning: Reckoning, found: CondenserResult, arriving: Arriving, need: tuple[Value, Value]
) -> None:
    ledger, network = reckoning.ledger, reckoning.network
    needed, heat = need
    unit = reckoning.job.unit(found.name)
    flow = reckoning.flow(network.condenser_part(unit.name))
    inlet = arriving.at(found)
    stream = _stream(reckoning, flow, "w", "Heat that the stream carries per kelvin")
    given_off = _given_off(reckoning, unit, found, heat)
    rise = ledger.own_step(
        "How much the water warms",
        Sum("ΔT", "q / w", {"q": given_off, "w": stream}),
        found.temperature_rise,
        "temperature_difference",
        Notes("heat balance", "Two thermometers show this: half the flow doubles it."),
    )
    outlet = ledger.own_step(
        arriving.leaves(found),
        Sum("T_out", "T_in + ΔT", {"T_in": inlet, "ΔT": rise}),
        found.inlet_temperature + found.temperature_rise,
        "temperature",
        Notes("definition", arriving.thermometer(found)),
    )
    arriving.left[unit.name] = outlet if outlet.value <= TRIPS else Value(TRIPS, "°C", _TRIPPED)
    rated = _rated_conductance(reckoning, unit, needed, heat)
    units = _transfer_units(reckoning, unit, flow, (needed, rated, stream))
    ledger.own_step(
        "Condensing temperature",
        Sum("T_c", "T_in + ΔT / (1 - exp(-NTU))", {"T_in": inlet, "ΔT": rise, "NTU": units}),
        found.condensing_temperature,
        "temperature",
        Notes(
            _KAYS,
            "What the refrigerant gauge's temperature scale should show; read it, and leave the"
            " circuit itself to a licensed technician."
            if found.runs_on
            else f"No unit runs on past {show(TRIPS, 'temperature', reckoning.job.units)}: this"
            " only says that it trips.",
        ),
    )


def _given_off(reckoning: Reckoning, unit: Unit, found: CondenserResult, made_for: Value) -> Value:
    """The heat that the unit gives to the water: its cooling and its draw, where that is stated."""
    line = unit.power_line
    if line is None or not found.runs_on:
        return made_for
    power = line.power(found.condensing_temperature)
    inputs = {
        "q_cool": Value(unit.cooling, "W", "the job"),
        "P": Value(power, "W", "the draw that the job states, at the condensing temperature below"),
    }
    return reckoning.ledger.own_step(
        "Heat that the unit gives to the water",
        Sum("q", "q_cool + P", inputs),
        unit.cooling + power,
        "heat",
        Notes(
            "heat balance; draw and condensing temperature are found together",
            "The hotter it condenses the more it draws, and all of it goes overboard.",
        ),
    )


def _stream(reckoning: Reckoning, flow: Value, symbol: str, title: str) -> Value:
    water = reckoning.network.water
    inputs = {"ρ": reckoning.water["ρ"], "Q": flow, "c_p": reckoning.water["c_p"]}
    return reckoning.ledger.step(
        title,
        Sum(symbol, "ρ * Q * c_p", inputs),
        water.density * flow.value * water.heat_capacity,
        "W/K",
        Notes("mass flow times heat capacity", "How much heat warms the stream by one kelvin."),
    )


def _rated_conductance(reckoning: Reckoning, unit: Unit, needed: Value, heat: Value) -> Value:
    """UA at the needed flow, from the approach there."""
    ledger, water = reckoning.ledger, reckoning.network.water
    stream = _stream(reckoning, needed, "w_r", "The same at the needed flow")
    rise_exact = float(water_rise(unit.rejected_heat, unit.needed_flow, water))
    rise = ledger.step(
        "Rise at the needed flow",
        Sum("ΔT_r", "q / w_r", {"q": heat, "w_r": stream}),
        rise_exact,
        "temperature_difference",
        Notes(
            "heat balance", "Near 10 °F (5.6 K) at the trade's usual flow: a number to remember."
        ),
    )
    approach = ledger.given("a", unit.approach, "temperature_difference")
    number = ledger.step(
        "Transfer units at the needed flow",
        Sum("NTU_r", "ln(1 + ΔT_r / a)", {"ΔT_r": rise, "a": approach}),
        math.log1p(rise_exact / unit.approach),
        "",
        Notes(
            f"{_KAYS}; a is condensing minus leaving water",
            "The larger, the closer the leaving water comes to the condensing temperature.",
        ),
    )
    inputs = {"NTU_r": number, "w_r": stream}
    formula = "NTU_r * w_r"
    fitted = reckoning.job.fitted.ua
    if fitted != 1:
        inputs["F"] = Value(fitted, "", "fitted to this boat's own readings")
        formula += " * F"
    return ledger.step(
        "Heat that a clean condenser passes per kelvin",
        Sum("UA_r", formula, inputs),
        rated_conductance(unit, water) * fitted,
        "W/K",
        Notes(
            "definition of NTU", "Scale and slime make this smaller, and the unit condenses hotter."
        ),
    )


def _transfer_units(
    reckoning: Reckoning, unit: Unit, flow: Value, rated: tuple[Value, Value, Value]
) -> Value:
    """NTU at this flow."""
    ledger, water = reckoning.ledger, reckoning.network.water
    needed, rated_ua, stream = rated
    scale = float(fouling_of(reckoning.network)[reckoning.job.condenser.index(unit)])
    exact = float(conductance(unit, flow.value, water, reckoning.job.fitted.ua, scale))
    share = Value(WATER_SHARE, "", "engineering estimate: water's share of the resistance")
    power = Value(FILM_EXPONENT, "", "turbulent flow in a tube")
    inputs = {"UA_r": rated_ua, "v": share, "Q": flow, "Q_need": needed, "m": power}
    formula = "UA_r / (v * (Q / Q_need)**(-m) + 1 - v)"
    if scale:
        inputs["s"] = Value(scale, "", "scale: its thickness over its conductivity, times U")
        formula = "UA_r / (v * (Q / Q_need)**(-m) + 1 - v + s)"
    passed = ledger.step(
        "Heat that it passes per kelvin at this flow",
        Sum("UA", formula, inputs),
        exact,
        "W/K",
        Notes(
            f"film ~ velocity^{FILM_EXPONENT:g} (Dittus-Boelter form, any heat-transfer textbook)",
            "Faster water takes heat from the wall better, but only part of the resistance is"
            " there.",
        ),
    )
    return ledger.step(
        "Transfer units at this flow",
        Sum("NTU", "UA / w", {"UA": passed, "w": stream}),
        exact / stream.value,
        "",
        Notes(_KAYS, "The larger, the nearer the leaving water comes to the refrigerant."),
    )
