"""The service call from readings to causes: laws, facts of the trade, and the contract."""

import json
from pathlib import Path

import numpy as np
import pytest

from loop.check import check
from loop.diagnose import diagnose, fault_sites, parse_readings, prepare, simulate, to_json
from loop.diagnose.actions import ACTIONS, BY_NAME, TRIES
from loop.diagnose.bayes import posterior
from loop.diagnose.faults import FAULTS
from loop.diagnose.groups import cause_groups
from loop.diagnose.information_gain import step_values
from loop.diagnose.model_error import ERRORS
from loop.diagnose.reading_kinds import KINDS
from loop.diagnose.statements import STATEMENTS
from loop.diagnose.step_value import CURE_BITS
from loop.job import Job, JobError, parse_job, read_job
from loop.words.cautions import BELOW_WATER
from loop.words.diagnosis import SAY
from loop.words.fault_rows import WORDS
from loop.words.faults import CAUTIONS, title
from loop.words.had import ALL
from loop.words.measuring import MEASURING
from loop.words.to_do import DOING, ROWS
from tests.said import is_said

EXAMPLES = Path(__file__).parent.parent / "examples"
NAMES = {
    "intake-fouled", "seacock-partly-shut", "strainer-blocked", "suction-hose-collapsed",
    "suction-air-leak", "pump-air-bound", "pump-worn", "pump-decoupled", "motor-dead", "supply-low",
    "pressure-hose-kinked", "condenser-scaled", "condenser-film", "discharge-blocked", "sea-warm",
    "not-water-side", "healthy",
}  # fmt: skip


@pytest.fixture(scope="module")
def job() -> Job:
    return read_job(EXAMPLES / "kittiwake.toml")


@pytest.fixture(scope="module")
def study(job):
    return prepare(job)


@pytest.fixture(scope="module")
def two_units() -> Job:
    def branch(name: str) -> dict[str, object]:
        return {
            "name": name,
            "part": [
                {"kind": "hose", "length": "3 ft", "to": "0 in"},
                {"kind": "condenser", "serves": name, "loss": "1.5 psi at 150 gal/h"},
                {"kind": "hose", "length": "3 ft", "to": "5 in"},
            ],
        }

    return parse_job(
        {
            "water": {"temperature": "80 degF"},
            "defaults": {"bore": "3/4 in"},
            "condenser": [{"name": n, "cooling": "6000 BTU/h"} for n in ("saloon", "cabin")],
            "part": [
                {"kind": "intake", "height": "-16 in"},
                {"kind": "seacock"},
                {"kind": "hose", "length": "2 ft", "to": "-12 in"},
                {"kind": "strainer", "loss": "0.4 psi at 300 gal/h"},
                {"kind": "hose", "length": "2 ft", "to": "-10 in"},
                {"kind": "pump", "curve": "demo-ac-350"},
                {"kind": "hose", "length": "4 ft", "to": "-2 in"},
                {"kind": "manifold", "branch": [branch("saloon"), branch("cabin")]},
                {"kind": "hose", "length": "3 ft", "to": "5 in"},
                {"kind": "discharge", "height": "5 in"},
            ],
        }
    )


def odds(study, readings, job) -> dict[str, float]:
    answer = posterior(study, parse_readings(readings, job))
    found: dict[str, float] = {}
    for one, p in zip(study.instances, answer.probability, strict=True):
        found[one.name] = found.get(one.name, 0.0) + float(p)
    return found


def test_every_fault_of_the_trade_has_its_place_and_words(job, two_units):
    assert set(WORDS) >= NAMES
    for name in NAMES:
        assert fault_sites(job, name), name
    # Never a part that the loop lacks: these branches have no valve, this loop no branch.
    assert fault_sites(two_units, "branch-valve-shut") == ()
    assert fault_sites(two_units, "branch-air") == ("branch saloon", "branch cabin")
    assert fault_sites(job, "branch-air") == ()
    assert fault_sites(job, "check-valve-stuck") == ()


def test_no_reading_is_believed_whole():
    numbers = {name for name, kind in KINDS.items() if not kind.choices}
    assert numbers == set(ERRORS)
    assert all(any(ERRORS[name]) for name in numbers - {"sea_temperature"})  # which is given


def test_every_fault_and_every_action_has_its_words():
    assert set(WORDS) == {fault.name for fault in FAULTS}
    assert set(ROWS) == {action.name for action in TRIES}
    assert {action.name for action in ACTIONS} <= set(DOING)
    for row in WORDS.values():
        assert not row.hazard or DOING[row.hazard].hazard
    for action in ACTIONS:
        assert {name for name, *_ in action.effects} <= set(WORDS)
        assert action.risk == 0 or DOING[action.name].hazard, action.name
        assert not action.looks or set(action.answers) == set(KINDS[action.looks].choices)
        assert {*action.earlier} <= {*DOING, *KINDS}
        for one in (*action.after, *action.unless, *action.again_after):
            name, _, saw = one.partition(": ")
            assert saw in ("", *BY_NAME[name].answers)
        assert {*action.said} <= {statement.text for statement in STATEMENTS}
    for statement in STATEMENTS:
        assert set(statement.chances) <= set(WORDS)


def test_the_basket_that_was_seen_dirty_tells_little_more_when_it_is_cleaned(study, job):
    seen, did = {"strainer_seen": "dirty"}, {"step": [{"did": "clean-basket", "saw": "dirty"}]}
    looked, cleaned, both = (parse_readings(one, job) for one in (seen, did, seen | did))
    causes = [i for i in study.causes if study.instances[i].name == "strainer-blocked"]

    def odds_blocked(readings):
        share = posterior(study, readings).any_of(causes)
        return share / (1 - share)

    before = odds_blocked(parse_readings({}, job))
    assert odds_blocked(looked) > 2 * before
    assert odds_blocked(cleaned) > 2 * before
    assert odds_blocked(both) < 1.3 * odds_blocked(looked)  # the same look twice is one look

    steps = {gain.key: gain for gain in step_values(posterior(study, looked), looked)}
    fresh = {gain.key: gain for gain in step_values(posterior(study, cleaned), cleaned)}
    nothing = parse_readings({}, job)
    at_first = {gain.key: gain for gain in step_values(posterior(study, nothing), nothing)}
    assert steps["clean-basket"].gain < at_first["clean-basket"].gain
    assert "strainer_seen" in at_first
    assert "strainer_seen" not in fresh


def test_nobody_buys_a_pump_before_looking_into_the_old_one(study, job):
    looked = [{"did": "bleed", "saw": "water only"}, {"did": "clean-basket", "saw": "clean"},
              {"did": "open-seacock", "saw": "was fully open"},
              {"did": "clear-intake", "saw": "clear"}]  # fmt: skip
    dry = {"stream": "none", "pump_sound": "rough", "said": "suddenly", "step": looked}
    opened = dry | {"step": [*looked, {"did": "open-pump", "saw": "sound"}]}
    for call, fitted in ((dry, False), (opened, True)):
        readings = parse_readings(call, job)
        keys = {gain.key for gain in step_values(posterior(study, readings), readings)}
        assert ("fit-sound-pump" in keys) == fitted
        assert ("open-pump" in keys) != fitted


@pytest.mark.parametrize("hot", ["74 degF", "104 degF"])
def test_the_sea_says_the_same_whenever_it_is_read(study, job, hot):
    """Nothing that is done changes it, and it says what a temperature of before meant."""
    before = {"unit": "trips", "condensing_temperature": hot}
    step, sea = {"did": "open-seacock", "saw": "was fully open"}, {"sea_temperature": "74 degF"}
    early, late = ({**before, **sea, "step": [step]}, {**before, "step": [{**step, **sea}]})
    first, second = (posterior(study, parse_readings(one, job)) for one in (early, late))
    assert second.probability == pytest.approx(first.probability)
    unread = posterior(study, parse_readings({**before, "step": [step]}, job))
    assert np.abs(first.probability - unread.probability).max() > 0.01


def test_probabilities_are_a_whole_and_priors_rule_without_readings(study, job):
    found = odds(study, {}, job)
    assert sum(found.values()) == pytest.approx(1)
    assert max(found, key=found.__getitem__) == "strainer-blocked"


def test_a_prior_can_be_set(job):
    found = odds(prepare(job, {"pump-worn": 50.0}), {}, job)
    assert found["pump-worn"] > 0.8
    with pytest.raises(JobError, match="'gremlins'"):
        prepare(job, {"gremlins": 1.0})
    # Only the healthy loop is left, which all else is measured against.
    alone = prepare(job, dict.fromkeys([one.name for one in prepare(job).instances], 0.0))
    assert [one.name for one in alone.instances] == ["healthy"]


@pytest.mark.parametrize(
    ("readings", "fault"),
    [
        ({"stream": "none", "pump_sound": "normal", "shutoff_pressure": "0 psi"},
         {"pump-air-bound", "pump-decoupled"}),
        ({"strainer_drop": "2.5 psi", "stream": "steady"}, {"strainer-blocked"}),
        ({"stream": "sputtering", "shutoff_pressure": "3.5 psi"}, {"suction-air-leak"}),
        ({"frequency": "50 Hz", "supply": "96 V"}, {"generator-slow"}),
        ({"frequency": "50 Hz", "supply": "116 V", "stream": "weak"}, {"frequency-low"}),
        ({"sea_temperature": "93 degF", "flow": "232 gal/h"}, {"sea-warm"}),
        (
            {"flow": "233 gal/h", "sea_temperature": "83 degF", "outlet_temperature": "91 degF",
             "condensing_temperature": "118 degF"},
            {"not-water-side", "condenser-film"},
        ),
        (
            {"flow": "120 gal/h", "pump_outlet_pressure": "5 psi", "shutoff_pressure": "5.5 psi",
             "sea_temperature": "83 degF", "condensing_temperature": "107 degF"},
            {"pressure-hose-kinked", "discharge-blocked"},
        ),
        (
            {"flow": "150 gal/h", "shutoff_pressure": "3.2 psi", "stream": "steady"},
            {"pump-worn", "motor-weak", "wrong-pump"},
        ),
    ],
)  # fmt: skip
def test_the_textbook_signs_point_where_they_should(study, job, readings, fault):
    found = odds(study, readings, job)
    assert max(found, key=found.__getitem__) in fault
    assert sum(p for name, p in found.items() if set(name.split(" + ")) & fault) > 0.55


def test_condensing_at_105_to_110_on_an_80_degree_loop_is_dirt_or_the_pump(job):
    """Fact of the trade (common practice, no source).

    A loop that normally shows about 80 °F climbs to 105 to 110 °F: dirty lines, a dirty strainer,
    an obstruction or the pump.
    """
    cool = job.model_copy(
        update={"water": job.water.model_copy(update={"temperature": (63 - 32) / 1.8})}
    )
    study = prepare(cool)
    healthy = diagnose(cool, {"sea_temperature": "63 degF"}, study).healthy
    assert float(healthy["condensing_temperature"]) == pytest.approx((80 - 32) / 1.8, abs=1.5)
    lines = {"intake-fouled", "seacock-partly-shut", "suction-hose-collapsed", "condenser-scaled",
             "pressure-hose-kinked", "discharge-blocked", "condenser-film"}  # fmt: skip
    pump = {"pump-worn", "pump-air-bound", "pump-decoupled", "suction-air-leak"}
    for reading in ("105 degF", "110 degF"):
        found = odds(study, {"sea_temperature": "63 degF", "condensing_temperature": reading}, cool)
        blamed = {name: p for name, p in found.items() if set(name.split(" + ")) & (lines | pump)}
        assert sum(blamed.values()) + found["strainer-blocked"] > 0.6
        strainer = sum(p for name, p in found.items() if "strainer-blocked" in name)
        assert strainer > max(found["not-water-side"], found["healthy"])
        assert found["healthy"] < 0.01


def test_faults_in_one_place_on_the_line_share_a_group(study, job):
    readings = {"flow": "110 gal/h", "pump_outlet_pressure": "1.6 psi", "strainer_drop": "0.1 psi"}
    answer = posterior(study, parse_readings(readings, job))
    leading = {study.instances[i].name for i in cause_groups(answer)[0]}
    assert {"intake-fouled", "seacock-partly-shut", "suction-hose-collapsed"} <= leading
    assert not leading & {"strainer-blocked", "pressure-hose-kinked", "discharge-blocked"}
    result = diagnose(job, readings, study)
    assert is_said(result.groups[0].sentence, SAY, "group-split")
    assert title("intake-fouled") in result.groups[0].sentence


def test_groups_hold_every_cause_once(study, job):
    result = diagnose(job, {"flow": "150 gal/h"}, study)
    held = [i for group in result.groups for i in group.causes]
    assert sorted(held) == list(range(len(result.causes)))
    for group in result.groups:
        there = [result.causes[i].present for i in group.causes]
        assert max(there) - 1e-12 <= group.probability <= sum(there) + 1e-12


def test_severity_and_the_flow_once_fixed_hold_the_truth(study, job):
    rng = np.random.default_rng(5)
    inside = fixed = 0
    for _ in range(30):
        readings = simulate(job, "strainer-blocked", 0.85, rng)
        causes = {c.fault: c for c in diagnose(job, readings, study).causes}
        cause = causes["strainer-blocked"]
        inside += cause.severity_low <= 0.85 <= cause.severity_high
        fixed += cause.flow_fixed_low < cause.flow_fixed < cause.flow_fixed_high
    assert inside >= 22  # of 30; a 90 % band holds 27, less three standard errors
    assert fixed == 30


def test_a_known_answer_has_nothing_to_tell(study, job):
    """Information is never negative, and a reading settles what it measures."""
    before = parse_readings({"flow": "120 gal/h"}, job)
    left = {g.key: g.gain for g in step_values(posterior(study, before), before)}
    assert "flow" not in left
    assert all(gain >= 0 for gain in left.values())
    assert left["pump_outlet_pressure"] > left["supply"]


def test_information_is_what_the_entropy_really_loses(study, job):
    """The expected gain of a reading equals the mean decrease of entropy over its answers."""
    before = parse_readings({"flow": "120 gal/h"}, job)
    prior = posterior(study, before)
    gain = next(g.gain for g in step_values(prior, before) if g.key == "strainer_seen")

    def entropy(probability: np.ndarray) -> float:
        known = probability[probability > 0]
        return float(-(known * np.log2(known)).sum())

    chance = prior.weight @ study.words["strainer_seen"]
    after = [
        entropy(
            posterior(
                study, before.having(parse_readings({"strainer_seen": word}, job))
            ).probability
        )
        for word in ("clean", "dirty")
    ]
    assert gain == pytest.approx(entropy(prior.probability) - chance @ after, abs=0.02)


def _earlier(step: str) -> tuple[str, ...]:
    """What precedes a step whatever its worth."""
    return BY_NAME[step].earlier if step in BY_NAME else ()


def test_the_next_reading_names_how_and_what_to_expect(study, job):
    result = diagnose(job, {"flow": "110 gal/h", "pump_outlet_pressure": "1.6 psi"}, study)
    pulled = {earlier for one in result.next for earlier in _earlier(one.reading)}
    for kind in ("reading", "action"):  # a reading may precede a drastic action of more worth
        worth = [(one.gain + CURE_BITS * one.cure) / one.cost for one in result.next
                 if one.kind == kind and one.reading.partition(".")[0] not in pulled]  # fmt: skip
        assert worth == sorted(worth, reverse=True)
    by_name = {one.reading: one for one in result.next}
    drop = by_name["strainer_drop"]
    assert ALL.text(MEASURING["strainer_drop"].how)[1:] in drop.how
    assert float(drop.expected["strainer-blocked"]) > 5 * float(drop.expected["intake-fouled"])
    assert by_name["strainer_seen"].expected["strainer-blocked"] == "dirty"


def test_a_sharper_reading_says_more(study, job):
    def doubt(text: str) -> float:
        found = odds(study, {"strainer_drop": text}, job)
        return found["strainer-blocked"]

    assert doubt("2 psi ± 0.1") > doubt("2 psi ± 2")


def test_readings_that_nothing_explains_are_pointed_out(study, job):
    odd = {"flow": "230 gal/h", "strainer_drop": "0.2 psi", "pump_outlet_pressure": "25 psi"}
    assert is_said(diagnose(job, odd, study).misfit, SAY, "misfit-warning")
    good = {"flow": "230 gal/h", "strainer_drop": "0.2 psi"}
    assert diagnose(job, good, study).misfit == ""


def test_a_shut_branch_is_found_by_its_unit(two_units):
    readings = {
        "flow": {"saloon": "40 gal/h"},
        "sea_temperature": "78 degF",
        "outlet_temperature": {"saloon": "101 degF", "cabin": "83 degF"},
        "condensing_temperature": {"saloon": "112 degF", "cabin": "92 degF"},
    }
    lead = diagnose(two_units, readings).causes[0]
    assert lead.fault in ("branch-air", "branch-blocked")
    assert lead.where == "branch saloon"
    assert lead.predicted["flow.saloon"] < 0.5 * lead.predicted["flow.cabin"]


def test_simulated_readings_lead_back_to_their_fault(two_units):
    study, rng = prepare(two_units), np.random.default_rng(3)
    for fault, where in (("condenser-scaled", "condenser cabin"), ("pump-jammed", "pump")):
        severity = 0.12 if fault == "condenser-scaled" else 2.0
        readings = simulate(two_units, fault, severity, rng, where)
        lead = diagnose(two_units, readings, study).causes[0]
        assert (lead.fault, lead.where) == (fault, where)


def test_simulate_refuses_what_the_loop_cannot_have(job):
    with pytest.raises(ValueError, match="branch-valve-shut"):
        simulate(job, "branch-valve-shut", 0.5, np.random.default_rng(1))


def test_simulate_repeats_itself(job):
    one, two = (simulate(job, "pump-worn", 0.3, np.random.default_rng(9)) for _ in range(2))
    assert one == two


def test_json_is_the_contract(study, job):
    result = diagnose(job, {"flow": "110 gal/h", "stream": "steady"}, study)
    data = json.loads(json.dumps(to_json(result), allow_nan=False))
    assert {"causes", "groups", "next", "healthy", "actions_tried", "tools", "unknown"} <= set(data)
    cause = data["causes"][0]
    assert set(cause) >= {
        "fault", "where", "probability", "severity", "severity_low", "severity_high",
        "predicted", "why", "fix", "flow_fixed",
    }  # fmt: skip
    assert set(data["next"][0]) >= {"reading", "gain", "minutes", "how", "expected"}
    assert set(cause["predicted"]) == set(data["healthy"])
    assert data["readings"]["flow"] == pytest.approx(110 * 1.0515032733e-6)


def test_cautions_are_always_there(study, job):
    result = diagnose(job, {"flow": "110 gal/h"}, study)
    assert result.cautions == CAUTIONS
    assert BELOW_WATER in result.causes[0].cautions


def test_a_boat_that_sails_fast_is_read_at_the_dock(job):
    fast = job.at_speed(9.0)
    dock, sailing = prepare(job.at_speed(0.0)), prepare(fast)
    assert np.array_equal(dock.mean, sailing.mean)
    assert not np.array_equal(dock.under_way.mean, sailing.under_way.mean)
    healthy = sailing.mean[sailing.healthy, sailing.instruments.column_of["flow"]]
    rest = check(fast).rest
    assert rest is not None
    assert healthy == pytest.approx(rest.flow, rel=0.03)
    assert check(fast).point.flow > 1.2 * healthy


def test_no_fault_is_told_by_what_another_beside_it_would_read(job: Job, study) -> None:
    """Full flow and a hot unit: growth at the intake is described along with the unit's fault."""
    table = {"flow": "235 gal/h", "condensing_temperature": "125 degF", "stream": "strong"}
    readings = parse_readings(table, job)
    left = posterior(study, readings)
    paired = 0
    for cause in study.causes:
        rows, weight, beside = left.representative_rows(cause)
        assert weight.sum() == pytest.approx(1.0)
        (owner,) = set(study.owner[rows].tolist())
        assert study.slot[cause, owner] >= 0
        alone = left.probability[cause] / left.present(cause)
        assert (beside is None) == (owner == cause) == (alone >= 0.5)
        if beside is not None:
            assert study.slot[beside, owner] >= 0
            paired += 1
    assert paired
    fouled = next(i for i in study.causes if study.instances[i].name == "intake-fouled")
    assert left.representative_rows(fouled)[2] is not None
    for cause in diagnose(job, readings, study).causes:
        number = next(i for i in study.causes if study.instances[i].name == cause.fault)
        told = is_said(cause.why, SAY, "why-beside")
        assert told == (left.representative_rows(number)[2] is not None)
