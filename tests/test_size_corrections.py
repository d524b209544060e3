"""A sizing judges options on the loop after the same care that `check` gives before buying."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from loop.check import CheckResult, check
from loop.job import Job, edit_text, locate, parse_toml, read_job
from loop.parts import Condenser, Seacock, Strainer
from loop.sheet.inputs import as_toml, tables
from loop.size import Option, SizeResult, edits, size
from loop.size.option_search import OptionSearch
from loop.size.pump_search import search_pumps
from loop.size.rules import Rules, grave
from loop.size.sections import sections
from loop.size.worst_case import at_worst_service
from loop.words.actions import CleanStrainer, SetSupply, SetValve
from loop.words.size_report import SAY
from tests.command_line import EXAMPLES
from tests.loops import found, job_of
from tests.sizable import sizable
from tests.test_size import narrow

_OF_FLOW = ("no-flow", "flow-short", "flow-marginal")


def dirtied(job: Job, rng: np.random.Generator) -> Job:
    """The job with strainer fouled, seacock part shut, coils scaled: one or several of these."""
    clean = dict[str, Any]()
    for item in locate(job.part):
        if isinstance(item.part, Condenser):
            clean |= {f"{item.address}.tube_bore": "12 mm", f"{item.address}.tubes": 3}
    job, dirt = job.replace(clean), dict[str, Any]()
    which = int(rng.integers(1, 8))
    for item in locate(job.part):
        if isinstance(item.part, Strainer) and which & 1:
            dirt[f"{item.address}.blocked"] = f"{rng.uniform(75, 96):.0f} %"
        elif isinstance(item.part, Seacock) and which & 2:
            dirt[f"{item.address}.open"] = f"{rng.uniform(20, 80):.0f} %"
        elif isinstance(item.part, Condenser) and which & 4:
            dirt[f"{item.address}.scale"] = f"{rng.uniform(0.2, 1.5):.1f} mm"
    return job.replace(dirt)


def cleaned(job: Job) -> Job:
    """The job with every basket and tube clean and every seacock open, set by hand."""
    found = {
        f"{item.address}.{key}": value
        for item in locate(job.part)
        for kind, key, value in (
            (Strainer, "blocked", 0.0), (Seacock, "open", 1.0), (Condenser, "scale", 0.0)
        )
        if isinstance(item.part, kind)
    }  # fmt: skip
    return job.replace(found)


def options_of(job: Job) -> list[Option]:
    """All the options that a sizing studies."""
    return search_pumps(OptionSearch(Rules(job))).check_all()


def told_of(options: Sequence[Option]) -> list[tuple[Any, list[str]]]:
    return [(one.choice, [reason.code for reason in one.reasons]) for one in options]


def offered(result: CheckResult) -> tuple[set[str], bool]:
    """Kinds of the steps that a check offers first for more flow, and whether that leaves nothing.

    Care comes first although it leaves too little margin, which is then reported.
    """
    kinds, whole = set[str](), True
    for one in result.findings:
        if one.code in _OF_FLOW and one.actions:
            kinds |= {step.kind for step in one.actions[0].steps}
            brings = one.values.get("brings", ("",))
            whole &= not (isinstance(brings, tuple) and brings[0])
    return kinds, whole


def agrees(job: Job) -> tuple[int, int]:
    """The law, for a dirty job: how many options pass, and whether the loop as it stands does."""
    rules, options = Rules(job), options_of(job)
    assert told_of(options) == told_of(options_of(cleaned(job)))
    aside = {one.code for one in rules.aside}
    passing = [one.choice for one in options if one.passes]
    for choice in passing[:2]:
        text = edit_text(as_toml(tables(job)), edits(job, choice, rules.first))
        again = check(at_worst_service(parse_toml(text)), fixes=False)
        assert {one.code for one in grave(again)} <= aside
        assert aside or again.verdict == "good"
    return len(passing), options[0].passes


@pytest.mark.parametrize("seed", range(4))
def test_what_is_dirty_changes_no_answer_and_the_choice_checks_good(seed: int) -> None:
    rng = np.random.default_rng(100 + seed)
    agrees(dirtied(sizable(rng), rng))


@pytest.mark.extended
@pytest.mark.parametrize("seed", range(2000, 2300))
def test_what_is_dirty_changes_no_answer_of_many_random_loops(seed: int) -> None:
    rng = np.random.default_rng(seed)
    agrees(dirtied(sizable(rng), rng))


def one_way(seed: int) -> Job:
    """A dirty line with one unit, sized for the same state as a check: no allowance for dirt."""
    rng = np.random.default_rng(seed)
    length, bore = f"{rng.uniform(6, 40):.0f} ft", str(rng.choice(["5/8 in", "3/4 in"]))
    job = dirtied(job_of((8, "length", length), ("defaults", "bore", bore)), rng)
    return narrow(job, service_blocked="0 %")


# Some of these are right once cared for, and some are not.
SEEDS = range(12)


@pytest.mark.parametrize("seed", SEEDS)
def test_care_is_all_that_a_check_offers_where_a_sizing_keeps_the_loop_as_it_stands(
    seed: int,
) -> None:
    job = one_way(seed)
    rules = Rules(job)
    care = {step.kind for step in rules.first}
    kinds, whole = offered(check(job))
    if rules.passes_already:
        assert kinds <= care
        assert whole
    else:
        # Whatever is bought, everything dirty is cleaned as well.
        assert kinds >= care
        assert kinds > care or not whole


def test_those_are_loops_of_both_kinds() -> None:
    assert {Rules(one_way(seed)).passes_already for seed in SEEDS} == {True, False}


def spoiled() -> Job:
    return narrow(job_of((2, "open", "40 %"), (4, "blocked", "90 %")))


def titles(result: SizeResult) -> dict[str, str]:
    return {one.of: one.title for one in sections(result)}


def test_what_is_put_right_is_said_before_the_choice_and_written_with_it() -> None:
    job = spoiled()
    result = size(job, draws=5)
    assert result.first == (SetValve("part[2]", 0.0), CleanStrainer("part[4]"))
    assert result.choice is not None
    said, *_ = sections(result)
    assert (said.of, said.title, said.first) == ("first", SAY("first-title"), True)
    assert len(said.lines) == 2
    assert [one["action"]["kind"] for one in result.to_dict()["first"]] == [
        "set-valve", "clean-strainer"
    ]  # fmt: skip
    choice = result.options[result.choice].choice
    text = edit_text(as_toml(tables(job)), edits(job, choice, result.first))
    written = parse_toml(text)
    assert [edit.address for edit in edits(written, choice)] == []
    assert check(written, fixes=False).verdict == "good"


def test_a_danger_stands_before_what_is_put_right_and_what_no_size_fixes_after_it() -> None:
    foul = (4, "blocked", "90 %")
    no_seacock = job_of(foul, (2, "kind", "elbow"))
    beam = [(part, "off_centre", off) for part, off in ((1, "20 in"), (11, "6 in"))]
    depth = [(1, "height", "-5 in"), (3, "to", "-5 in"), (5, "to", "-4 in")]
    shallow = job_of(foul, *depth, *beam, ("boat", "heel", "12 deg"))
    for job, level, order in (
        (no_seacock, "danger", ["aside", "first"]),
        (shallow, "warning", ["first", "aside"]),
    ):
        result = size(narrow(job, bores="3/4 in", pumps="demo-ac-350"), draws=5)
        assert {one.level for one in result.aside} == {level}
        assert [one.of for one in sections(result) if one.first] == order


def test_dirt_that_the_service_allows_is_nothing_to_put_right() -> None:
    assert Rules(narrow(job_of((4, "blocked", "40 %")))).first == ()
    scaled = job_of((9, "tube_bore", "12 mm"), (9, "tubes", 3), (9, "scale", "0.2 mm"))
    assert [one.kind for one in Rules(narrow(scaled)).first] == ["descale"]
    assert Rules(narrow(scaled, service_scale="0.3 mm")).first == ()


def test_a_clean_loop_has_nothing_to_put_right() -> None:
    result = size(narrow(job_of(), bores="3/4 in"), draws=5)
    assert result.first == ()
    assert result.cared == result.job
    assert "first" not in titles(result)


def test_a_shut_seacock_is_opened_and_what_is_behind_it_seen_to() -> None:
    rules = Rules(narrow(job_of((2, "open", "0 %"), (4, "blocked", "90 %"))))
    assert rules.first == (SetValve("part[2]", 0.0), CleanStrainer("part[4]"))
    assert rules.passes_already


def test_a_valve_that_balances_branches_stays_as_it_is_set() -> None:
    balanced = read_job(EXAMPLES / "razorbill-balanced.toml")
    cocks = [item.part for item in locate(balanced.part) if isinstance(item.part, Seacock)]
    assert any(cock.open < 1 for cock in cocks)
    assert Rules(balanced).first == ()


def on_supply(supply: str, **sizing: str) -> Job:
    """A direct-current pump for 12 V on another supply."""
    return narrow(job_of((6, "curve", "demo-dc-600"), (6, "supply", supply)), **sizing)


def test_low_voltage_is_put_right_as_a_check_does_before_it_buys() -> None:
    raised = SetSupply("part[6]", 12.0)
    assert Rules(on_supply("10.4 V")).first == (raised,)
    # Less than wires may take, as a check counts it.
    assert Rules(on_supply("11.8 V")).first == ()
    # What the worst service brings on again.
    assert Rules(on_supply("10.4 V", lowest_supply="10.4 V")).first == ()
    # The supply of another pump.
    assert Rules(on_supply("6 V")).first == ()


def test_low_voltage_put_right_is_said_and_counted_on_and_comes_before_a_pump() -> None:
    job = on_supply("9.2 V", pumps="demo-dc-600")
    result = size(job, draws=5)
    assert [one.kind for one in result.first] == ["set-supply"]
    assert result.options[result.as_is].passes
    assert [one.action.kind for one in result.least_change] == ["set-supply"]
    assert titles(result)["first"] == SAY("first-title")
    (low,) = found(check(job), "supply-low")
    assert low.actions[0] == result.first[0]


@pytest.mark.parametrize(
    "odd",
    [
        [(4, "loss", "3 psi at 300 gal/h")],
        [(8, "barb_bore", "0.3 in")],
        [(7, "kind", "fitting"), (7, "k", 40)],
    ],
)
def test_a_part_that_loses_far_too_much_is_replaced_before_a_size_is_chosen(odd: Any) -> None:
    """The plain loop passes, and with this part replaced it needs no other hose or pump."""
    assert Rules(job_of()).passes_already
    rules = Rules(job_of(*odd))
    (step,) = rules.first
    assert step.kind in ("change-barbs", "change-fitting", "change-strainer")
    assert rules.passes_already


def test_a_strainer_that_a_sizing_may_choose_is_left_to_it() -> None:
    tight = (4, "loss", "3 psi at 300 gal/h")
    large = {"name": "large", "loss": "0.4 psi at 300 gal/h"}
    assert Rules(job_of(tight)).first
    assert not Rules(job_of(tight, ("sizing", "strainers", [large]))).first
