"""A call asks for nothing that its loop has no part for, and nothing that earlier answers
rule out."""

from collections.abc import Iterator
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest

from loop.diagnose import Diagnosis, diagnose, prepare
from loop.diagnose.hypotheses import Study
from loop.diagnose.result import Cause, NextReading
from loop.job import parse_job, read_toml
from loop.words.cautions import BELOW_WATER, FORCED, HOSES, OPENS
from loop.words.fault_rows import WORDS
from loop.words.faults import cautions, fix
from loop.words.had import ALL, Has
from loop.words.measuring import MEASURING
from loop.words.to_do import ROWS, doing
from tests.studies import study_of

EXAMPLES = Path(__file__).parent.parent / "examples"
# A part, and words that a step must not use if the loop lacks it; otherwise it may.
SPEAKS_OF = {
    "seacock": (" seacock ", " handle "),
    "strainer": (" strainer", " basket", " lid"),
    "bleed": (" bleed ",),
}
LACKS = ("no seacock", "no bleed")


@cache
def lacking(*kinds: str) -> Study:
    tables = read_toml(EXAMPLES / "kittiwake.toml")
    tables["part"] = [part for part in tables["part"] if part["kind"] not in kinds]
    return prepare(parse_job(tables))


def texts(result: Diagnosis) -> Iterator[tuple[str, str]]:
    """Every step and cause with all its text."""
    said: NextReading | Cause
    for said in result.next:
        yield said.reading, f" {said.title} {said.how} "
    for said in result.causes:
        yield said.fault, f" {said.title} {said.where} {said.fix} {said.look} "


@pytest.mark.parametrize("count", [1, 2, 3])
def test_no_step_names_a_part_that_the_loop_lacks(count: int) -> None:
    for kinds in combinations(SPEAKS_OF, count):
        study = lacking(*kinds)
        for stream in ("weak", "none"):
            result = diagnose(study.instruments.job, {"stream": stream}, study)
            for about, text in texts(result):
                plain = text.replace(",", " ").replace(";", " ").replace(":", " ")
                for known in LACKS:
                    plain = plain.replace(known, "")
                for kind in kinds:
                    assert not any(word in plain for word in SPEAKS_OF[kind]), (about, kind, text)


def test_what_was_done_is_called_as_this_loop_has_it() -> None:
    study, did = lacking("strainer"), "seat-lid-and-clamps"
    step = {"did": did, "saw": "something was loose", "stream": "strong", "unit": "cools"}
    readings = {"stream": "sputtering", "step": [step]}
    result = diagnose(study.instruments.job, readings, study)
    assert result.fixed_by == did
    assert result.actions_tried[0].title == doing(did, study.instruments.parts_present).title
    assert result.actions_tried[0].title in result.headline
    assert doing(did, ALL).title not in result.headline


@pytest.mark.wording
def test_without_a_seacock_the_boat_is_told_to_be_out_of_the_water() -> None:
    assert "out of the water" in Has(seacock=False).text(OPENS)


def test_where_no_seacock_can_be_shut_the_boat_is_out_of_the_water() -> None:
    """Before every step that opens the line, and never on a loop that has a seacock."""
    study = lacking("seacock")
    out = Has(seacock=False).text(OPENS)
    result = diagnose(study.instruments.job, {"stream": "weak"}, study)
    opening = {name for name, row in {**ROWS, **MEASURING}.items() if OPENS in row.hazard}
    gauges = {"pump_inlet_pressure", "pump_outlet_pressure", "strainer_drop", "strainer_seen"}
    assert {"clean-basket", "open-pump", "back-flush"} | gauges <= opening
    assert opening & {one.reading for one in result.next}
    for one in result.next:
        assert (out in one.how) == (one.reading in opening), one.reading
    whole = study_of("kittiwake")
    for one in diagnose(whole.instruments.job, {"stream": "weak"}, whole).next:
        assert out not in one.how
        assert ALL.text(one.how) == one.how  # no blank is left over


@pytest.mark.parametrize("cock", [False, True])
def test_an_outlet_under_water_without_a_seacock_floods_an_open_line(cock: bool) -> None:
    """The sea comes back through it to an open strainer, whatever is shut at the intake."""
    tables = read_toml(EXAMPLES / "kittiwake.toml")
    tables["part"][-2]["to"] = tables["part"][-1]["height"] = "-4 in"
    if cock:
        tables["part"].insert(-1, {"kind": "seacock"})
    study = prepare(parse_job(tables))
    result = diagnose(study.instruments.job, {"flow": "100 gal/h"}, study)
    steps = {one.reading: one.how for one in result.next}
    assert ("let-water-in" in steps) == cock
    for name, how in steps.items():
        if OPENS in {**ROWS, **MEASURING}[name].hazard:
            assert ("the boat out of the water before" in how) != cock, how
    basket = next(one for one in result.causes if one.fault == "strainer-blocked")
    assert ("the boat out of the water before" in basket.fix) != cock
    assert ("boat out of the water" in basket.look) != cock
    assert "clean-basket" in steps


@pytest.mark.parametrize(
    ("hazard", "steps"),
    [(FORCED, {"open-seacock", "open-branch-valves"}), (HOSES, {"wiggle-hoses", "follow-hoses"})],
)
def test_what_is_turned_or_bent_by_hand_may_break_and_is_said_to(
    hazard: str, steps: set[str]
) -> None:
    """A stuck handle that is forced, or an old hose bent at its barb, can sink the boat."""
    assert {name for name, row in ROWS.items() if row.hazard == hazard} == steps
    for fault in ("seacock-partly-shut", "branch-valve-shut"):
        assert fix(fault).startswith(FORCED)


def test_a_pump_is_fitted_with_the_sea_shut_out() -> None:
    """A pump that is changed leaves two open ends below the waterline, whatever was wrong."""
    opens = ALL.text(OPENS)
    for fault in ("motor-no-start", "motor-dead", "motor-weak", "wrong-pump", "frequency-low"):
        assert opens in fix(fault), fault
    for fault in WORDS:
        assert opens not in fix(fault) or BELOW_WATER in cautions(fault), fault


@pytest.mark.wording
def test_a_line_is_filled_at_low_pressure_with_the_seacock_open() -> None:
    """A dock's full pressure against a shut seacock bursts the strainer."""
    row = ROWS["fill-and-purge"]
    assert "low pressure" in row.hazard
    assert ALL.text(row.how).startswith("with the seacock open")


@pytest.mark.wording
def test_a_breaker_that_goes_again_is_left_off() -> None:
    assert "stays off" in ROWS["check-breaker"].hazard


# What a person has seen, and what is then pointless or harmful: a stopped pump moves no water to
# watch, its motor burns while it hums, water cannot be caught or warmed where none comes, a unit
# that runs is not reset.
STANDS = {
    "flow", "outlet_temperature", "strainer_drop", "shutoff_pressure", "pump_inlet_pressure",
    "pump_outlet_pressure", "wiggle-hoses", "close-other-units", "feed-from-bucket",
    "measure-refrigerant",
}  # fmt: skip
SENSELESS = {
    ("pump_sound", "hums"): STANDS | {"pump_current", "pump_power"},
    ("pump_sound", "silent"): STANDS | {
        "open-seacock", "clean-basket", "strainer_seen", "look-at-grate", "look-at-discharge",
        "follow-hoses", "seat-lid-and-clamps", "back-flush", "clear-intake", "open-header",
        "descale",
    },
    ("stream", "none"): {
        "flow", "outlet_temperature", "strainer_drop", "shutoff_pressure",
        "condensing_temperature", "measure-refrigerant",
    },
    ("unit", "trips"): {"outlet_temperature"},
    ("unit", "off"): {"outlet_temperature", "condensing_temperature"},
    ("unit", "cools"): {"reset-unit"},
    ("pump_sound", "rough"): {"check-breaker"},
    ("stream", "weak"): {"check-breaker"},
}  # fmt: skip


def test_a_unit_is_not_reset_for_a_pump_that_runs_dry() -> None:
    """It already calls for that pump. If the pump is silent, the unit may have stopped calling."""
    study = study_of("kittiwake")
    for sound, asked in (("normal", False), ("rough", False), ("silent", True)):
        readings = {"stream": "none", "pump_sound": sound}
        steps = [one.reading for one in diagnose(study.instruments.job, readings, study).next]
        assert ("reset-unit" in steps) == asked, sound


@pytest.mark.parametrize("loop", ["kittiwake", "guillemot"])
def test_what_was_seen_rules_out_what_is_senseless(loop: str) -> None:
    """Alone, with anything else seen, and after any action, whatever fault leads."""
    study = study_of(loop)
    units = [unit.name for unit in study.instruments.units]
    for (key, word), never in SENSELESS.items():
        of_one = key == "unit" and len(units) > 1
        own, bare = (f"{key}.{units[0]}", never) if of_one else (key, never)
        if of_one:
            bare = {f"{name}.{units[0]}" for name in never - {"reset-unit"}}
        seen = {own: word}
        for readings in (
            seen,
            {"strainer_seen": "dirty", **seen},
            {"supply": "11 V", "step": [{"did": "check-breaker", **seen}]},
        ):
            asked = {one.reading for one in diagnose(study.instruments.job, readings, study).next}
            assert not asked & bare, (readings, asked & bare)
