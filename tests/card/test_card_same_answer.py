"""The card's script and `loop diagnose` give the same answer, on random calls."""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from loop.card.tables import tables
from loop.diagnose import Readings, diagnose, parse_readings, to_json
from loop.diagnose.instances import instances
from loop.diagnose.readings import ReadingSet
from loop.job import JobError
from loop.words.diagnosis import SAY
from tests.browser import Phone
from tests.card.conftest import Made
from tests.card.node import NODE, answers, in_node
from tests.card.random_calls import random_calls
from tests.said import is_said
from tests.studies import study_of_no_job
from tests.test_contradiction import IMPOSSIBLE, POSSIBLE

LOOPS = ("kittiwake", "guillemot", "petrel", "razorbill", "eider")
KEYS = (
    "headline", "causes", "next", "groups", "lines", "unknown", "fixed", "fixed_by", "done", "left",
    "hums", "as_built",
    "misfit", "contradiction", "well", "healthy", "healthy_under_way", "notes", "cautions", "tools",
)  # fmt: skip
_ANSWERS = """(calls) => calls.map((call) => {
  try { return window.loopCard.diagnose(call); }
  catch (error) { return { error: String(error.message) }; }
})"""
# What the script reads from each call, except what it refuses.
_READ = """given.map((call) => {
  const state = ({ numbers, words }) => ({
    numbers: Object.fromEntries(Object.entries(numbers).map(([key, one]) => [key, one.value])),
    words,
  });
  try {
    const { said, tools, steps, under_way, ...now } = read(s, call, s.spellings);
    return {
      ...state(now), said, tools, under_way: under_way && state(under_way),
      steps: steps.map((one) => ({ ...state(one), did: one.did, saw: one.saw })),
    };
  } catch { return null; }
})"""
_AT_ONCE = 50
# Calls as people write them, right and wrong: synonyms, and what is refused.
WRITTEN: list[dict[str, Any]] = [
    {"Flow": "100 gph"},
    {"outlet temperature": "99 F", "Sea-Temperature": "80 F", "STREAM": "weak"},
    {"Outlet temperature of saloon": "99 F"},
    {"outlet temperature.saloon": "99 F"},
    {"Shut-off pressure": "5 psi"},
    {"Outlet temperature": {"saloon": "99 F"}},
    {"outlet temperature of galley": "99 F"},
    {"Bucket": "1 gal in 24 s", "under way": {"Pump sound": "normal"}, "Said": "suddenly"},
    {"bucket": "100 gph"},
    {"bucket": "a 5 gal bucket in 1:20", "tools": "a pressure gauge, multimeter"},
    {"flow": "5 gal buckets in 80 s", "said": ["HP fault", "on the generator"], "tools": "nothing"},
    {"flow": "bucket in 80 s"},
    {"bucket": "1 gal in 24 s", "Flow": "150 gph"},
    {"flow of the bilge": "99 gph"},
    {"colour": "blue"},
    {"did": "bleed"},
    {"step": [{"did": "open-branch-valves", "saw": "all were open", "Flow": "100 gph"}]},
    {"step": [{"did": "loosen-outlet-hose", "saw": "air came"}]},
    {"step": [{"did": "look-at-check-valve"}]},
    {
        "stream": "weak",
        "step": [
            {"stream": "strong"},
            {"did": "open-seacock", "saw": "half open", "stream": "weak"},
            {"flow": "150 gal/h"},
        ],
    },
    {"stream": "strong", "pump_sound": "hums"},
    {
        "stream": "none",
        "pump_sound": "silent",
        "unit": "off",
        "step": [{"did": "reset-unit", "saw": "it starts", "stream": "weak", "flow": "70 gal/h"}],
    },
    {
        "said": "high-pressure fault",
        "flow": "231 gal/h",
        "sea_temperature": "84 degF",
        "outlet_temperature": "92 degF",
        "condensing_temperature": "104 degF",
        "unit": "cools",
    },
    {"step": [{"did": "clean-basket", "said": "suddenly"}]},
    {"step": [{"did": "dance"}]},
    {"under_way": {"date": "2026-07-01"}},
    {"under_way": "fast"},
    {"flow": "100 gph", "prior": {"pump-worn": 0.5, "pump-worn + strainer-blocked": 1}},
    {"flow": "100 gph", "prior": {"gremlins": 0.5}},
    {"flow": "100 gph", "prior": {"pump-worn": -1}},
    {"flow": "100 gph", "Prior": {"pump-worn": "often"}},
    {"flow": "100 gph", "prior": 3},
]
# Calls after which something is fixed, or not; customer statements that a reading settles.
_BASKET = {"did": "clean-basket", "saw": "dirty"}
_BLED = {"did": "bleed", "saw": "air came", "stream": "strong"}
_SEATED = {"did": "seat-lid-and-clamps", "saw": "something was loose"}
_OTHER_SUPPLY = {"did": "swap-supply", "saw": "the pump runs stronger", "stream": "strong"}
_BLED_DRY = {"did": "bleed", "saw": "water only"}
_SEACOCK = {"did": "open-seacock", "saw": "was not fully open"}
_LABEL = {"did": "read-label", "saw": "wrong or reversed"}
_HOSES = {"did": "follow-hoses", "saw": "sound all along"}
_FAILS = {"did": "run-until-it-fails", "saw": "it fails", "stream": "weak", "unit": "trips"}
_OPENED = {"did": "open-pump", "saw": "sound"}
_FED = {"did": "feed-from-bucket", "saw": "the pump runs stronger"}
_AIR_OUT = _BLED | {"unit": "off"}
_RESET = {"did": "reset-unit", "saw": "it starts"}
_WARM = {"unit": "cools", "flow": "235 gal/h", "outlet_temperature": "88 degF"}
_NO_POWER = {"did": "supply-under-way", "saw": "no power there", "stream": "strong"}
DONE: list[dict[str, Any]] = [
    {"stream": "none", "unit": "trips", "step": [_AIR_OUT]},
    {"stream": "none", "unit": "trips", "step": [_AIR_OUT, _RESET]},
    {"stream": "none", "unit": "trips", "step": [_AIR_OUT, _RESET | {"unit": "cools"}]},
    {"said": "trips at noon only", "stream": "strong", "unit": "off", "step": [_RESET | _WARM]},
    {"stream": "strong", "unit": "off", "step": [_RESET | _WARM]},
    {
        "stream": "strong",
        "unit": "off",
        "step": [_RESET | _WARM | {"outlet_temperature": "104 degF"}],
    },
    {"said": "since haul-out", "stream": "none", "step": [_BLED, _BLED]},
    {
        "said": "works at the dock, not under way",
        "stream": "strong",
        "under_way": {"stream": "none"},
        "step": [_NO_POWER],
    },
    {"flow": "120 gal/h", "unit": "trips", "step": [_BASKET | {"stream": "strong"}]},
    {"stream": "weak", "step": [_BASKET | {"stream": "strong"}]},
    {"stream": "weak", "step": [_BASKET | {"stream": "strong"}, {"did": "wiggle-hoses"}]},
    {"stream": "weak", "step": [_BASKET | {"stream": "none", "flow": "1 gal in 16 s"}]},
    {"stream": "weak", "step": [_BASKET | {"pump_sound": "normal"}]},
    {"stream": "weak", "step": [_BASKET]},
    {"said": "since the strainer was cleaned", "stream": "sputtering", "step": [_BLED]},
    {"said": "since the strainer was cleaned", "stream": "sputtering", "step": [_BLED, _SEATED]},
    {"stream": "sputtering", "step": [_BLED, _SEATED | {"stream": "strong"}]},
    {"said": "only on the generator", "stream": "weak", "step": [_OTHER_SUPPLY]},
    {"stream": "weak", "step": [_BASKET, {"did": "wiggle-hoses", "saw": "no change"}]},
    {"stream": "none", "pump_sound": "hums", "step": [{"did": "check-breaker", "saw": "was on"}]},
    {"pump_sound": "hums", "step": [{"did": "fit-sound-pump", "stream": "strong"}]},
    {"pump_sound": "hums", "step": [{"did": "open-pump", "saw": "sound"}]},
    {"pump_sound": "hums", "pump_current": "1.9 A", "stream": "none"},
    {"stream": "none", "pump_sound": "silent"},
    {"stream": "none", "pump_sound": "silent", "unit": "off"},
    {"said": "not under way", "stream": "strong"},
    {"said": "when she heels", "unit": "cools"},
    {"said": "not under way, when she heels", "stream": "strong", "flow": "1 gal in 16 s"},
    {"stream": "strong", "flow": "233 gal/h"},
    {"stream": "none", "step": [_BLED_DRY, _SEACOCK | {"stream": "none"}]},
    {"stream": "none", "step": [_BLED_DRY, _SEACOCK, _BLED_DRY | {"stream": "weak"}]},
    {"said": "new pump", "stream": "weak", "step": [_LABEL]},
    {"said": "after a rest", "stream": "strong", "unit": "cools", "step": [_HOSES, _FAILS]},
    {"said": "after a rest", "stream": "strong", "flow": "233 gal/h", "unit": "cools"},
    {"stream": "weak", "step": [_OPENED, _FED]},
    {"stream": "none", "pump_sound": "hums", "step": [_OPENED]},
    {"said": "not under way", "stream": "strong", "under_way": {"pump_sound": "silent"}},
    {"flow": "233 gal/h", "condensing_temperature": "104 degF", "unit": "weak"},
    {"flow": "269 gal/h", "outlet_temperature": "84 degF", "unit": "cools", "step": [_BASKET]},
    {"flow": "175 gal/h", "unit": "cools", "stream": "strong"},
    {"stream": "none", "pump_sound": "silent", "unit": "trips", "tools": "bucket"},
    {"stream": "strong", "unit": "trips", "flow": "233 gal/h", "tools": "bucket"},
    {"stream": "weak", "flow": "30 gal/h", "step": [_BASKET | {"saw": "clean"}]},
    {"said": "after a rest", "stream": "strong", "unit": "cools", "pump_sound": "normal"},
    {"stream": "strong", "flow": "205 gal/h", "condensing_temperature": "104 degF"},
    {"said": "after a rest", "pump_sound": "normal"},
    {"said": "after a rest", "unit": "trips", "stream": "strong"},
    {"stream": "weak", "pump_current": "0.76 A", "shutoff_pressure": "2.1 psi"},
    {"said": "after a rest", "pump_current": "0.76 A", "shutoff_pressure": "2.1 psi"},
    {"sea_temperature": "95 degF", "stream": "strong", "unit": "weak"},
]
# How a call ends, or what it asks for before it does.
_WAS_OFF = {"did": "check-breaker", "saw": "was off", "stream": "strong"}
_RESET = {"did": "reset-unit", "saw": "it starts", "unit": "cools"}
_RESET_ONE = {"did": "reset-unit", "saw": "it starts", "unit": {"stateroom": "cools"}}
_EASED = {"did": "follow-hoses", "saw": "kinked or flat somewhere", "stream": "strong"}
_OPENED = {"did": "open-seacock", "saw": "was not fully open", "stream": "strong"}
_OFF = {"stream": "strong", "unit": "off"}
_SOUND = {"stream": "strong", "unit": "cools"}
_SILENT = {"stream": "none", "pump_sound": "silent"}
_SHOWN = {"flow": "233 gal/h", "condensing_temperature": "104 degF"}
ENDS: list[dict[str, Any]] = [
    {**_SOUND, "step": [{"did": "clean-basket", "saw": "dirty"} | _SOUND]},
    {"stream": "strong", "unit": "weak", "flow": "233 gal/h", "outlet_temperature": "89 degF"},
    {"stream": "weak", "unit": "trips", "step": [_OPENED]},
    {"stream": "weak", "unit": "trips", "step": [_OPENED | {"unit": "cools"}]},
    {"stream": "weak", "unit": "trips", "step": [_OPENED | _SHOWN | {"unit": "trips"}]},
    {"stream": "weak", "unit": "trips", "step": [_OPENED | _SHOWN | {"unit": "weak"}]},
    {"stream": "weak", "condensing_temperature": "125 degF", "step": [_OPENED]},
    {"said": "HP fault", "stream": "weak", "step": [_OPENED]},
    {**_SILENT, "step": [_WAS_OFF]},
    {**_SILENT, "step": [_WAS_OFF | {"pump_current": "0.57 A"}]},
    {**_SILENT, "tools": "bucket", "step": [_WAS_OFF]},
    {**_OFF, "step": [_RESET]},
    {**_OFF, "step": [_RESET | _SHOWN]},
    {**_OFF, "tools": "none", "step": [_RESET]},
    {"stream": "none", "pump_sound": "rough", "step": [_BLED]},
    {"stream": "none", "pump_sound": "rough", "step": [_BLED, _SEATED]},
    {"stream": "none", "pump_sound": "rough", "step": [_BLED, _SEATED | {"stream": "strong"}]},
    {"said": "since haul-out", "stream": "none", "step": [_BLED]},
    {"stream": "none", "step": [{"did": "fill-and-purge", "saw": "air came", "stream": "strong"}]},
    {"said": "after it has run a while", "stream": "weak", "step": [_EASED]},
    {"stream": "weak", "supply": "92 V", "step": [_OTHER_SUPPLY]},
    {"stream": "weak", "supply": "92 V", "frequency": "48 Hz", "step": [_OTHER_SUPPLY]},
]
# The same for a loop that holds air as built, and for one of several units.
_FREED = {"did": "loosen-outlet-hose", "saw": "air came", "stream": "strong"}
_COMES = {"did": "close-other-units", "saw": "the short unit comes to life", "stream": "strong"}
_BRANCH = {"stream": "weak", "unit": {"stateroom": "trips"}}
_COOL = {"unit": {"stateroom": "cools", "wheelhouse": "cools"}}
ENDS_ELSEWHERE: dict[str, list[dict[str, Any]]] = {
    "petrel": [{"stream": "none", "step": [_FREED]}, {"stream": "weak", "step": [_BASKET]}],
    "razorbill-balanced": [
        {**_BRANCH, "step": [_COMES]},
        {**_BRANCH, "step": [_COMES | _COOL]},
        {**_BRANCH, "step": [_OPENED | _COOL, {"did": "close-other-units", "saw": "no change"}]},
        {"unit": {"stateroom": "off"}, "stream": "strong", "step": [_RESET_ONE]},
        {"said": "HP fault", "stream": "weak", "step": [_OPENED]},
    ],
}
# Tolerance of a probability; and of any other number, as a share.
NEAR = 1e-6


def differences(ours: Any, theirs: Any, where: str = "") -> Iterator[str]:
    """Every place where two answers differ, numbers by more than `NEAR`."""
    if isinstance(ours, bool | str | None):
        if ours != theirs:
            yield f"{where}: {ours!r}, on the card {theirs!r}"
    elif isinstance(ours, int | float):
        if not isinstance(theirs, int | float) or abs(ours - theirs) > NEAR * max(1, abs(ours)):
            yield f"{where}: {ours!r}, on the card {theirs!r}"
    elif isinstance(ours, dict):
        if list(ours) != list(theirs) and set(ours) != set(theirs):
            yield f"{where}: keys {sorted(set(ours) ^ set(theirs))}"
        else:
            for key, value in ours.items():
                yield from differences(value, theirs[key], f"{where}.{key}")
    elif len(ours) != len(theirs):
        yield f"{where}: {len(ours)} entries, on the card {len(theirs)}"
    else:
        for number, (one, other) in enumerate(zip(ours, theirs, strict=True)):
            yield from differences(one, other, f"{where}[{number}]")


def expect_same(study: Any, calls: Any, found: list[dict[str, Any]]) -> None:
    """Fails with the first calls whose answers differ, and how."""
    wrong = []
    for (table, readings), theirs in zip(calls, found, strict=True):
        ours = to_json(diagnose(study.instruments.job, readings, study))
        if "error" in theirs:
            wrong.append(f"{json.dumps(table)}: {theirs['error']}")
            continue
        some = list(differences({k: ours[k] for k in KEYS}, {k: theirs[k] for k in KEYS}))
        if some:
            wrong.append(f"{json.dumps(table)}: {some[:3]}")
    assert not wrong, "\n".join([f"{len(wrong)} of {len(calls)} calls differ", *wrong[:3]])


def in_browser(chromium: Any, made: Made, tables: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What the page's only entry point says about each call."""
    phone = Phone(chromium, made.file)
    phone.settled()
    found: list[dict[str, Any]] = []
    for first in range(0, len(tables), _AT_ONCE):
        found += phone.page.evaluate(_ANSWERS, tables[first : first + _AT_ONCE])
    assert phone.trouble == []
    phone.close()
    return found


@pytest.mark.parametrize("name", LOOPS)
def test_the_page_answers_like_the_command(name: str, made: Any, chromium: Any) -> None:
    one: Made = made(name)
    calls = random_calls(one.study, 5, seed=1)
    expect_same(one.study, calls, in_browser(chromium, one, [table for table, _ in calls]))


@pytest.mark.extended
@pytest.mark.parametrize("name", LOOPS)
def test_the_page_answers_like_the_command_a_thousand_times(
    name: str, made: Any, chromium: Any
) -> None:
    one: Made = made(name)
    calls = random_calls(one.study, 1000, seed=2)
    expect_same(one.study, calls, in_browser(chromium, one, [table for table, _ in calls]))


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
def test_another_engine_answers_the_same_of_a_boat_without_a_job_file() -> None:
    study = study_of_no_job()
    calls = random_calls(study, 6, seed=3)
    found = answers(tables(study), [table for table, _ in calls])
    expect_same(study, calls, found)


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
def test_readings_that_nothing_explains_are_answered_whenever_they_were_taken(
    made: Any,
) -> None:
    one: Made = made("kittiwake")
    wild = {"flow": "320 gal/h", "pump_outlet_pressure": "25 psi", "pump_power": "400 W"}
    tried = {"did": "bleed", "saw": "water only"}
    calls = [
        (table, parse_readings(table, one.study.instruments.job))
        for table in (wild, {"step": [tried | wild]}, {"flow": "200 gal/h", "step": [tried | wild]})
    ]
    found = answers(tables(one.study), [table for table, _ in calls])
    assert all(is_said(answer["misfit"], SAY, "misfit-warning") for answer in found)
    expect_same(one.study, calls, found)


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
@pytest.mark.parametrize("each", [4, pytest.param(1, marks=pytest.mark.extended)])
def test_readings_that_contradict_each_other_are_answered_the_same(each: int, made: Any) -> None:
    one: Made = made("kittiwake")
    impossible = IMPOSSIBLE[::each]
    others = (POSSIBLE + DONE + ENDS)[::each]
    given = [*(readings for readings, _ in impossible), *others]
    calls = [(table, parse_readings(table, one.study.instruments.job)) for table in given]
    found = answers(tables(one.study), [table for table, _ in calls])
    assert [tuple(answer["contradiction"]) for answer in found[: len(impossible)]] == [
        pair for _, pair in impossible
    ]
    expect_same(one.study, calls, found)


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
@pytest.mark.parametrize("name", ["razorbill", "turnstone"])
def test_a_loop_that_is_short_as_built_is_answered_the_same(name: str, made: Any) -> None:
    one: Made = made(name)
    given: list[dict[str, Any]] = [{"stream": "strong"}, {"said": "only one unit"}, {}]
    calls = [(table, parse_readings(table, one.study.instruments.job)) for table in given]
    found = answers(tables(one.study), given)
    assert is_said(found[0]["headline"], SAY, "headline-as-built")
    expect_same(one.study, calls, found)


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
@pytest.mark.parametrize("name", ENDS_ELSEWHERE)
def test_a_call_ends_the_same(name: str, made: Any) -> None:
    one: Made = made(name)
    given = ENDS_ELSEWHERE[name]
    calls = [(table, parse_readings(table, one.study.instruments.job)) for table in given]
    expect_same(one.study, calls, answers(tables(one.study), given))


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
def test_a_difference_is_seen(made: Any) -> None:
    """The comparison fails if the card's constants are not the program's."""
    one: Made = made("kittiwake")
    calls = random_calls(one.study, 3, seed=4)
    bent = tables(one.study)
    bent["constants"]["tail"] *= 1.01
    found = answers(bent, [table for table, _ in calls])
    with pytest.raises(AssertionError, match="calls differ"):
        expect_same(one.study, calls, found)


@pytest.mark.skipif(NODE is None, reason="no node on this machine")
@pytest.mark.parametrize("name", ["kittiwake", "guillemot"])
def test_what_one_of_them_refuses_the_other_refuses(name: str, made: Any) -> None:
    """And what both accept, they take for the same."""
    one: Made = made(name)
    job = one.study.instruments.job
    seen = set()
    for table, theirs in zip(WRITTEN, in_node(_READ, WRITTEN, one.card.tables), strict=True):
        try:
            readings: Readings | None = parse_readings(table, job)
            assert readings is not None
            instances(one.study.instruments.network, len(job.condenser), readings.prior)
        except JobError:
            readings = None
        seen.add(readings is None)
        assert (theirs is None) == (readings is None), table
        if readings is not None:
            assert [*differences(_taken(readings), theirs)] == [], table
    assert seen == {True, False}


def _taken(readings: Readings) -> dict[str, Any]:
    """The readings of a call, as `_READ` has them."""
    under_way = readings.under_way
    return _state(readings) | {
        "said": list(readings.said),
        "tools": None if readings.tools is None else list(readings.tools),
        "steps": [_state(step) | {"did": step.did, "saw": step.saw} for step in readings.steps],
        "under_way": None if under_way is None else _state(under_way),
    }


def _state(taken: ReadingSet) -> dict[str, Any]:
    values = {key: one.value for key, one in taken.numbers.items()}
    return {"numbers": values, "words": dict(taken.words)}
