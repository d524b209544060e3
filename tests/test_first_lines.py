"""What a diagnosis says first: its headline, its next step, the two lines of likely causes."""

from typing import Any

import pytest

from loop.diagnose import parse_readings, prepare
from loop.diagnose.bayes import posterior
from loop.diagnose.groups import LISTED, NEGLIGIBLE, cause_groups, cause_lines
from loop.diagnose.hypotheses import Study
from loop.diagnose.posterior import DECIMALS
from loop.job import parse_job, read_toml
from loop.words.diagnosis import SAY
from loop.words.measuring import ASKED_OTHERWISE, MEASURING
from loop.words.template import fill
from tests.said import is_said
from tests.studies import study_of
from tests.test_service_calls import EXAMPLES, call, three_cabins


@pytest.fixture(scope="module")
def study() -> Study:
    return study_of("kittiwake")


@pytest.mark.parametrize(
    ("readings", "well"),
    [
        ({"stream": "strong", "flow": "231 gal/h", "pump_sound": "normal"}, True),
        ({"stream": "strong", "unit": "cools", "said": "since haul-out"}, True),
        ({"frequency": "59.9 Hz"}, True),
        ({"stream": "weak"}, False),
        ({"supply": "100 V"}, False),
        ({"stream": "strong", "flow": "225 gal/h", "under_way": {"stream": "sputtering"}}, False),
        ({"said": "since haul-out"}, False),
    ],
)
def test_where_every_reading_is_as_it_should_be_the_first_line_says_so(
    study: Study, readings: dict[str, Any], well: bool
) -> None:
    result = call(study, **readings)
    assert result.well == well
    assert is_said(result.headline, SAY, "headline-all-well") == well
    healthy = next((one for one in result.causes if one.fault == "healthy"), None)
    if healthy and not readings.keys() <= {"said"}:
        assert (healthy.why == SAY("why-healthy")) == well


def test_the_first_line_and_the_list_name_one_step_as_something_to_do(study: Study) -> None:
    result = call(study, pump_sound="normal", unit="weak", step=[{"did": "open-seacock"}])
    assert result.next[0].title in result.headline
    by_key = {one.reading: one.title for one in result.next}
    assert by_key["flow"] == fill(MEASURING["flow"].ask, {}, "us")
    assert result.headline.count(by_key[result.next[0].reading]) == 1


def test_an_instruction_names_the_unit_and_the_tool_that_its_loop_takes() -> None:
    job = three_cabins()
    asked = {one.reading: one.title for one in call(prepare(job), unit={"aft": "trips"}).next}
    assert "forward" in asked["flow.forward"]
    assert "forward" in asked["unit.forward"]
    tables = read_toml(EXAMPLES / "kittiwake.toml")
    last = tables["part"][-1]
    last["height"] = tables["part"][-2]["to"] = "-3 in"
    below = {one.reading: one.title for one in call(prepare(parse_job(tables)), unit="weak").next}
    assert below["flow"] == fill(ASKED_OTHERWISE["clamped"], {}, "us") != MEASURING["flow"].ask


def test_two_lines_name_the_likeliest_causes_each_once(study: Study) -> None:
    for readings in ({"flow": "110 gal/h"}, {"stream": "strong"}, {"strainer_drop": "3 psi"}):
        result = call(study, **readings)
        assert 1 <= len(result.lines) <= 2
        named = [result.causes[i].fault for line in result.lines for i in line.causes]
        assert len(named) == len(set(named))
        assert all(len(line.causes) <= LISTED for line in result.lines)
        assert result.causes[0].fault in named
        odds_of = [line.probability for line in result.lines]
        assert odds_of == sorted(odds_of, reverse=True)


@pytest.mark.parametrize(
    "taken",
    [
        {"flow": "110 gal/h"},
        {"pump_current": "0.3 A"},
        {"strainer_drop": "3 psi"},
        {"stream": "weak", "unit": "weak"},
        {"unit": "trips"},
    ],
)
def test_what_is_left_out_of_both_lines_is_less_likely_than_what_they_name(
    study: Study, taken: dict[str, Any]
) -> None:
    answer = posterior(study, parse_readings(taken, study.instruments.job))
    odds: dict[str, float] = {}
    for i in study.causes:
        name = study.instances[i].name
        odds[name] = max(odds.get(name, 0.0), answer.present(i))
    named = [
        list(dict.fromkeys(study.instances[i].name for i in line)) for line in cause_lines(answer)
    ]
    told = [name for line in named for name in line]
    likely = [name for name, p in odds.items() if p >= NEGLIGIBLE]
    assert len(told) == min(2 * LISTED, len(likely))
    assert told == sorted(told, key=lambda name: -round(odds[name], DECIMALS))
    left = max((odds[name] for name in likely if name not in told), default=0.0)
    assert min(odds[name] for name in told) >= left - 10**-DECIMALS


def test_the_second_line_names_what_may_be_there_with_the_first(study: Study) -> None:
    """There a cause of low weight alone precedes one that is likelier but on other calls."""
    readings = parse_readings(
        {"flow": "70 gal/h", "strainer_drop": "1.5 psi", "shutoff_pressure": "2.9 psi"},
        study.instruments.job,
    )
    answer = posterior(study, readings)
    first = {study.instances[i].name for i in cause_groups(answer)[0][:1]}
    assert first == {"strainer-blocked"}
    named = {study.instances[i].name for line in cause_lines(answer) for i in line}
    together: dict[str, float] = {}
    for one, p in zip(study.instances, answer.probability, strict=True):
        names = {fault.name for fault in one.faults}
        if len(names) == 2 and first <= names:
            (other,) = names - first
            together[other] = together.get(other, 0.0) + float(p)
    assert max(together, key=together.__getitem__) in named
