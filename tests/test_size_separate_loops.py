"""One pump for each unit, on its water's path through the shared loop."""

import loop
from loop.check import check
from loop.job import parse_job
from loop.parts import Condenser, Hose, Manifold, Seacock
from loop.pumps import load_pump
from loop.size import size, with_sizing
from loop.size.fit_choice import with_choice
from loop.size.option_search import OptionSearch
from loop.size.options import bore_lists, kits
from loop.size.rules import Rules
from loop.size.separate_loops import separate_jobs, separate_loops
from loop.size.worst_case import at_worst_service
from tests.command_line import EXAMPLES
from tests.loops import job_of
from tests.test_size_options import branched_loop


def test_a_run_is_the_way_of_the_units_water_and_no_more() -> None:
    job = parse_job(branched_loop())
    runs = separate_jobs(job)
    assert [[unit.name for unit in run.condenser] for run in runs] == [["saloon"], ["aft"]]
    manifold = next(part for part in job.part if isinstance(part, Manifold))
    main = sum(part.length for part in job.part if isinstance(part, Hose))
    for run, way in zip(runs, manifold.branch, strict=True):
        inside = sum(part.length for part in way.part if isinstance(part, Hose))
        whole = sum(part.length for part in run.part if isinstance(part, Hose))
        assert abs(whole - main - inside) < 1e-9
        assert [part.serves for part in run.part if isinstance(part, Condenser)] == [way.name]


def test_a_run_ends_where_its_branch_leads_overboard_and_needs_no_balancing_valve() -> None:
    data = branched_loop()
    own = data["part"][8]["branch"][0]["part"]
    own += [{"kind": "discharge", "height": "8 in"}]
    own.insert(0, {"kind": "seacock", "open": "40 %"})
    saloon, aft = separate_jobs(parse_job(data))
    assert [part.kind for part in saloon.part].count("discharge") == 1
    assert len(aft.part) > len(saloon.part) - 1
    assert all(part.open == 1 for part in saloon.part if isinstance(part, Seacock))


def test_one_unit_needs_no_answer() -> None:
    assert separate_loops(Rules(job_of())) == ()
    few = with_sizing(job_of(), {"pumps": "demo-ac-350", "bores": "3/4 in"})
    assert size(few, draws=2).apart == ()


def test_the_option_of_each_run_checks_good_there() -> None:
    job = loop.read_job(EXAMPLES / "razorbill-balanced.toml")
    job = with_sizing(job, {"pumps": "demo-dc-150, demo-dc-320, demo-dc-600"})
    found, told = [one() for one in separate_loops(Rules(job))], list[str]()
    for one, run in zip(found, separate_jobs(job), strict=True):
        assert one.option is not None
        told.append(one.option.choice.pump.name)
        fitted = with_choice(run, one.option.choice)
        assert check(at_worst_service(fitted), fixes=False).verdict == "good"
    # One for 90 gal/h, one for 180: a smaller pump serves the smaller unit.
    assert told[0] != told[1]


def test_a_run_on_which_no_pump_serves_says_so() -> None:
    job = with_sizing(parse_job(branched_loop()), {"pumps": "demo-ac-200", "bores": "1/2 in"})
    data = job.model_copy(
        update={
            "condenser": tuple(
                unit.model_copy(update={"flow_per_ton": 4 * unit.flow_per_ton})
                for unit in job.condenser
            )
        }
    )
    assert [one().option for one in separate_loops(Rules(data))] == [None, None]


def test_hoses_are_not_varied_for_a_pump_that_none_lets_pass() -> None:
    """A pump whose port cannot pass its flow is doubted in whatever hose."""
    narrow = load_pump("demo-ac-350").model_copy(update={"name": "demo-narrow", "port": 0.007})
    (run, _) = separate_jobs(
        with_sizing(parse_job(branched_loop()), {"bores": "5/8 in, 3/4 in, 1 in"})
    )
    sizing = run.sizing.model_copy(update={"pumps": (narrow,)})
    rules = Rules(run.model_copy(update={"sizing": sizing}))
    (kit,) = kits(rules.job)
    lists = bore_lists(rules.job, kit)
    choice = kit.with_bores([sizes[1] for sizes in lists])
    quick, whole = OptionSearch(rules), OptionSearch(rules)
    found = quick.adjusted(choice, lists, unless_vain=True)
    assert "pump-doubtful" in {reason.code for reason in found.reasons}
    assert quick.checked == {choice}
    whole.adjusted(choice, lists)
    assert len(whole.checked) > 1
    for other in whole.checked:
        assert "pump-doubtful" in {reason.code for reason in whole.candidate(other).reasons}
