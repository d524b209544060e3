"""The closed list of codes: each is produced by some job, and every table covers them all."""

import dataclasses
import importlib
import json
import re
from collections.abc import Callable, Iterator
from functools import cache

import pytest

from loop.check import CheckResult, check, to_json
from loop.check.judge import find_wrong
from loop.hydraulics import OperatingPoint, solve
from loop.job import Job, parse_job
from loop.pumps import PumpCurve, Series
from loop.sheet import sheet
from loop.words import CODES, LEVELS, Action, codes, say, told
from loop.words.action_words import WORDS
from loop.words.codes import Row
from loop.words.said import SOURCES
from loop.words.template import BLANK
from tests.actions_law import breaches
from tests.drawn_jobs import pump
from tests.loops import Table, changed, check_of, found, plain_loop
from tests.test_leg_states import wide_hose
from tests.test_pumps import FILE
from tests.test_siphon_breaks import riser, with_outlet

Change = tuple[str | int, str, object]

# Its water would carry 50 times what its motor draws.
OVERDRAWN = {
    **FILE,
    "curve": {
        "flow": {"unit": "gal/min", "values": [0, 100, 200, 300]},
        "head": FILE["curve"]["head"],
        "power": {"unit": "W", "values": [40, 45, 50, 55]},
    },
}
PLATED = {**FILE, "curve": {"nameplate": {"flow": "350 gal/h", "power": "57 W"}}}

# What to change on the plain loop (part number, key, value), and the code that this must bring.
CASES: dict[str, list[Change]] = {
    "flow-short": [("defaults", "bore", "1/2 in"), (8, "length", "30 ft")],
    "flow-marginal": [("condenser", "flow_per_ton", "225 gal/h")],
    "flow-excess": [("condenser", "cooling", "6000 BTU/h")],
    "no-flow": [(2, "open", "0 %")],
    "beyond-curve": [
        ("boat", "speed", "14 knot"),
        (1, "facing", "forward"),
        ("defaults", "bore", "1-1/4 in"),
        (9, "loss", "0.2 psi at 240 gal/h"),
    ],
    "near-shutoff": [
        (6, "curve", "demo-ac-1500"),
        (7, "kind", "seacock"),
        (7, "open", "22 %"),
        ("condenser", "cooling", "5000 BTU/h"),
    ],
    "at-rest-short": [
        ("boat", "speed", "14 knot"),
        (1, "facing", "forward"),
        ("condenser", "flow_per_ton", "240 gal/h"),
    ],
    "intake-shallow": [
        (1, "height", "-12 in"),
        (1, "off_centre", "40 in"),
        ("boat", "heel", "20 deg"),
    ],
    "intake-facing-aft": [(1, "facing", "aft"), ("boat", "speed", "6 knot")],
    "suction-hump": [(3, "length", "5 ft"), (3, "via", ["-4 in", "-14 in"])],
    "suction-dry": [
        (3, "to", "-6 in"),
        (5, "to", "20 in"),
        (5, "length", "40 ft"),
        (6, "curve", "demo-dc-prime-400"),
    ],
    "suction-level": [(3, "length", "6 ft"), (3, "to", "-16 in"), (5, "length", "4 ft")],
    "suction-above-water": [(3, "length", "5 ft"), (3, "via", ["3 in"])],
    "pump-above-water": [(5, "to", "2 in"), (5, "length", "3 ft")],
    "strainer-above-water": [(3, "to", "2 in"), (3, "length", "3 ft"), (5, "to", "3 in")],
    "start-head-short": [(8, "via", ["8 ft", "-6 in", "8 ft"]), (8, "length", "60 ft")],
    "air-held": [
        ("defaults", "bore", "1-1/4 in"),
        (8, "via", ["34 in", "4 in"]),
        (8, "length", "15 ft"),
    ],
    "leg-holds-air": [
        ("defaults", "bore", "1-1/2 in"),
        (6, "curve", "demo-ac-500"),
        (8, "to", "72 in"),
        (10, "length", "8 ft"),
    ],
    "bleed-missing": [(7, "kind", "tee")],
    "suction-fast": [(3, "bore", "1/2 in"), (5, "bore", "1/2 in")],
    "hose-fast": [
        (8, "bore", "3/8 in"),
        (9, "loss", "0.1 psi at 240 gal/h"),
        (8, "length", "3 ft"),
    ],
    "inlet-fast": [(2, "bore", "3/8 in")],
    "hose-slow": [(10, "bore", "1-1/2 in")],
    "tube-fast": [(9, "tube_bore", "0.4 in")],
    "tube-slow": [(9, "tube_bore", "0.4 in"), (9, "tubes", 6)],
    "condensing-high": [("condenser", "condensing_watch", "80 degF")],
    "condenser-fouled": [(9, "scale", "0.5 mm"), (9, "tube_bore", "0.5 in"), (9, "tubes", 2)],
    "approach-doubtful": [("condenser", "approach", "25 degF")],
    "condensing-low": [("water", "temperature", "40 degF")],
    "discharge-under-water": [(10, "to", "-3 in"), (11, "height", "-3 in")],
    "seacock-missing": [(10, "to", "-3 in"), (11, "height", "-3 in")],
    "seacock-off-hull": [
        (2, "kind", "fitting"),
        (2, "k", 1),
        (3, "kind", "seacock"),
        (3, "length", None),
        (3, "to", None),
        (5, "length", "5 ft"),
    ],
    "discharge-high": [(10, "to", "30 in"), (11, "height", "30 in")],
    "lifted-short": [
        (6, "off_centre", "0 in"),
        (10, "length", "16 ft"),
        (10, "to", "40 in"),
        (11, "height", "40 in"),
        (11, "off_centre", "8 ft"),
        ("boat", "heel", "20 deg"),
    ],
    "bore-step": [(10, "bore", "1/2 in")],
    "seacock-part-shut": [(2, "open", "50 %")],
    "strainer-missing": [(4, "kind", "tee"), (4, "loss", None)],
    "part-order": [(4, "kind", "check valve"), (4, "loss", None)],
    "tee-open": [(4, "kind", "tee"), (4, "loss", None)],
    "supply-wrong": [(6, "supply", "230 V")],
    "supply-low": [(6, "curve", "demo-dc-320"), (6, "supply", "10 V")],
    "supply-sags": [(6, "curve", "demo-dc-320"), ("sizing", "lowest_supply", "11 V")],
    "pump-nameplate": [(6, "curve", PLATED)],
    "guessed": [(4, "guessed", ["loss"])],
    "boiling": [(4, "loss", "6 psi at 100 gal/h"), (6, "curve", pump("600 gal/h", "90 ft"))],
    "strainer-margin": [],
    "strainer-due": [(4, "blocked", "75 %")],
    "need-doubtful": [("condenser", "flow_needed", "60 gal/h"), (6, "curve", "demo-ac-200")],
    "bore-doubtful": [("defaults", "bore", "19 cm")],
    "loss-doubtful": [(9, "loss", "2.2 psi at 2400 gal/h")],
    "hose-kinked": [(8, "sweeps", ["90 deg"]), (8, "bend_radius", "1 in")],
    "pump-doubtful": [(6, "curve", OVERDRAWN)],
    "hose-short": [(10, "length", "56 mm"), (10, "to", "10 in"), (11, "height", "10 in")],
    "baseline-doubtful": [("fitted", "loss", 0.3)],
    "place-unstated": [("boat", "heel", "15 deg")],
    "rise-unstated": [("boat", "speed", "24 knot"), (1, "height", "-12 in")],
    "limit-unstated": [("water", "temperature", "99 degF")],
    "supply-charging": [
        (6, "curve", "demo-dc-320"),
        (6, "supply", "14.4 V"),
        (8, "length", "45 ft"),
    ],
    "discharge-beside-intake": [
        (1, "off_centre", "30 in"),
        (1, "fore_aft", "2 ft"),
        (11, "off_centre", "40 in"),
        (11, "fore_aft", "2.5 ft"),
    ],
}


def from_changes(code: str) -> Job:
    data = changed(*CASES[code])
    for part in data["part"]:
        for key in [key for key, value in part.items() if value is None]:
            del part[key]
    return parse_job(data)


def low_bleed() -> Job:
    data = plain_loop()
    data["part"][7:8] = [
        {"kind": "hose", "length": "4 ft", "to": "-2 in"},
        {"kind": "hose", "length": "4 ft", "to": "-22 in"},
        {"kind": "bleed", "label": "low bleed"},
        {"kind": "hose", "length": "4 ft", "to": "10 in"},
    ]
    return parse_job(data)


def suction_bleed() -> Job:
    data = plain_loop()
    data["part"].insert(5, {"kind": "bleed", "label": "suction bleed"})
    return parse_job(data)


def late_strainer() -> Job:
    data = plain_loop()
    data["part"].insert(7, data["part"].pop(3))
    return parse_job(data)


def cavitating() -> Job:
    own = parse_job(plain_loop()).pump.curve
    row = Series(unit="m", values=(8.5,) * len(own.curve.flow.values))
    fields = {name: getattr(own, name) for name in PumpCurve.model_fields}
    curve = own.curve.model_copy(update={"npsh_required": row})
    return parse_job(changed((6, "curve", PumpCurve(**{**fields, "curve": curve}))))


def two_branches(first: str, second: str, pump: str = "demo-ac-700", valve: str = "100 %") -> Job:
    """Two units with these needs, the first on the shorter branch, each with a discharge."""
    units = [
        {"name": "fore", "cooling": first},
        {"name": "aft", "cooling": second},
    ]

    def branch(name: str, length: str) -> Table:
        parts: list[Table] = [
            {"kind": "seacock", "open": valve},
            {"kind": "hose", "length": length, "to": "10 in"},
            {"kind": "condenser", "serves": name, "loss": "2.2 psi at 240 gal/h"},
            {"kind": "hose", "length": "4 ft", "to": "5 in"},
            {"kind": "discharge", "height": "5 in"},
        ]
        return {"name": f"to {name}", "part": parts}

    data = plain_loop() | {"condenser": units}
    branches = [branch("fore", "4 ft"), branch("aft", "40 ft")]
    data["part"][5]["curve"] = pump
    data["part"][7:] = [{"kind": "hose", "length": "3 ft", "to": "-4 in"}]
    data["part"].append({"kind": "manifold", "branch": branches, "bore": "1 in"})
    for part in data["part"][:8]:
        part.setdefault("bore", "1 in")
    del data["part"][5]["bore"]
    return parse_job(data)


def bled_by_hand() -> Job:
    """A bleed five feet up, where the hose to the unit dips again on its way."""
    data = changed((8, "bore", "1-1/4 in"), (8, "to", "60 in"))
    dip = {"kind": "hose", "length": "10 ft", "to": "10 in", "via": ["0 in"], "bore": "1-1/4 in"}
    data["part"][8:8] = [{"kind": "bleed"}, dip]
    return parse_job(data)


JOBS: dict[str, Callable[[], Job]] = {
    **{code: lambda code=code: from_changes(code) for code in CASES},
    "bleed-in-sag": low_bleed,
    "bleed-draws-air": suction_bleed,
    "bleed-by-hand": bled_by_hand,
    "strainer-after-pump": late_strainer,
    "cavitation": cavitating,
    "unbalanced": lambda: two_branches("4000 BTU/h", "12000 BTU/h", "demo-ac-350"),
    "siphon-uncertain": wide_hose,
    "cannot-balance": lambda: two_branches("24000 BTU/h", "24000 BTU/h"),
    "branch-shut": lambda: two_branches("8000 BTU/h", "8000 BTU/h"),
    "discharge-dips": lambda: with_outlet("4 in", "15 deg"),
    "discharge-kept-out": lambda: with_outlet("-4 in", "0 deg", *riser("30 in")),
}


@cache
def checked(code: str) -> CheckResult:
    """The check of the job that has this finding."""
    assert code in JOBS, f"JOBS has no job with {code}"
    return check(JOBS[code]())


# Made by no small job: see the tests of each.
RARE = {"not-settled", "two-answers"}
plain = cache(check_of)


@pytest.mark.parametrize("code", sorted(set(CODES) - RARE))
def test_every_code_is_made_by_some_job_and_all_that_is_said_of_it_holds(code: str) -> None:
    """One check of each job tests everything, so a run on several processes makes it only once."""
    result = checked(code)
    assert found(result, code)
    if CASES.get(code):
        assert not found(plain(), code)
    all_is_said(result)
    assert not list(breaches(result))
    actions_are_values(result)
    the_verdict_follows_from_what_is_wrong(result)


def all_is_said(result: CheckResult) -> None:
    """Every finding is on the list, and no text contains a part's address."""
    for finding in result.findings:
        row = CODES[finding.code]
        assert finding.level in row.levels
        assert set(finding.basis) <= set(SOURCES)
        for case in str(finding.values.get("case", "")).split():
            assert case in row.cases or case in ("filling", "stopped", "shut")
        spoken = say(finding, result.job)
        assert all((spoken.title, spoken.where, spoken.message, spoken.fix, spoken.source))
        for text in (spoken.message, spoken.fix, spoken.title):
            assert "part[" not in text
            assert "{" not in text


def actions_are_values(result: CheckResult) -> None:
    for action in (action for finding in result.findings for action in finding.actions):
        assert hash(action) == hash(action)
        table = action.to_dict()
        assert json.loads(json.dumps(table)) == table
        assert table["kind"] == action.kind


def the_verdict_follows_from_what_is_wrong(result: CheckResult) -> None:
    """By the contract's rule; what is wrong is every finding except notes."""
    assert result.verdict == verdict(result)
    context, wrong = find_wrong(result.job)
    assert context.point.flow == result.point.flow
    grave = [one for one in result.findings if one.level != "note"]
    for one, full in zip(wrong, grave, strict=True):
        assert (one.code, one.level, one.at) == (full.code, full.level, full.at)
        # The whole text says more: what the actions leave, or that none helps.
        assert {**full.values, **one.values, "case": full.values.get("case")} == {
            **full.values,
            "case": full.values.get("case"),
        }


def verdict(result: CheckResult) -> str:
    levels = {finding.level for finding in result.findings}
    if any(c.flow < c.needed_flow for c in result.condensers) or levels & {"danger", "fault"}:
        return "bad"
    low = any(c.flow_low < c.needed_flow for c in result.condensers)
    return "attention" if low or "warning" in levels else "good"


def test_flows_that_do_not_settle_are_said_so_once_and_nothing_more_is_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = []

    def unsettled(job: Job) -> OperatingPoint:
        asked.append(job)
        return dataclasses.replace(solve(job), settled=False, residual=0.02)

    monkeypatch.setattr(importlib.import_module("loop.check.build_context"), "solve", unsettled)
    result = check(JOBS["unbalanced"]())
    assert len(asked) == 1
    (finding,) = found(result, "not-settled")
    assert finding.values["residual"] == 0.02
    assert not any(one.actions for one in result.findings)


def kinds_of(action: type[Action]) -> Iterator[type[Action]]:
    """Every class that states its kind of action."""
    for one in action.__subclasses__():
        yield from kinds_of(one)
        if "kind" in vars(one):
            yield one


def test_tables_are_complete_over_the_closed_lists() -> None:
    kinds = list(kinds_of(Action))
    assert set(WORDS) == set(kinds)
    assert len({action.kind for action in kinds}) == len(kinds)
    assert set(JOBS) | RARE == set(CODES)
    used = {key for row in CODES.values() for key in row.basis}
    assert used <= set(SOURCES)
    for row in CODES.values():
        assert list(row.levels) == sorted(row.levels, key=LEVELS.index)
        for texts in row.cases.values():
            assert set(texts) <= set(_TEXTS)


def test_no_sentence_begins_with_a_pumps_name() -> None:
    """A sentence begins with a capital, and a pump of the catalog is called by its exact name."""
    for code, row in CODES.items():
        for texts in (dataclasses.asdict(row), *row.cases.values()):
            begin = {name for name in set(_TEXTS) & set(texts) if texts[name].startswith("{pump}")}
            assert not begin, (code, begin)


# The templates of a row that a case may replace.
_TEXTS = ("message", "fix", "always", "instead", "then", "several", "several_then", "several_fix")


def reworded(row: Row) -> Row:
    """The row with other text throughout, and none of its values."""
    cases = {case: dict.fromkeys(texts, "xyz") for case, texts in row.cases.items()}
    words = dict.fromkeys(("title", *_TEXTS), "xyz")
    return dataclasses.replace(row, **words, cases=cases)  # type: ignore[arg-type]


def facts(result: CheckResult) -> str:
    """Everything in a job's result except its sentences."""
    tables = to_json(result)
    for finding in tables["findings"]:
        for key in ("title", "message", "fix", "source", "where"):
            del finding[key]
    made = sheet(result)
    bought = [[item.count, item.what, item.size, item.note] for item in made.items]
    return json.dumps([tables, bought], sort_keys=True)


@pytest.mark.parametrize("code", ["flow-short", "unbalanced", "air-held", "bore-step"])
def test_rewording_changes_no_fact(code: str, monkeypatch: pytest.MonkeyPatch) -> None:
    before = facts(checked(code))
    for name, row in list(codes.CODES.items()):
        monkeypatch.setitem(codes.CODES.rows, name, reworded(row))
    for kind in list(WORDS):
        monkeypatch.setitem(WORDS, kind, lambda action, speaker: "xyz")
    for key in list(SOURCES):
        monkeypatch.setitem(SOURCES, key, "xyz")
    after = check(JOBS[code]())
    assert {one.message for one in told(after.findings, after.job)} == {"xyz"}
    assert facts(after) == before


# Work on the hull or the line, in a fix that is only text; and other meanings of these words.
_WORK = re.compile(
    r"\b(fit|mount|route|bring|lower|raise|move|turn|take it out|clean it|split|feed|pipe|cap"
    r"|give \{unit\} a)\b"
)
_NO_WORK = re.compile(
    r"bring the flow up|bring the supply|lower discharge|fit a new baseline|raise the pressure"
    r"|give the unit (less|more)|never raise|is for pipe"
    r"|take it out of the list|give (them|the units) (less|more)|bring the flows up"
)
_HAZARD = re.compile(
    r"\{(sea|power|basket|wiring|holes?)\}|with the boat out of the water|a qualified electrician"
)


@pytest.mark.wording
@pytest.mark.parametrize("code", sorted(CODES))
def test_work_in_a_fix_without_an_action_has_its_hazard_first(code: str) -> None:
    row = CODES[code]
    fixes = [row.fix, row.several_fix]
    fixes += [
        texts.get(which, "") for texts in row.cases.values() for which in ("fix", "several_fix")
    ]
    for fix in fixes:
        work = _WORK.search(_NO_WORK.sub("", fix))
        if work:
            first = _HAZARD.search(_NO_WORK.sub("", fix))
            assert first, fix
            assert first.start() < work.start(), fix


def test_templates_name_values_by_a_quantity_that_is_shown() -> None:
    pattern = re.compile(r"\{[^}]*\}")
    for code, row in CODES.items():
        texts = [getattr(row, text) for text in _TEXTS]
        texts += [text for case in row.cases.values() for text in case.values()]
        for text in texts:
            assert all(BLANK.fullmatch(one) for one in pattern.findall(text)), code
            assert text.count("[") == text.count("]")
