"""The answer of a sizing: odds, walls, order, front, words and JSON."""

import json
from functools import cache

import pytest

import loop
from loop.check import check
from loop.job import Job, JobError, parse_job
from loop.size import Option, SizeResult, size, to_json, with_sizing
from loop.size.options import applied
from loop.size.rank import objectives
from loop.size.worst_case import in_service
from tests.loops import Table, changed, job_of
from tests.test_branch_priming import LOW, tables
from tests.test_size_options import branched_loop

INCH = 0.0254
DRAWS = 200


def humped() -> Table:
    """A pressure hose with a high point on its way and a deep sag behind it."""
    return changed((8, "length", "16 ft"), (8, "via", ["30 in", "-2 in"]))


def narrow(job: Job, **asked: str) -> Job:
    return with_sizing(
        job, {"bores": "1/2 in, 3/4 in, 1 in", "pumps": "demo-ac-350, demo-ac-500", **asked}
    )


@cache
def answer() -> SizeResult:
    return size(narrow(parse_job(humped())), draws=DRAWS)


def option(result: SizeResult, pump: str, suction: float, pressure: float) -> Option:
    return next(
        o
        for o in result.options
        if o.choice.pump.name == pump
        and o.choice.suction_bore == pytest.approx(suction * INCH)
        and o.choice.pressure_bore == pytest.approx(pressure * INCH)
    )


def test_the_package_shows_the_function() -> None:
    job = narrow(job_of(), bores="3/4 in", pumps="demo-ac-350")
    assert isinstance(loop.size(job, draws=5), SizeResult)
    assert loop.size is size


def test_too_small_a_hose_fails_on_flow_and_too_large_a_one_on_held_air() -> None:
    small = option(answer(), "demo-ac-350", 0.75, 0.5)
    fits = option(answer(), "demo-ac-350", 0.75, 0.75)
    large = option(answer(), "demo-ac-350", 0.75, 1.0)
    assert not small.passes
    assert small.reasons[0].startswith("flow:")
    assert fits.passes
    assert not large.passes
    assert large.reasons[0].startswith("air: stays in the 1 in hose")
    words = " ".join(answer().why)
    assert "Smaller pressure hose fails at 1/2 in: flow:" in words
    assert "Larger pressure hose fails at 1 in: air:" in words


def test_a_bleed_at_the_high_point_lets_the_air_of_a_large_hose_out() -> None:
    data = humped()
    hose = data["part"][7]
    up = {**hose, "length": "5 ft", "to": "30 in", "via": []}
    down = {**hose, "length": "11 ft", "via": ["-2 in"]}
    data["part"][7:8] = [up, {"kind": "bleed"}, down]
    result = size(narrow(parse_job(data)), draws=DRAWS)
    vented = option(result, "demo-ac-350", 0.75, 1.0)
    assert not any(reason.startswith("air") for reason in vented.reasons)


def test_chance_and_low_edge_tell_the_same() -> None:
    for found in answer().options:
        for unit in found.units:
            enough = unit.chance >= answer().job.sizing.confidence
            assert enough == (unit.flow_low >= unit.needed_flow)
            assert 0 < unit.flow_low < unit.flow < unit.flow_high


def test_more_need_never_makes_it_likelier() -> None:
    chances = [
        size(
            narrow(job_of(("condenser", "cooling", f"{load} BTU/h")), bores="3/4 in"),
            draws=DRAWS,
        ).options
        for load in (12000, 14000, 16000, 20000)
    ]
    by_pump = [
        [next(o.chance for o in options if o.choice.pump.name == pump) for options in chances]
        for pump in ("demo-ac-350", "demo-ac-500")
    ]
    for found in by_pump:
        assert found == sorted(found, reverse=True)
        assert found[0] > found[-1]


def test_what_passes_has_no_danger_in_a_check_at_its_worst_service() -> None:
    passing = [found for found in answer().options if found.passes]
    assert passing
    for found in passing:
        whole = check(in_service(applied(answer().job, found.choice)))
        assert not any(finding.level == "danger" for finding in whole.findings)
        assert whole.point.flow == pytest.approx(found.flow, rel=1e-3)


def test_a_danger_that_no_margin_tells_fails_every_option() -> None:
    # The pump stands above the water and does not prime itself.
    high = job_of((5, "to", "12 in"), (8, "to", "14 in"))
    result = size(narrow(high, bores="3/4 in"), draws=DRAWS)
    assert result.choice is None
    assert all(
        any("danger: the pump stands" in reason for reason in found.reasons)
        for found in result.options
    )
    assert result.why[0] == "None of the 2 combinations passes."


def test_the_worst_service_lowers_the_flow() -> None:
    job = narrow(job_of(), bores="3/4 in", pumps="demo-ac-350")
    clean, dirty = (
        size(with_sizing(job, {"service_blocked": share}), draws=DRAWS).options[0]
        for share in ("0 %", "80 %")
    )
    assert dirty.flow < clean.flow
    assert dirty.chance < clean.chance


def test_a_limit_on_condensing_counts_as_a_need() -> None:
    base = changed(("condenser", "condensing_stop", "90 degF"))
    job = narrow(parse_job(base), bores="3/4 in", pumps="demo-ac-350", warmest_sea="85 degF")
    found = size(job, draws=DRAWS).options[0]
    assert found.flow_low > found.units[0].needed_flow
    assert found.chance == 0


def test_the_order_is_passing_first_and_the_choice_its_head() -> None:
    options = answer().options
    assert [found.rank for found in options] == list(range(1, len(options) + 1))
    passes = [found.passes for found in options]
    assert passes == sorted(passes, reverse=True)
    assert answer().choice == 0
    assert all(found.passes == (not found.reasons) for found in options)


def test_the_front_is_what_no_other_beats() -> None:
    options, front = answer().options, set(answer().front)
    for i, here in enumerate(options):
        beaten = any(
            other.passes
            and all(a <= b for a, b in zip(objectives(other), objectives(here), strict=True))
            and objectives(other) != objectives(here)
            for other in options
        )
        assert (i in front) == (here.passes and not beaten)
    assert answer().choice in front
    assert answer().runner_up in front


def test_price_by_hand() -> None:
    price = {
        "hose_per_metre": {"3/4 in": 6.0, "1 in": 10.0},
        "pump": {"demo-ac-350": 200.0},
    }
    data = changed() | {"sizing": {"price": price}}
    result = size(narrow(parse_job(data)), draws=DRAWS)
    # 4 ft of 1 in hose before the pump, 16 ft of 3/4 in after it.
    mixed = option(result, "demo-ac-350", 1.0, 0.75)
    assert mixed.price == pytest.approx(200 + 4 * 0.3048 * 10 + 16 * 0.3048 * 6)
    assert option(result, "demo-ac-500", 0.75, 0.75).price is None
    assert option(result, "demo-ac-350", 0.5, 0.75).price is None


def test_units_in_branches_each_have_their_odds() -> None:
    job = narrow(parse_job(branched_loop()), bores="3/4 in", branch_bores="1/2 in, 5/8 in")
    result = size(job, draws=DRAWS)
    assert len(result.options) == 4
    for found in result.options:
        assert {unit.name for unit in found.units} == {"saloon", "aft"}
        assert found.chance == min(unit.chance for unit in found.units)
        assert found.flow == pytest.approx(sum(unit.flow for unit in found.units), rel=1e-6)


def test_the_same_seed_gives_the_same_answer_and_the_draws_are_counted() -> None:
    job = narrow(job_of(), bores="3/4 in")
    first, again, other = (size(job, draws=DRAWS, seed=seed) for seed in (5, 5, 6))
    assert first.options == again.options
    assert first.options != other.options
    assert first.studied.options == 2
    assert first.studied.draws == DRAWS
    assert first.studied.solves == 2 * (DRAWS + 2)


def test_progress_is_told_to_the_end() -> None:
    told: list[tuple[int, int]] = []
    size(narrow(job_of()), draws=5, progress=lambda done, total: told.append((done, total)))
    assert told[-1] == (18, 18)
    assert [done for done, _ in told] == sorted(done for done, _ in told)


@pytest.mark.parametrize("draws", [0, 100_001])
def test_draws_out_of_range_are_a_mistake(draws: int) -> None:
    with pytest.raises(JobError, match=f"draws: {draws} is out of range"):
        size(job_of(), draws=draws)


def test_the_json_has_the_keys_of_the_contract() -> None:
    data = json.loads(json.dumps(to_json(answer()), allow_nan=False))
    assert {"options", "choice", "least_change", "studied"} <= set(data)
    keys = (
        "rank pump suction_bore pressure_bore flow flow_low flow_high chance power "
        "suction_velocity pressure_velocity start_head shutoff_head passes reasons"
    )
    assert all(set(keys.split()) <= set(found) for found in data["options"])
    assert set(data["studied"]) == {"options", "draws", "seed", "solves"}
    assert data["options"][data["choice"]]["passes"]


def test_hours_come_with_a_bank_only() -> None:
    supply = {"battery": "300 Ah", "batteries": 2, "voltage": "12.8 V", "draw": ["47 A", "24 A"]}
    data = changed() | {"supply": supply}
    found = size(narrow(parse_job(data), bores="3/4 in"), draws=5).options
    assert all(len(o.running) == 2 for o in found)
    by_pump = {o.choice.pump.name: o.running[0].hours for o in found}
    assert by_pump["demo-ac-500"] < by_pump["demo-ac-350"]
    assert not answer().options[0].running


@pytest.mark.parametrize("height", [12, 105])
def test_a_branch_that_must_be_filled_first_is_told_with_the_choice(height: int) -> None:
    """One branch as low as the other, or with a top 105 in up: as `check` tells it.

    As it starts the high one stays dry, so that no option is chosen; the list still says why.
    """
    table = tables({"low": LOW, "high": [(192, height), (192, 6)]})
    table["sizing"] = {
        "bores": ["1 in"], "branch_bores": ["3/4 in"], "pumps": ["demo-ac-500"],
        "service_blocked": "0 %", "confidence": "60 %",
    }  # fmt: skip
    job = parse_job(table)
    result = size(job, draws=20)
    dry = [f for f in check(job).findings if f.values.get("case") == "beside"]
    assert bool(dry) == (height > 12)
    assert result.options[0].starts_last == (("high",) if dry else ())
    assert result.choice == (None if dry else 0), result.options[0].reasons
