"""A first job file from plain answers, with comments that explain its keys."""

from collections.abc import Collection, Mapping

from loop.job.questions import SALINITIES
from loop.tomlfile import quoted
from loop.units import parse
from loop.units.text import factors, unit_of

_ESTIMATE = "an estimate: replace it with the datasheet's"
_GIVEN = "from its datasheet"
# Share of the hose after the pump, beyond the length that its heights need, that leads up to the
# unit: engineering estimate.
_UP_SHARE = 0.6
# Tables of the template, and the answers that fill their keys.
_KEYS: dict[str, dict[str, str]] = {
    "water": {"temperature": "sea_temperature"},
    "defaults": {"bore": "bore", "lining": "lining"},
    "condenser": {"cooling": "cooling"},
    "intake": {"height": "intake_height"},
    "to_strainer": {"length": "suction_length"},
    "strainer": {"loss": "strainer_loss"},
    "to_pump": {"length": "suction_length", "to": "pump_height"},
    "pump": {"curve": "pump", "supply": "supply"},
    "to_unit": {"length": "pressure_length", "to": "unit_height"},
    "unit": {"loss": "unit_loss"},
    "overboard": {"length": "pressure_length"},
    "discharge": {"height": "outlet_height"},
}


def draft(answers: Mapping[str, str], guessed: Collection[str] = ()) -> str:
    """Text of a job file from valid answers to all questions; `parse_toml` accepts it.

    `guessed` are the questions whose answers are guesses; these are marked in the file.
    """
    values = {name: quoted(text) for name, text in answers.items()}
    values["salinity"] = f"{_salinity(answers['salinity']):g}"
    values["half"] = quoted(_midpoint("0 m", answers["suction_length"]))
    values["middle"] = quoted(_midpoint(answers["intake_height"], answers["pump_height"]))
    values["up_length"], values["down_length"] = map(quoted, _hose_lengths(answers))
    for name in ("strainer_loss", "unit_loss"):
        values[f"{name}_from"] = _ESTIMATE if name in guessed else _GIVEN
    for table, keys in _KEYS.items():
        guessed_keys = [quoted(key) for key, name in keys.items() if name in guessed]
        line = f"guessed = [{', '.join(guessed_keys)}]"
        note = "# measure it, then take it out of this list"
        values[f"{table}_guessed"] = f"{line:<37}{note}\n" if guessed_keys else ""
    return _TEMPLATE.format(**values)


def _midpoint(start: str, end: str) -> str:
    """Midpoint of two lengths or heights, in the unit of the second."""
    return _in_unit_of(end, (parse(start, "length") + parse(end, "length")) / 2)


def _in_unit_of(text: str, value: float, digits: int = 4) -> str:
    """A length [m] in the unit of another text."""
    unit = unit_of(text) or "in"
    scale, _ = factors(unit, "length")
    return f"{value / scale:.{digits}g} {unit}"


def _hose_lengths(answers: Mapping[str, str]) -> tuple[str, str]:
    """The hose after the pump in two lengths: up to the unit, and from there overboard."""
    total = answers["pressure_length"]
    length = parse(total, "length")
    pump, unit, outlet = (
        parse(answers[f"{name}_height"], "length") for name in ("pump", "unit", "outlet")
    )
    up, down = abs(unit - pump), abs(outlet - unit)
    slack = length - up - down
    for digits in (2, 4, 12):
        to_unit = _in_unit_of(total, up + _UP_SHARE * slack, digits)
        overboard = length - parse(to_unit, "length")
        if parse(to_unit, "length") >= up and overboard >= down:
            break
    return to_unit, _in_unit_of(total, overboard, 12)


def _salinity(answer: str) -> float:
    return SALINITIES[answer] if answer in SALINITIES else float(answer)


_TEMPLATE = """\
# A seawater loop. Change a line, then run `loop check` on this file again.
# Heights are from the waterline at rest: above it positive, below it negative.
# Values listed as `guessed` are not measured: every answer says so until you take them out.
title = {title}
units = {units:<29}# how results are shown: "us" or "si"

[water]
temperature = {sea_temperature:<23}# the warmest sea you expect
{water_guessed}salinity = {salinity:<26}# 35 = sea, 0 = fresh

# The boat's worst day, for intake and outlet. Remove the # and write your own values.
[boat]
# heel = "12 deg"
# wave_height = "6 in"
# light_rise = "1 in"                # how far the hull rises when light

[defaults]                           # for every part that does not state its own
bore = {bore}
lining = {lining:<28}# "smooth rubber", "smooth plastic" or "ribbed"
{defaults_guessed}
[[condenser]]                        # what must be cooled; one table per unit
name = "cabin"
cooling = {cooling}
{condenser_guessed}\
# flow_per_ton = "180 gal/h"         # common practice; the maker's figure is better
# heat_rejection = 1.25              # common practice: cooling plus the compressor's heat
# condensing_watch = "104 degF"      # limits of your unit, from its maker
# condensing_stop = "115 degF"
# electrical = "620 W at 100 degF"   # its draw condensing at that; gives battery hours

# The parts, in flow order, from the sea to the sea. Only hoses change height: `to` is the
# height of a hose's far end, and every other part sits where the one before it ended.

[[part]]
kind = "intake"
facing = "forward"                   # "forward", "flush" or "aft"
height = {intake_height}
{intake_guessed}\
# off_centre = "20 in"               # how far from the centerline: counts when she heels

[[part]]
kind = "seacock"                     # a ball valve; open = "50 %" if part shut

[[part]]
kind = "hose"
label = "hose to the strainer"
length = {half:<28}# half of the hose to the pump: measure it
to = {middle:<32}# halfway up to the pump: measure it
{to_strainer_guessed}# via = ["-4 in"]                    # high and low points on the way
# barbs = 2                          # barbed ends; common practice: 0.8 of the hose's bore

[[part]]
kind = "strainer"
loss = {strainer_loss:<30}# {strainer_loss_from}
{strainer_guessed}\
# blocked = "50 %"                   # the share of the basket that is blocked today

[[part]]
kind = "hose"
label = "hose to the pump"
length = {half}
to = {pump_height}
{to_pump_guessed}
[[part]]
kind = "pump"
curve = {pump:<29}# a name from `loop pumps`, or a pump file beside this one
supply = {supply}
{pump_guessed}
[[part]]
kind = "bleed"                       # common practice: one at the pump's outlet

[[part]]
kind = "hose"
label = "hose to the unit"
length = {up_length:<28}# its share of the hose after the pump: measure it
to = {unit_height}
{to_unit_guessed}sweeps = ["90 deg"]                  # the bends on the way: an estimate

[[part]]
kind = "condenser"
serves = "cabin"
loss = {unit_loss:<30}# {unit_loss_from}
{unit_guessed}
[[part]]
kind = "hose"
label = "hose overboard"
length = {down_length}
to = {outlet_height}
{overboard_guessed}
[[part]]
kind = "discharge"
height = {outlet_height:<28}# a little above the water, so that the stream shows
{discharge_guessed}\
# off_centre = "20 in"               # as at the intake: heel may put it under water
"""
