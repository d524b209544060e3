"""How each reading is taken, its hazard first, and the basis of its usual uncertainty.

A row has blanks for parts that a loop may lack; `loop.words.had` fills them.
"""

from loop.records import dataclass
from loop.words.cautions import BRIEFLY, LINE_OPEN, STEP_METER


@dataclass(frozen=True)
class Measuring:
    """Words for one kind of reading: the request, how to take it, the basis, the hazard or "".

    ``ask`` has a blank for the unit, where there are several.
    """

    ask: str
    how: str
    basis: str
    hazard: str = ""


_THERMOMETER = "a common dial or probe thermometer (engineering estimate)"
_GAUGE = "a gauge of 15 psi span, class 1.6 (engineering estimate)"
_READ = "[open the {seacock} and ]read it with the pump running[, afloat{no_seacock}]"

MEASURING: dict[str, Measuring] = {
    "flow": Measuring(
        "measure the flow[ of {unit}] with a bucket",
        "hold a bucket of known size under the discharge and time how long it takes to fill; do it "
        "twice",
        "bucket and stopwatch: volume within 5%, time within a second (engineering estimate)",
    ),
    "sea_temperature": Measuring(
        "measure the sea temperature",
        "hang a thermometer in the sea at the intake's depth for a minute",
        _THERMOMETER,
    ),
    "outlet_temperature": Measuring(
        "measure the outlet temperature[ of {unit}]",
        "when the unit has run for ten minutes, hold the thermometer in the discharge stream until "
        "it settles",
        _THERMOMETER,
    ),
    "condensing_temperature": Measuring(
        "read the condensing temperature[ of {unit}]",
        "read it from the unit's display, or have a refrigeration technician read the head "
        "pressure as a temperature",
        "the unit's own display or a probe on the liquid side (engineering estimate)",
    ),
    "pump_inlet_pressure": Measuring(
        "measure the pressure at the pump's inlet",
        "fit a compound gauge (it also reads below zero) on a tee at the pump's inlet, at "
        f"the pump's height; {_READ}",
        "a compound gauge of 15 psi span, class 1.6, read to a fifth of a division (engineering "
        "estimate)",
        LINE_OPEN,
    ),
    "pump_outlet_pressure": Measuring(
        "measure the pressure at the pump's outlet",
        f"fit a gauge at the pump's outlet, on [the {{bleed}} valve or ]a tee; {_READ}",
        _GAUGE,
        LINE_OPEN,
    ),
    "strainer_drop": Measuring(
        "measure the pressure drop across the strainer",
        f"fit one gauge before the strainer, then after it; each time {_READ}",
        "the same gauge moved from one side of the strainer to the other (engineering estimate)",
        LINE_OPEN,
    ),
    "shutoff_pressure": Measuring(
        "measure the pump's pressure with its outlet shut",
        f"fit a gauge at the pump's outlet, on [the {{bleed}} valve or ]a tee; {_READ}, then hold "
        "the outlet shut and read it again",
        _GAUGE,
        f"{LINE_OPEN} Then two seconds, no longer: a pump running against a shut outlet overheats.",
    ),
    "supply": Measuring(
        "have the volts at the pump measured",
        f"hold a voltmeter on the pump's own terminals while the unit calls for it, {BRIEFLY}",
        "a hand-held multimeter",
        STEP_METER,
    ),
    "frequency": Measuring(
        "have the supply's frequency measured",
        f"set a multimeter to Hz and hold it on the supply while the pump runs, {BRIEFLY}",
        "a hand-held multimeter",
        STEP_METER,
    ),
    "pump_power": Measuring(
        "have the pump's power measured",
        f"put a wattmeter in the pump's supply and read it while it runs, {BRIEFLY}",
        "a plug-in or clamp wattmeter",
        STEP_METER,
    ),
    "pump_current": Measuring(
        "have the pump's current measured",
        f"put a clamp meter around one wire of the pump while it runs, {BRIEFLY}",
        "a clamp meter",
        STEP_METER,
    ),
    "stream": Measuring(
        "look at the stream",
        "look at the discharge while the pump runs: strong, weak, sputtering, or none (then switch "
        "the pump off: running dry soon damages it)",
        "seen by eye",
    ),
    "pump_sound": Measuring(
        "listen to the pump",
        f"put a hand and an ear to the pump, {BRIEFLY}: normal, rough, hums without turning (then "
        "switch it off at once: its motor burns out), or silent",
        "heard by ear",
    ),
    "unit": Measuring(
        "see what the[ {unit}] unit does",
        "watch the unit: cools, cools weakly, trips, or is off (does not start)",
        "seen at the unit",
    ),
    "strainer_seen": Measuring(
        "look at the strainer's basket",
        "lift the strainer's lid and look at the basket: clean or dirty; seat the lid, [open the "
        "{seacock} again and ]let the strainer fill before the pump runs",
        "seen by eye",
        LINE_OPEN,
    ),
}

# The request where a bucket cannot do it.
_CLAMPED = "measure the flow[ of {unit}] with a clamp-on flow meter"
ASKED_OTHERWISE: dict[str, str] = {
    "clamped": _CLAMPED,
    "clamped-unit": _CLAMPED,
    "dc-supply": "measure the volts at the pump",
    "dc-current": "measure the pump's current",
    "under-way": "look at the stream under way",
}
# The hazard of an alternative way, where it differs.
HAZARDS_OTHERWISE: dict[str, str] = {
    "dc-supply": "",
    "dc-current": "",
    "under-way": "Someone else steers. Nobody leans over the side.",
}
# The alternative way, where the usual one is not possible on a loop.
OTHERWISE: dict[str, str] = {
    "strapped": (
        "strap the thermometer to the metal of this unit's water outlet and wrap it in foam; when "
        "the unit has run for ten minutes, wait until it settles"
    ),
    "clamped": (
        "put a clamp-on flow meter on a straight run of the hose: a bucket cannot be held under an "
        "underwater discharge"
    ),
    "clamped-unit": (
        "put a clamp-on flow meter on a straight run of the hose: a bucket cannot catch this "
        "unit's water alone"
    ),
    "dc-supply": (
        f"hold a multimeter on the pump's own terminals while the unit calls for it, {BRIEFLY}"
    ),
    "dc-current": f"put a DC clamp meter around the pump's positive wire while it runs, {BRIEFLY}",
    "under-way": (
        "with the boat at the speed, or in the waves, at which it fails, look at the discharge: "
        "strong, weak, sputtering, or none (then switch the pump off: running dry soon damages it)"
    ),
    "own-discharge": (
        "hold a bucket of known size under this unit's own discharge and time how long it takes to "
        "fill; do it twice"
    ),
    "each-discharge": (
        "hold a bucket of known size under each discharge in turn, time how long it takes to fill, "
        "and add up the flows"
    ),
}
