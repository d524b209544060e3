"""Readings as a person writes them."""

import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pint
import pytest

from loop.diagnose import (
    KINDS,
    diagnose,
    display_name,
    parse_assignments,
    parse_readings,
    read_readings,
)
from loop.diagnose.action_names import IN_FILES
from loop.diagnose.actions import ACTIONS
from loop.diagnose.display import reading_text
from loop.diagnose.instruments import instruments
from loop.diagnose.measured import read_bucket
from loop.diagnose.predict import PREDICTED
from loop.diagnose.prior_weights import parse_priors
from loop.job import Job, JobError, read_job
from loop.units import UnitError, label, parse
from loop.words.cautions import LINE_OPEN
from loop.words.diagnosis import SAY
from loop.words.measuring import MEASURING
from loop.words.to_do import DOING
from tests.said import is_said

EXAMPLES = Path(__file__).parent.parent / "examples"


@pytest.fixture(scope="module")
def job() -> Job:
    return read_job(EXAMPLES / "kittiwake.toml")


def test_a_reading_is_read_by_the_name_that_is_shown(job: Job) -> None:
    for kind in KINDS.values():
        value = kind.choices[0] if kind.choices else f"50 {label(kind.quantity, 'us')}"
        assert parse_readings({display_name(kind.name): value}, job).keys == (kind.name,)


@pytest.mark.parametrize("under_way", [True, False])
def test_what_was_read_under_way_or_after_a_step_was_read(job: Job, under_way: bool) -> None:
    read = {"stream": "strong"}
    step = {"did": "open-seacock", "saw": "was fully open", **read}
    taken = parse_readings({"under_way": read} if under_way else {"step": [step]}, job)
    for cause in diagnose(job, taken).causes:
        assert not is_said(cause.why, SAY, "why-nothing-read")
    assert is_said(diagnose(job, {}).causes[0].why, SAY, "why-nothing-read")


def test_a_step_that_fits_a_gauge_says_what_an_open_fitting_does(job: Job) -> None:
    opens = instruments(job).parts_present.text(LINE_OPEN)
    for kind in (one for one in KINDS.values() if one.tool == "gauge"):
        assert opens in replace(kind, has=instruments(job).parts_present).hazard, kind.name


def test_each_reading_that_is_a_number_has_its_own_prediction() -> None:
    assert PREDICTED.keys() == {kind.name for kind in KINDS.values() if not kind.choices}
    assert len(set(PREDICTED.values())) == len(PREDICTED)


def test_each_reading_has_a_stated_width_with_its_basis():
    for kind in KINDS.values():
        assert MEASURING[kind.name].basis
        assert kind.how
        assert kind.minutes > 0
        if not kind.choices:
            assert kind.half_width(10.0) > 0


def test_a_stated_width_overrides_the_default(job):
    own = parse_readings({"flow": "150 gal/h ± 10"}, job).numbers["flow"]
    assert own.half_width == pytest.approx(parse("10 gal/h", "flow"))
    default = parse_readings({"flow": "150 gal/h"}, job).numbers["flow"]
    assert default.half_width == pytest.approx(0.06 * parse("150 gal/h", "flow"))


def test_a_bucket_is_a_flow():
    one = read_bucket("1 gal in 24 s")
    assert one.value == pytest.approx(parse("150 gal/h", "flow"))
    # 5 % of volume and 1 s of 24 s, added in quadrature.
    assert one.half_width / one.value == pytest.approx((0.05**2 + (1 / 24) ** 2) ** 0.5)
    assert read_bucket("10 L in 1 min ± 2 s").half_width < read_bucket("10 L in 10 s").half_width
    for wrong in ("1 gal", "0 gal in 3 s", "1 gal in 0 s", "1 psi in 3 s"):
        with pytest.raises(UnitError):
            read_bucket(wrong)


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ({"tools": "a pressure gauge, multimeter"}, {"tools": "gauge, meter"}),
        ({"tools": "voltmeter and clamp-on flow meter"}, {"tools": "meter, flow meter"}),
        ({"said": "HP fault"}, {"said": "high-pressure fault"}),
        ({"said": "on the generator"}, {"said": "only on the generator"}),
        ({"said": "After cleaning the strainer"}, {"said": "since the strainer was cleaned"}),
        ({"flow": "5 gal bucket in 1:20"}, {"flow": "5 gal in 80 s"}),
        ({"bucket": "a 10 L bucket in 40 s"}, {"bucket": "10 L in 40 s"}),
    ],
)
def test_other_words_for_the_same_are_taken(job: Job, written: Any, meant: Any) -> None:
    found, wanted = (parse_readings(one, job) for one in (written, meant))
    assert (found.tools, found.said) == (wanted.tools, wanted.said)
    assert [one.value for one in found.numbers.values()] == [
        one.value for one in wanted.numbers.values()
    ]


def test_every_mistake_is_told_at_once(job):
    with pytest.raises(JobError) as caught:
        parse_readings(
            {
                "flwo": "150 gal/h",
                "flow": "150 psi",
                "stream": "gushing",
                "pump_power": 50,
                "sea_temperature": "200 degF",
                "outlet_temperature": {"cabin": "90 degF"},
                "prior": {"healthy": -1},
                "date": "yesterday",
            },
            job,
            "r.toml",
        )
    text = str(caught.value)
    assert len(caught.value.problems) == 8
    assert all(line.startswith("r.toml: ") for line in caught.value.problems)
    for part in ("'flow'", "gal/h, gal/min", "strong, weak, sputtering, none, steady",
                 SAY("wrong-no-text", key="pump_power"), SAY("wrong-range"), "'saloon'", "'-1'",
                 "2025-06-30"):  # fmt: skip
        assert part in text


def test_bucket_and_flow_are_one_reading(job):
    with pytest.raises(JobError, match=re.escape(SAY("wrong-twice", key="flow"))):
        parse_readings({"flow": "150 gal/h", "bucket": "1 gal in 24 s"}, job)


def test_hertz_as_supply_is_a_frequency(job):
    assert parse_readings({"supply": "56 Hz"}, job).numbers["frequency"].value == 56


def test_one_unit_may_be_named_or_not(job):
    named = parse_readings({"outlet_temperature": {"saloon": "95 degF"}}, job)
    assert named.keys == ("outlet_temperature",)


def test_assignments(job):
    found = parse_assignments(["flow = 150 gal/h", "stream=steady"], job)
    assert found.keys == ("flow", "stream")
    with pytest.raises(JobError, match=re.escape(SAY("wrong-assignment", text="'flow'"))):
        parse_assignments(["flow"], job)
    with pytest.raises(JobError, match=re.escape(SAY("wrong-given-twice", key="flow"))):
        parse_assignments(["flow=1 gal/h", "flow=2 gal/h"], job)
    assert parse_priors(["pump-worn=0.3"]) == {"pump-worn": 0.3}
    with pytest.raises(JobError, match="pump-worn=nan"):
        parse_priors(["pump-worn=nan"])


def test_texts_read_back_to_themselves(job):
    one = read_readings(EXAMPLES / "readings-strainer.toml", job)
    again = parse_readings(one.texts, job)
    assert again.numbers == one.numbers
    assert again.words == one.words


def test_names_are_read_as_they_are_printed(job):
    printed = parse_readings({"outlet temperature": "91 F", "Condensing Temperature": "118 F"}, job)
    written = parse_readings({"outlet_temperature": "91 F", "condensing_temperature": "118 F"}, job)
    assert printed == written
    four = read_job(EXAMPLES / "dabchick.toml")
    of = parse_readings({f"outlet temperature of {four.condenser[0].name}": "91 F"}, four)
    assert of.keys == (f"outlet_temperature.{four.condenser[0].name}",)


def test_what_is_done_has_two_names_in_files_each_its_own(job: Job) -> None:
    assert IN_FILES.keys() == {action.name for action in ACTIONS}
    for name, other in IN_FILES.items():
        steps = parse_readings({"step": [{"did": name}, {"did": other}]}, job).steps
        assert [step.did for step in steps] == [name, name]


@pytest.mark.wording
def test_a_file_may_call_what_is_done_as_it_is_shown() -> None:
    assert {name: DOING[name].title for name in IN_FILES} == IN_FILES


QUANTITY = pint.UnitRegistry().Quantity


@pytest.mark.parametrize(
    ("key", "quantity", "text", "read"),
    [
        ("flow", QUANTITY(150, "gal/hour"), "150 gal/h", "flow"),
        ("flow", QUANTITY(1.5e-4, "m**3/s"), "540 L/h", "flow"),
        ("flow", QUANTITY(120, "imperial_gallon/hour"), "545.5308 L/h", "flow"),
        ("outlet_temperature", QUANTITY(95.0, "degF"), "95 degF", "outlet_temperature"),
        ("strainer_drop", QUANTITY(3, "psi"), "3 psi", "strainer_drop"),
        ("supply", QUANTITY(115, "volt"), "115 V", "supply"),
        ("supply", QUANTITY(60, "hertz"), "60 Hz", "frequency"),
    ],
)
def test_a_quantity_of_the_units_library_is_its_text(
    key: str, quantity: Any, text: str, read: str
) -> None:
    job = read_job(EXAMPLES / "kittiwake.toml")
    taken, written = (parse_readings({key: value}, job).numbers[read] for value in (quantity, text))
    assert taken.value == pytest.approx(written.value, rel=1e-9)
    assert taken.half_width == pytest.approx(written.half_width, rel=1e-9)
    assert parse_readings({key: taken.text}, job).numbers[read].value == taken.value


@pytest.mark.parametrize(
    ("key", "quantity"),
    [
        ("flow", QUANTITY(150, "psi")),
        ("flow", QUANTITY([1.0, 2.0], "gal/hour")),
        ("flow", QUANTITY(math.nan, "gal/hour")),
        ("supply", QUANTITY(5, "m")),
        ("stream", QUANTITY(5, "gal/hour")),
        ("date", QUANTITY(5, "day")),
    ],
)
def test_a_quantity_of_another_kind_is_refused(key: str, quantity: Any) -> None:
    with pytest.raises(JobError, match=key):
        parse_readings({key: quantity}, read_job(EXAMPLES / "kittiwake.toml"))


def test_readings_alone_in_a_step_were_taken_again(job: Job) -> None:
    """As from `loop call`: of the loop as the last step left it, or as it was found."""
    found = parse_readings({"step": [{"stream": "strong"}], "stream": "none"}, job)
    assert (found.words, found.steps) == ({"stream": "strong"}, ())
    bled = {"did": "bleed", "saw": "air came", "stream": "weak", "flow": "90 gal/h"}
    again = parse_readings({"step": [bled, {"flow": "1 gal in 30 s"}]}, job).steps
    assert len(again) == 1
    assert (again[0].did, again[0].words) == ("bleed", {"stream": "weak"})
    assert again[0].numbers["flow"].value == pytest.approx(parse("120 gal/h", "flow"))
    for wrong in ({}, {"saw": "air came"}):
        with pytest.raises(JobError) as told:
            parse_readings({"step": [wrong]}, job)
        assert is_said(told.value.problems[0].partition(": ")[2], SAY, "wrong-step", number="1")


def test_volts_are_compared_to_the_same_decimal() -> None:
    assert [reading_text("supply", volts, "us") for volts in (11.94, 12.0, 115.0)] == [
        "11.9 V",
        "12.0 V",
        "115.0 V",
    ]
