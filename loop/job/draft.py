"""A first job file from a dozen plain answers, with comments that teach its keys."""

from dataclasses import dataclass, fields

from loop.pumps import load_pump
from loop.units import Rating, UnitError, parse
from loop.units.definitions import Kind


@dataclass(frozen=True)
class Answers:
    """What `loop new` asks, each as text with its unit, with what is usual on a small boat."""

    title: str = "My boat, cabin unit"
    units: str = "us"
    sea_temperature: str = "85 degF"
    salinity: str = "35"
    cooling: str = "12000 BTU/h"
    pump: str = "demo-ac-350"
    bore: str = "3/4 in"
    lining: str = "smooth rubber"
    intake_height: str = "-16 in"
    suction_length: str = "4 ft"
    strainer_loss: str = "0.4 psi at 300 gal/h"
    pump_height: str = "-10 in"
    run_length: str = "10 ft"
    unit_height: str = "10 in"
    condenser_loss: str = "2.2 psi at 240 gal/h"
    outlet_length: str = "6 ft"
    outlet_height: str = "5 in"


QUESTIONS: dict[str, str] = {
    "title": "Boat and unit",
    "units": "Show results in us or si units",
    "sea_temperature": "Warmest sea you expect",
    "salinity": "Salinity: 35 for the sea, 0 for fresh water",
    "cooling": "Cooling of the unit",
    "pump": "Pump: a name from `loop pumps`, or a pump file",
    "bore": "Bore of the hose",
    "lining": "Lining of the hose: smooth rubber, smooth plastic or ribbed",
    "intake_height": "Height of the intake from the waterline, below it negative",
    "suction_length": "Hose from the seacock to the pump, both pieces together",
    "strainer_loss": "Loss of the clean strainer, from its datasheet",
    "pump_height": "Height of the pump from the waterline",
    "run_length": "Hose from the pump to the unit",
    "unit_height": "Height of the unit from the waterline",
    "condenser_loss": "Water-side loss of the unit, from its datasheet",
    "outlet_length": "Hose from the unit to the discharge",
    "outlet_height": "Height of the discharge from the waterline",
}

_KINDS: dict[str, Kind] = {
    "sea_temperature": "temperature",
    "cooling": "power",
    "bore": "length",
    "intake_height": "length",
    "suction_length": "length",
    "pump_height": "length",
    "run_length": "length",
    "unit_height": "length",
    "outlet_length": "length",
    "outlet_height": "length",
}
_CHOICES = {
    "units": ("us", "si"),
    "lining": ("smooth rubber", "smooth plastic", "ribbed"),
}


def problem(name: str, answer: str) -> str | None:
    """What is wrong with one answer, or None.

    >>> problem("bore", "3/4")
    "'3/4' has no unit; units that fit: in, ft, mm, cm, m"
    """
    try:
        if name in _KINDS:
            parse(answer, _KINDS[name])
        elif name.endswith("_loss"):
            Rating.read(answer)
        elif name == "salinity" and not 0 <= float(answer) <= 42:
            return f"{answer!r} is out of range; 0 to 42"
        elif name in _CHOICES and answer not in _CHOICES[name]:
            return f"{answer!r} is not one of: {', '.join(_CHOICES[name])}"
        elif name == "pump" and not answer.endswith(".toml"):
            load_pump(answer)
    except UnitError as error:
        return str(error)
    except LookupError as error:
        return str(error.args[0])
    except ValueError:
        return f"{answer!r} is not a number"
    return None


def draft(answers: Answers) -> str:
    """The text of a job file; `parse_job` accepts it where the heights and lengths agree."""
    half = parse(answers.suction_length, "length") / 2
    values = {field.name: _quoted(getattr(answers, field.name)) for field in fields(answers)}
    return _TEMPLATE.format(**values, number=answers.salinity, half=_quoted(f"{half:.3f} m"))


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    printable = "".join(c for c in escaped if c.isprintable())
    return f'"{printable}"'


_TEMPLATE = """\
# A seawater loop. Change a line, then run `loop check` on this file again.
# Heights are from the waterline at rest: above it positive, below it negative.
title = {title}
units = {units}                     # how results are shown: "us" or "si"

[water]
temperature = {sea_temperature}
salinity = {number}                       # 35 = sea, 0 = fresh

# The boat's worst day: what it does to the intake. Take the # away and put your own.
[boat]
# heel = "12 deg"
# wave_height = "6 in"
# light_rise = "1 in"                # how far the hull rises when light

[defaults]                           # taken by every part that does not say otherwise
bore = {bore}
lining = {lining}

[[condenser]]
name = "cabin"
cooling = {cooling}
# flow_per_ton = "180 gal/h"         # common practice; the maker's figure is better
# condensing_watch = "104 degF"      # limits of your unit, from its maker
# condensing_stop = "115 degF"

# The parts, in the order in which the water meets them.

[[part]]
kind = "intake"
facing = "forward"                   # "forward", "flush" or "aft"
height = {intake_height}

[[part]]
kind = "seacock"                     # a full-bore ball valve; open = "50 %" if part shut

[[part]]
kind = "hose"
label = "hose to the strainer"
length = {half}
to = {pump_height}                   # the height of its far end
# via = ["-4 in"]                    # high and low points on the way

[[part]]
kind = "strainer"
loss = {strainer_loss}               # clean
# blocked = "50 %"                   # as it stands today

[[part]]
kind = "hose"
label = "hose to the pump"
length = {half}
to = {pump_height}

[[part]]
kind = "pump"
curve = {pump}

[[part]]
kind = "bleed"                       # common practice: one at the pump's outlet

[[part]]
kind = "hose"
label = "hose to the unit"
length = {run_length}
to = {unit_height}
sweeps = ["90 deg"]                  # the bends on the way

[[part]]
kind = "condenser"
serves = "cabin"
loss = {condenser_loss}

[[part]]
kind = "hose"
label = "hose overboard"
length = {outlet_length}
to = {outlet_height}

[[part]]
kind = "discharge"
height = {outlet_height}
"""
