"""Units that condense too high because of scale, or too low to cool, by plain arithmetic."""

import math

import pytest

from loop.check import CheckResult, check
from loop.size import size
from loop.tolerances import CONDUCTANCE
from loop.words.actions import Descale
from tests.loops import check_of, codes, found, job_of

# 12,000 BTU/h on 180 gal/h: the water warms 5.68 K at the need, 1/(ρ cp Q), and comes within
# 10 °F = 5.56 K of a clean condenser.
# A condenser at the poor end of its tolerance: a fifth less conductance.
POOR = 1 - CONDUCTANCE.half
WIDE = [(9, "tube_bore", "0.5 in"), (9, "tubes", 2)]


def clean(result: CheckResult, share: float) -> float:
    """Condensing temperature at need [°C], with this share of UA: 1 − exp(−NTU)."""
    unit = result.condensers[0]
    rise = unit.temperature_rise * unit.flow / unit.needed_flow
    transfer = share * math.log(1 + rise / (10 / 1.8))
    return result.job.water.temperature + rise / (1 - math.exp(-transfer))


@pytest.mark.parametrize("scale", ["0.05 mm", "0.2 mm", "0.5 mm", "0.8 mm"])
def test_scale_is_told_where_it_costs_more_than_the_flow_gains(scale: str) -> None:
    result = check_of(*WIDE, (9, "scale", scale))
    unit = result.condensers[0]
    assert unit.flow >= unit.needed_flow
    high = unit.condensing_temperature > clean(result, POOR)
    assert high == (scale in ("0.5 mm", "0.8 mm"))
    assert bool(found(result, "condenser-fouled")) == high
    if high:
        (told,) = found(result, "condenser-fouled")
        assert told.values["clean"] == pytest.approx(clean(result, POOR), abs=0.01)
        (action,) = told.actions
        assert isinstance(action, Descale)
        assert check(action.apply(result.job)).verdict == "good"


@pytest.mark.parametrize(("factor", "fouled"), [(0.85, False), (0.52, True)])
def test_a_baseline_is_held_against_a_clean_condenser_of_the_poor_kind(
    factor: float, fouled: bool
) -> None:
    result = check_of(("fitted", "ua", factor))
    assert bool(found(result, "condenser-fouled")) == fouled
    assert (result.condensers[0].condensing_temperature > clean(result, POOR)) == fouled


@pytest.mark.parametrize(("sea", "cold"), [("6 degC", False), ("40 degF", True)])
def test_water_in_which_no_unit_cools_is_told(sea: str, cold: bool) -> None:
    """At least 8 K above the 45 °F of its evaporator: 59.4 °F. A sea of 6 °C is low enough."""
    result = check_of(("water", "temperature", sea))
    assert bool(found(result, "condensing-low")) == cold
    fahrenheit = result.condensers[0].condensing_temperature * 1.8 + 32
    assert (fahrenheit < 59.4) == cold
    heating = check_of(("water", "temperature", sea), ("condenser", "evaporating", "-5 degC"))
    assert ("condensing-low" in codes(heating)) == cold


@pytest.mark.parametrize(
    ("approach", "case"), [("3.5 degF", "near"), ("4 degF", ""), ("20 degF", ""), ("21 degF", None)]
)
def test_an_approach_that_no_clean_condenser_has_is_told(approach: str, case: str | None) -> None:
    result = check_of(("condenser", "approach", approach))
    told = [one.values.get("case") for one in found(result, "approach-doubtful")]
    assert told == ([] if case == "" else [case])


def test_scale_and_a_cold_sea_rule_out_no_size() -> None:
    """Neither is said of the loop as it stands, which is short of water; both of what passes."""
    short = [("defaults", "bore", "1/2 in"), (8, "length", "30 ft")]
    short += [("sizing", "pumps", ["demo-ac-350"]), ("sizing", "bores", ["5/8 in", "3/4 in"])]
    for change in ((*WIDE, (9, "scale", "0.5 mm")), (("water", "temperature", "40 degF"),)):
        assert size(job_of(*short, *change), draws=5).least_change


@pytest.mark.parametrize(
    ("limit", "told"),
    [
        ([], True),
        ([("condenser", "condensing_stop", "130 degF")], False),
        ([("condenser", "condensing_watch", "125 degF")], False),
        ([("condenser", "condensing_stop", "180 degF")], True),
    ],
)
def test_over_113_degf_only_the_makers_limit_says_whether_a_unit_runs(
    limit: list[tuple[str, str, str]], told: bool
) -> None:
    """45 °C; past the 140 °F at which every unit trips a stated limit says nothing."""
    result = check_of(("water", "temperature", "98 degF"), *limit)
    assert 45 < result.condensers[0].condensing_temperature < 49
    assert bool(found(result, "limit-unstated")) == told == (result.verdict != "good")
    assert not found(check_of(("water", "temperature", "88 degF"), *limit), "limit-unstated")


def test_a_unit_short_of_water_is_not_asked_for_its_limit() -> None:
    result = check_of(("water", "temperature", "95 degF"), ("defaults", "bore", "1/2 in"))
    assert result.condensers[0].condensing_temperature > 45
    assert "flow-short" in codes(result)
    assert "limit-unstated" not in codes(result)
