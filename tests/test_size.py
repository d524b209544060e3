"""The result of a sizing: same rules as check, order, Pareto front, reach, words and JSON."""

import json
import re
from functools import cache

import numpy as np
import pytest

import loop
from loop.check import check
from loop.job import Job, JobError, edit_text, parse_job, parse_toml
from loop.parts import Hose, Manifold
from loop.sheet.inputs import as_toml, tables
from loop.size import Option, SizeResult, edits, size, to_json, with_sizing
from loop.size.fit_choice import with_choice
from loop.size.least_change import least_change
from loop.size.limits import with_longer_hoses, with_units_higher
from loop.size.option_search import OptionSearch
from loop.size.options import bores_allowed
from loop.size.pump_search import search_pumps
from loop.size.rank import objectives
from loop.size.rules import FIXED_BY_SIZE, Rules, grave
from loop.size.sections import sections
from loop.size.words import why_chosen
from loop.size.worst_case import at_worst_service
from loop.words import CODES
from loop.words import actions as do
from loop.words.sizing import SAY
from tests.command_line import EXAMPLES
from tests.loops import Table, changed, job_of
from tests.said import is_said, pattern
from tests.sizable import sizable
from tests.test_size_options import branched_loop

INCH = 0.0254
DRAWS = 200


def humped() -> Table:
    """A pressure hose with a high point along it and a deep low point after it."""
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


# One rule set


def options_of(job: Job) -> list[Option]:
    """All the options that a sizing studies, without its other results."""
    return search_pumps(OptionSearch(Rules(job))).check_all()


def agrees(job: Job) -> None:
    """An option is judged as a check judges it, at the same service.

    And an option that passes, written into the job's file, checks good there.
    """
    rules = Rules(job)
    aside = {finding.code for finding in rules.aside}
    text, passing = as_toml(tables(job)), 0
    options = options_of(job)
    assert options[0].choice.as_is
    for found in options:
        option = at_worst_service(with_choice(job, found.choice))
        whole = check(option, fixes=False)
        assert whole.job == option
        left = [one.code for one in grave(whole) if one.code not in aside]
        assert found.passes == (not left), left
        if passing <= 2:  # asked sooner, it is the same
            assert rules.passes(with_choice(rules.job, found.choice)) == (not left)
        assert aside or found.passes == (whole.verdict == "good")
        passing += found.passes
        if found.passes and passing <= 2:
            written = at_worst_service(parse_toml(edit_text(text, edits(job, found.choice))))
            again = check(written, fixes=False)
            assert {one.code for one in grave(again)} <= aside
            assert aside or again.verdict == "good"
        if found.choice.as_is:
            assert option == at_worst_service(job)


def test_an_option_passes_where_a_check_of_it_finds_nothing_wrong() -> None:
    agrees(answer().job)
    agrees(narrow(parse_job(branched_loop()), bores="1/2 in, 3/4 in"))


@pytest.mark.parametrize("seed", [1, 2])
def test_size_and_check_agree_about_random_loops(seed: int) -> None:
    agrees(sizable(np.random.default_rng(seed)))


@pytest.mark.extended
@pytest.mark.parametrize("seed", range(1000, 3000))
def test_size_and_check_agree_about_many_random_loops(seed: int) -> None:
    agrees(sizable(np.random.default_rng(seed)))


def test_the_shipped_balanced_loop_passes_as_it_stands() -> None:
    job = loop.read_job(EXAMPLES / "razorbill-balanced.toml")
    few = with_sizing(job, {"bores": "1 in", "pumps": job.pump.curve.name})
    first, *_ = options_of(few)
    assert first.choice.as_is
    assert first.passes
    assert least_change(Rules(few)) == ((), ())


def test_the_choice_written_into_the_job_checks_good_there() -> None:
    job = answer().job
    assert answer().choice is not None
    chosen = with_choice(job, answer().options[answer().choice or 0].choice)
    assert check(at_worst_service(chosen), fixes=False).verdict == "good"
    assert at_worst_service(chosen) == answer().chosen


def test_every_code_of_size_is_one_of_the_list() -> None:
    assert set(CODES) >= FIXED_BY_SIZE


# What no size mends


def shallow() -> Job:
    return narrow(
        job_of((1, "height", "-5 in"), (3, "to", "-5 in"), (5, "to", "-4 in"), ("boat", "heel",
               "12 deg"), (1, "off_centre", "20 in"), (11, "off_centre", "6 in"))
    )  # fmt: skip


def test_an_intake_too_shallow_is_set_aside_and_told_with_the_choice() -> None:
    result = size(shallow(), draws=5)
    assert result.choice is not None
    (finding,) = result.aside
    assert finding.code == "intake-shallow"
    assert finding.actions
    mended = finding.actions[0].apply(result.chosen)
    assert check(mended, fixes=False).verdict == "good"


def test_what_no_size_fixes_is_said_with_the_answer() -> None:
    """Everything wrong with a choice at its worst service and as new that no size affects."""
    spoiled = [shallow(), job_of((10, "to", "-3 in"), (11, "height", "-3 in"))]
    for job in spoiled:
        rules = Rules(job)
        stronger = do.ChangePump("part[6]", "demo-ac-500").apply(job)
        for chosen in (job, stronger):
            said = {(one.code, one.at) for one in rules.not_fixed_by_size(chosen)}
            assert said
            for state in (at_worst_service(chosen), chosen):
                wrong = grave(check(state, fixes=False))
                assert {(w.code, w.at) for w in wrong if w.code not in FIXED_BY_SIZE} <= said


def test_a_need_with_a_digit_missing_stays_in_doubt_when_the_pump_is_sized_for_it() -> None:
    job = job_of(("condenser", "cooling", "1200 BTU/h"), (9, "loss", "0.3 psi at 50 gal/h"))
    assert "need-doubtful" in {one.code for one in check(job, fixes=False).findings}
    result = size(narrow(job, bores="1/2 in", pumps="demo-ac-200"), draws=5)
    assert result.choice is not None
    assert "need-doubtful" not in {one.code for one in check(result.chosen, fixes=False).findings}
    # The smallest listed pump gives many times such a need, which does not rule it out.
    told = {"need-doubtful", "flow-excess"}
    assert {one.code for one in result.aside} == told
    assert {one["code"] for one in to_json(result)["aside"]} == told
    assert [len(one.lines) for one in sections(result) if one.of == "aside"] == [2]


def test_a_pump_above_the_water_leaves_only_what_primes_itself() -> None:
    high = job_of((5, "to", "12 in"), (5, "length", "4 ft"), (8, "to", "14 in"))
    result = size(narrow(high, bores="3/4 in"), draws=DRAWS)
    assert result.choice is None
    codes = {reason.code for found in result.options for reason in found.reasons}
    assert "pump-above-water" in codes
    assert is_said(result.why[0], SAY, "none-passes")


# The walls


def test_too_small_a_hose_fails_on_flow_and_too_large_a_one_on_held_air() -> None:
    small = option(answer(), "demo-ac-350", 0.75, 0.5)
    fits = option(answer(), "demo-ac-350", 0.75, 0.75)
    large = option(answer(), "demo-ac-350", 1.0, 1.0)
    assert small.reasons[0].code == "flow-short"
    assert fits.passes
    assert "air-held" in {reason.code for reason in large.reasons}
    wall = pattern(SAY, "wall-smaller-pressure", bore="1/2 in")
    assert any(map(wall.fullmatch, answer().why))
    assert all(reason[0].isupper() for reason in answer().why)


def test_a_slow_suction_hose_is_no_reason_to_fail() -> None:
    """A suction hose that rises all the way may be as wide as you like."""
    wide = option(size(narrow(job_of()), draws=5), "demo-ac-350", 1.0, 0.75)
    assert wide.suction_velocity < 0.6
    assert wide.passes


def test_no_suction_hose_is_chosen_smaller_than_the_pressure_hose() -> None:
    for found in answer().options:
        assert found.as_is or bores_allowed(found.choice.bores)


def test_a_reason_is_data_and_words() -> None:
    (reason, *_) = option(answer(), "demo-ac-350", 1.0, 1.0).reasons
    assert reason.code in CODES
    assert reason.at
    assert reason.values
    assert reason.text


def test_more_need_never_makes_it_likelier() -> None:
    chances = [
        size(
            narrow(job_of(("condenser", "cooling", f"{load} BTU/h")), bores="3/4 in"),
            draws=DRAWS,
        ).options
        for load in (12000, 14000, 20000)
    ]
    for pump in ("demo-ac-350", "demo-ac-500"):
        found = [
            next(o.chance for o in some if o.choice.pump.name == pump and o.choice.count == 1)
            for some in chances
        ]
        assert found == sorted(found, reverse=True)
        assert found[0] > found[-1]


def test_the_worst_service_lowers_the_flow() -> None:
    job = narrow(job_of(), bores="3/4 in", pumps="demo-ac-350")
    clean, dirty = (
        size(with_sizing(job, {"service_blocked": share}), draws=DRAWS).options[0]
        for share in ("0 %", "80 %")
    )
    assert dirty.flow < clean.flow
    assert dirty.chance < clean.chance


# Branches


def test_each_branch_has_a_bore_of_its_own() -> None:
    """One far unit and one near: the far one needs the larger hose."""
    data = branched_loop()
    data["part"][8]["branch"][1]["part"][0]["length"] = "40 ft"
    job = narrow(parse_job(data), bores="3/8 in, 1/2 in, 5/8 in, 3/4 in, 1 in")
    near, far = next(one.choice.branch_bores for one in options_of(job)[1:] if one.passes)
    assert far > near


def test_many_branches_are_searched_and_not_refused() -> None:
    data = branched_loop()
    ways = data["part"][8]["branch"]
    names = [f"unit {number}" for number in range(5)]
    data["condenser"] = [{"name": name, "cooling": "5000 BTU/h"} for name in names]
    data["part"][8]["branch"] = [
        {"name": name, "part": [{**part, **({"serves": name} if "serves" in part else {})}
                                for part in ways[0]["part"]]}
        for name in names
    ]  # fmt: skip
    job = with_sizing(parse_job(data), {"bores": "1/2 in, 5/8 in, 3/4 in", "pumps": "demo-ac-1500"})
    found = options_of(job)
    assert len(found) < 200
    assert all(len(one.choice.branch_bores) == 5 for one in found)


# Order, front, and why


def test_the_order_is_passing_first_and_the_choice_its_head() -> None:
    options = answer().options
    assert [found.rank for found in options] == list(range(1, len(options) + 1))
    passes = [found.passes for found in options]
    assert passes == sorted(passes, reverse=True)
    assert answer().choice == 0
    assert sum(found.as_is for found in options) == 1


def test_the_front_is_what_no_other_beats() -> None:
    options, pareto_front = answer().options, set(answer().front)
    for i, here in enumerate(options):
        beaten = any(
            other.passes
            and all(a <= b for a, b in zip(objectives(other), objectives(here), strict=True))
            and objectives(other) != objectives(here)
            for other in options
        )
        assert (i in pareto_front) == (here.passes and not beaten)
    assert answer().choice in pareto_front
    assert answer().runner_up is None or answer().runner_up in pareto_front


def test_a_least_power_is_told_only_where_another_pump_draws_it() -> None:
    """Of two options that pass, each as the choice."""
    passing = [one for one in answer().options if one.passes]
    low = min(passing, key=lambda one: one.power)
    high = max(passing, key=lambda one: one.power)
    assert high.power > low.power + 1
    for first, row in (low, "choice-power-least"), (high, "choice-power"):
        told = why_chosen([first, low, high], "us", is_corrected=False)
        rows = ("choice-power-least", "choice-power")
        assert [one for one in rows if any(is_said(text, SAY, one) for text in told)] == [row]


def test_why_the_choice_comes_first_names_what_decides_with_its_numbers() -> None:
    result = size(narrow(job_of(), bores="1/2 in, 5/8 in, 3/4 in, 1 in"), draws=5)
    assert result.choice is not None
    first = result.options[result.choice]
    assert result.against
    for one in result.against:
        other = result.options[one.option]
        assert one.text
        better = {
            "smaller": other.choice.largest_bore < first.choice.largest_bore,
            "quieter": other.power < first.power,
        }
        assert better[one.of]
        if other.passes:
            assert one.decides in ("margin", "power", "price", "bore")
            assert one.values[0] != one.values[1]
        else:
            assert one.decides == other.reasons[0].code


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


# How far it goes


def test_the_choice_passes_up_to_its_reach_and_fails_past_it() -> None:
    job = narrow(job_of(), bores="3/4 in", pumps="demo-ac-350")
    result = size(job, draws=5)
    rules = Rules(job)
    found = {one.of: one for one in result.reach}
    assert {"run", "lift", "sea", "blocked"} <= set(found)
    chosen = with_choice(job, result.options[0].choice)
    run = found["run"]
    assert run.code
    for value, passes in ((0.99 * run.limit, True), (1.1 * run.limit, False)):
        assert rules.judge(with_longer_hoses(chosen, value / run.now)).passes == passes
    lift = found["lift"]
    assert lift.code
    for value, passes in ((0.9 * lift.limit, True), (lift.limit + 0.2, False)):
        assert rules.judge(with_units_higher(chosen, value)).passes == passes
    blocked = found["blocked"]
    assert blocked.now < blocked.limit < 1


def test_a_longer_run_and_a_higher_unit_are_what_they_say() -> None:
    job = parse_job(branched_loop())
    twice, up = with_longer_hoses(job, 2.0), with_units_higher(job, 0.5)

    def lengths(of: Job) -> list[float]:
        after = [part for part in of.part[6:] if isinstance(part, Hose)]
        ways = [way for part in of.part if isinstance(part, Manifold) for way in part.branch]
        return [p.length for p in [*after, *(q for w in ways for q in w.part)] if hasattr(p, "to")]

    assert lengths(twice) == pytest.approx([2 * one for one in lengths(job)])
    assert [part.to for part in up.part[:5] if isinstance(part, Hose)] == [
        part.to for part in job.part[:5] if isinstance(part, Hose)
    ]
    assert up.part[-1] == job.part[-1]
    ways = next(part for part in up.part if isinstance(part, Manifold)).branch
    before = next(part for part in job.part if isinstance(part, Manifold)).branch
    assert ways[0].part[0].to == pytest.approx(before[0].part[0].to + 0.5)  # type: ignore[union-attr]


# The rest of the answer


def test_the_same_seed_gives_the_same_answer_and_the_work_is_counted() -> None:
    few = {"bores": "3/4 in", "pumps": "demo-ac-350"}
    job = narrow(job_of(("condenser", "cooling", "14000 BTU/h")), **few)
    first, again, other = (size(job, draws=DRAWS, seed=seed) for seed in (5, 5, 6))
    assert first.to_json() == again.to_json()
    assert first.options != other.options
    assert first.studied.draws == DRAWS
    assert first.studied.checks > 0


def test_progress_is_told_to_the_end() -> None:
    told: list[tuple[int, int]] = []
    size(narrow(job_of()), draws=5, progress=lambda done, total: told.append((done, total)))
    shares = [done / total for done, total in told]
    assert shares == sorted(shares)
    # The bar is full when the answer is there, and not before.
    assert [share for share in shares if share == 1] == [1]


@pytest.mark.parametrize("draws", [0, 100_001])
def test_draws_out_of_range_are_a_mistake(draws: int) -> None:
    with pytest.raises(
        JobError, match=re.escape(SAY("wrong-draws", value=str(draws), most="100,000"))
    ):
        size(job_of(), draws=draws)


def test_the_json_has_the_keys_of_the_contract() -> None:
    data = json.loads(json.dumps(to_json(answer()), allow_nan=False))
    assert {"options", "choice", "least_change", "studied", "aside", "reach"} <= set(data)
    keys = (
        "rank as_is pump suction_bore pressure_bore branch_bores flow flow_low flow_high chance "
        "power suction_velocity pressure_velocity start_head shutoff_head passes reasons"
    )
    assert all(set(keys.split()) <= set(found) for found in data["options"])
    assert all(
        set(reason) == {"code", "at", "values", "text"}
        for found in data["options"]
        for reason in found["reasons"]
    )
    assert sum(found["as_is"] for found in data["options"]) == 1
    assert data["options"][data["choice"]]["passes"]


def test_hours_come_with_a_bank_only() -> None:
    supply = {"battery": "300 Ah", "batteries": 2, "voltage": "12.8 V", "draw": ["47 A", "24 A"]}
    data = changed() | {"supply": supply}
    found = size(narrow(parse_job(data), bores="3/4 in"), draws=5).options
    assert all(len(o.running) == 2 for o in found)
    by_pump = {o.choice.pump.name: o.running[0].hours for o in found}
    assert by_pump["demo-ac-500"] < by_pump["demo-ac-350"]
    assert not answer().options[0].running


def test_the_least_draw_that_passes_is_told_beside_the_choice() -> None:
    data = changed(("condenser", "electrical", "820 W at 100 degF"))
    result = size(narrow(parse_job(data)), draws=5)
    passing = [found for found in result.options if found.passes]
    assert all(found.energy is not None for found in passing)
    assert all(found.energy_clean is not None for found in passing)
    for found in passing:
        assert found.energy is not None
        assert found.energy_clean is not None
        worst, clean = found.energy.stages[0], found.energy_clean.stages[0]
        assert clean.units[0].condensing_temperature < worst.units[0].condensing_temperature


def test_two_pumps_are_tried_where_no_single_one_passes() -> None:
    data = changed(("condenser", "flow_per_ton", "300 gal/h"), ("defaults", "bore", "1 in"))
    job = with_sizing(parse_job(data), {"bores": "1 in, 1-1/4 in", "pumps": "demo-ac-250"})
    result = size(job, draws=5)
    counts = {found.choice.count for found in result.options}
    assert 2 in counts
    assert result.choice is None or result.options[result.choice].choice.count == 2
