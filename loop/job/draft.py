"""A first job file from plain answers, with comments that teach its keys."""

from collections.abc import Mapping

from loop.job.questions import SALINITIES, usual
from loop.units import parse
from loop.units.text import factors, unit_of

_ESTIMATE = "an estimate: put the datasheet's in its place"
_GIVEN = "from its datasheet"


def draft(answers: Mapping[str, str]) -> str:
    """The text of a job file, from a right answer to every question; `parse_toml` accepts it."""
    values = {name: _quoted(text) for name, text in answers.items()}
    values["salinity"] = f"{_salinity(answers['salinity']):g}"
    values["half"] = _quoted(_part_way("0 m", answers["suction_length"]))
    values["middle"] = _quoted(_part_way(answers["intake_height"], answers["pump_height"]))
    for name in ("strainer_loss", "unit_loss"):
        estimated = answers[name] == usual(name, answers)
        values[f"{name}_from"] = _ESTIMATE if estimated else _GIVEN
    return _TEMPLATE.format(**values)


def _part_way(start: str, end: str) -> str:
    """Half-way between two lengths or heights, in the unit in which the second is written."""
    unit = unit_of(end) or "in"
    scale, _ = factors(unit, "length")
    return f"{(parse(start, 'length') + parse(end, 'length')) / 2 / scale:.4g} {unit}"


def _salinity(answer: str) -> float:
    return SALINITIES[answer] if answer in SALINITIES else float(answer)


def _quoted(text: str) -> str:
    """A TOML string."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(sign for sign in escaped if sign.isprintable()) + '"'


_TEMPLATE = """\
# A seawater loop. Change a line, then run `loop check` on this file again.
# Heights are from the waterline at rest: above it positive, below it negative.
title = {title}
units = {units:<29}# how results are shown: "us" or "si"

[water]
temperature = {sea_temperature:<23}# the warmest sea that the unit must stand
salinity = {salinity:<26}# 35 = sea, 0 = fresh

# The boat's worst day: what it does to the intake. Take the # away and put your own.
[boat]
# heel = "12 deg"
# wave_height = "6 in"
# light_rise = "1 in"                # how far the hull rises when light

[defaults]                           # taken by every part that does not say otherwise
bore = {bore}
lining = {lining:<28}# "smooth rubber", "smooth plastic" or "ribbed"

[[condenser]]                        # what must be cooled; one such table a unit
name = "cabin"
cooling = {cooling}
# flow_per_ton = "180 gal/h"         # common practice; the maker's figure is better
# heat_rejection = 1.25              # common practice: the compressor's heat comes on top
# condensing_watch = "104 degF"      # limits of your unit, from its maker
# condensing_stop = "115 degF"

# The parts, in the order in which the water meets them. Only hoses change height: `to` is the
# height of a hose's far end, and every other part sits where the one before it ended.

[[part]]
kind = "intake"
facing = "forward"                   # "forward", "flush" or "aft"
height = {intake_height}
# off_centre = "20 in"               # how far from the middle of the boat: it counts when heeled

[[part]]
kind = "seacock"                     # a ball valve; open = "50 %" if part shut

[[part]]
kind = "hose"
label = "hose to the strainer"
length = {half:<28}# half of the hose to the pump: measure it
to = {middle:<32}# half-way up to the pump: measure it
# via = ["-4 in"]                    # high and low points on the way
# barbs = 2                          # barbed ends; common practice: 0.8 of the hose's bore

[[part]]
kind = "strainer"
loss = {strainer_loss:<30}# {strainer_loss_from}
# blocked = "50 %"                   # the share of the basket that is covered today

[[part]]
kind = "hose"
label = "hose to the pump"
length = {half}
to = {pump_height}

[[part]]
kind = "pump"
curve = {pump:<29}# a name from `loop pumps`, or a pump file beside this one
supply = {supply}

[[part]]
kind = "bleed"                       # common practice: one at the pump's outlet

[[part]]
kind = "hose"
label = "hose to the unit"
length = {run_length}
to = {unit_height}
sweeps = ["90 deg"]                  # the bends on the way: an estimate

[[part]]
kind = "condenser"
serves = "cabin"
loss = {unit_loss:<30}# {unit_loss_from}

[[part]]
kind = "hose"
label = "hose overboard"
length = {outlet_length}
to = {outlet_height}

[[part]]
kind = "discharge"
height = {outlet_height:<28}# a little above the water, where its stream is seen
"""
