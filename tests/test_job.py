"""Jobs: defaults, derived figures, the same answer in any units, all mistakes at once."""

import copy
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loop.check import check
from loop.hydraulics import solve
from loop.job import Job, JobError, parse_job, parse_toml, read_job
from loop.job.model import TON
from loop.parts import Hose, Intake
from tests.loops import changed, job_of, plain_loop

EXAMPLE = Path(__file__).parent.parent / "examples" / "kittiwake.toml"

# The plain loop once more, in SI units: the same sizes by definition of the inch, foot, gallon,
# pound and BTU.
IN, FT, GAL, PSI, BTU = 0.0254, 0.3048, 3.785411784, 6894.757293168361, 1055.05585262
SI_LOOP: dict[str, Any] = {
    "title": "Test loop",
    "water": {"temperature": f"{(75 - 32) / 1.8} degC"},
    "defaults": {"bore": f"{0.75 * IN * 1000} mm", "lining": "smooth rubber"},
    "condenser": [{"name": "saloon", "cooling": f"{12000 * BTU / 3600} W"}],
    "part": [
        {"kind": "intake", "height": f"{-16 * IN} m"},
        {"kind": "seacock"},
        {"kind": "hose", "length": f"{2 * FT} m", "to": f"{-12 * IN * 100} cm"},
        {"kind": "strainer", "loss": f"{0.4 * PSI / 1000} kPa at {300 * GAL / 60} L/min"},
        {"kind": "hose", "length": f"{2 * FT} m", "to": f"{-10 * IN * 1000} mm"},
        {"kind": "pump", "curve": "demo-ac-350"},
        {"kind": "bleed"},
        {"kind": "hose", "length": f"{10 * FT} m", "to": f"{10 * IN} m"},
        {
            "kind": "condenser",
            "serves": "saloon",
            "loss": f"{2.2 * PSI / 1e5} bar at {240 * GAL / 1000} m^3/h",
        },
        {"kind": "hose", "length": f"{6 * FT} m", "to": f"{5 * IN} m"},
        {"kind": "discharge", "height": f"{5 * IN} m"},
    ],
}


def problems_of(*changes: tuple[str | int, str, Any]) -> list[str]:
    with pytest.raises(JobError) as refused:
        parse_job(changed(*changes))
    return refused.value.problems


# What a job holds


def test_us_and_si_spellings_of_one_job_give_one_answer() -> None:
    us, si = check(job_of()), check(parse_job(SI_LOOP))
    assert si.point.flow == pytest.approx(us.point.flow, rel=1e-9)
    assert si.verdict == us.verdict
    assert [f.code for f in si.findings] == [f.code for f in us.findings]
    for one, other in zip(us.point.stations, si.point.stations, strict=True):
        assert other.total_head == pytest.approx(one.total_head, abs=1e-8)
    assert si.condensers[0].condensing_temperature == pytest.approx(
        us.condensers[0].condensing_temperature
    )


def test_how_results_are_shown_does_not_change_them() -> None:
    data = plain_loop() | {"units": "si"}
    assert solve(parse_job(data)).flow == solve(job_of()).flow


@given(st.floats(0.3, 5.0))
def test_needed_flow_and_heat_follow_the_tons(tons: float) -> None:
    """180 US gal/h and 1.25 × 12,000 BTU/h per ton: common practice."""
    unit = job_of(("condenser", "cooling", f"{12000 * tons} BTU/h")).unit("saloon")
    assert unit.needed_flow == pytest.approx(tons * 180 * GAL / 1000 / 3600)
    assert unit.rejected_heat == pytest.approx(1.25 * tons * 12000 * BTU / 3600)
    assert pytest.approx(12000 * BTU / 3600) == TON


def test_the_makers_figure_comes_before_the_rule_of_thumb() -> None:
    unit = job_of(("condenser", "flow_needed", "10 L/min")).unit("saloon")
    assert unit.needed_flow == pytest.approx(10 / 60_000)
    with pytest.raises(KeyError):
        job_of().unit("galley")


def test_defaults_are_taken_where_a_part_says_nothing() -> None:
    job = job_of((3, "bore", "1 in"), (5, "lining", "ribbed"))
    own_bore, own_lining, plain = (job.part[i] for i in (2, 4, 7))
    assert isinstance(own_bore, Hose)
    assert isinstance(own_lining, Hose)
    assert isinstance(plain, Hose)
    assert own_bore.bore == pytest.approx(IN)
    assert own_lining.lining == "ribbed"
    assert (plain.bore, plain.lining) == (pytest.approx(0.75 * IN), "smooth rubber")
    # A pump's port is its own.
    assert job.pump.inner_bore == job.pump.curve.port
    # A part's own roughness comes before the default's lining.
    rough = job_of((3, "roughness", "0.5 mm")).part[2]
    assert isinstance(rough, Hose)
    assert rough.roughness_height == pytest.approx(5e-4)


def test_defaults_reach_into_branches() -> None:
    data = plain_loop()
    hose = {"kind": "hose", "length": "4 ft", "to": "10 in"}
    data["part"][7:10] = [
        {"kind": "hose", "length": "4 ft", "to": "10 in"},
        {"kind": "manifold", "branch": [{"name": "a", "part": [hose, data["part"][8]]}]},
        {"kind": "hose", "length": "6 ft", "to": "5 in"},
    ]
    job = parse_job(data)
    manifold = next(part for part in job.part if part.kind == "manifold")
    assert manifold.branch[0].part[0].bore == pytest.approx(0.75 * IN)


def test_parts_in_code_and_parts_in_a_file_make_one_job() -> None:
    job = job_of()
    again = Job(
        title=job.title,
        water=job.water,
        defaults=job.defaults,
        condenser=job.condenser,
        part=job.part,
    )
    assert again == job
    assert isinstance(again.intake, Intake)
    assert solve(again).flow == solve(job).flow


def test_a_file_in_either_line_ending_and_with_a_mark_reads_the_same(tmp_path: Path) -> None:
    text = EXAMPLE.read_text(encoding="utf-8")
    first = read_job(EXAMPLE)
    for number, raw in enumerate(
        (text.replace("\n", "\r\n").encode(), b"\xef\xbb\xbf" + text.encode())
    ):
        path = tmp_path / f"{number}.toml"
        path.write_bytes(raw)
        assert read_job(path) == first
    assert parse_toml(text) == first


# Mistakes


def test_every_mistake_is_told_at_once_with_its_place() -> None:
    lines = problems_of(
        (3, "length", "-2 ft"),
        (5, "colour", "red"),
        (8, "to", 10),
        (9, "loss", "2.2 psi"),
        ("water", "temperature", "200 degF"),
    )
    told = "\n".join(lines)
    for place, why in (
        ("part 3 (hose) length", "out of range"),
        ("part 5 (hose)", "colour"),
        ("part 8 (hose) to", "needs a unit"),
        ("part 9 (condenser) loss", "not a rated loss"),
        ("water temperature", "out of range"),
    ):
        assert any(place in line and why in line for line in lines), (place, told)
    assert all(line.startswith("job: ") for line in lines)


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ((6, "curve", "demo-ac-35"), "demo-ac-350"),
        ((6, "kind", "tee"), "no pump"),
        ((7, "kind", "pump"), "a second pump in one line"),
        ((1, "kind", "tee"), "no intake"),
        ((11, "kind", "tee"), 'the last part must be of kind "discharge"'),
        ((11, "height", "12 in"), "disagrees with the height"),
        ((10, "length", "2 in"), "of hose cannot reach"),
        ((9, "serves", "salon"), "nearest: 'saloon'"),
        ((3, "kind", "hoze"), "hose"),
        ((3, "lenght", "3 ft"), "length"),
        ((2, "open", "150 %"), "out of range"),
        ((8, "bore", "3 ft"), "out of range"),
        ((8, "to", "nan m"), "is not a number with a unit"),
        (("boat", "speed", "3 ft"), "units that fit: knot"),
        (("condenser", "heat_rejection", math.inf), "heat_rejection"),
    ],
)
def test_a_mistake_names_what_would_be_right(change: tuple[Any, str, Any], why: str) -> None:
    lines = problems_of(change)
    assert any(why in line for line in lines), lines


@pytest.mark.parametrize("given", [True, False])
@pytest.mark.parametrize(
    ("table", "key"),
    [
        ("water", "salinity"),
        ("condenser", "heat_rejection"),
        (3, "barbs"),
        (4, "k"),
        (6, "count"),
        (9, "tubes"),
        ("fitted", "loss"),
        ("fitted", "correlation"),
        ("supply", "batteries"),
    ],
)
def test_true_and_false_are_no_numbers(table: str | int, key: str, given: bool) -> None:
    value = [0.0, given, 0.0] if key == "correlation" else given
    lines = [line for line in problems_of((table, key, value)) if f" {key}" in line]
    whole = "whole" if key in ("barbs", "count", "tubes", "batteries") else "plain"
    [line] = [line for line in lines if "must be a" in line]
    assert f"must be a {whole} number" in line
    assert line.endswith(f"not {str(given).lower()}")


def branch(name: str, *parts: dict[str, Any]) -> dict[str, Any]:
    return {"name": name, "part": list(parts)}


RISE = {"kind": "hose", "length": "4 ft", "to": "10 in"}
LOW_POINT = {"kind": "hose", "length": "4 ft", "to": "2 in"}
OUT = {"kind": "discharge", "height": "10 in"}
UNIT = {"kind": "condenser", "serves": "saloon", "loss": "2.2 psi at 240 gal/h"}


@pytest.mark.parametrize(
    ("branches", "why"),
    [
        ([branch("a", RISE, UNIT), branch("b", LOW_POINT)], "but the branches join at"),
        ([branch("a", RISE, UNIT, OUT), branch("b", RISE, OUT)], "nothing can come after"),
        ([branch("a", RISE, UNIT), branch("a", RISE)], "2 branches have this name"),
        ([branch("a", RISE, UNIT), branch("b", RISE, UNIT)], "2 parts serve 'saloon'"),
        ([branch("a", RISE, UNIT), branch("b", OUT, RISE)], "goes on after a discharge"),
        (
            [branch("a", RISE, UNIT), branch("b", {"kind": "pump", "curve": "demo-ac-350"}, RISE)],
            "a branch cannot hold a pump; write a job for each pump with an intake of its own",
        ),
        (
            [branch("a", RISE, UNIT), branch("b", {"kind": "intake", "height": "-1 in"}, RISE)],
            "a branch cannot hold an intake",
        ),
        (
            [branch("a", RISE, UNIT, {"kind": "manifold", "branch": [branch("c", RISE)]})],
            "needs a part, such as a hose, after it",
        ),
    ],
)
def test_branches_that_cannot_be(branches: list[dict[str, Any]], why: str) -> None:
    data = copy.deepcopy(plain_loop())
    data["part"][8] = {"kind": "manifold", "branch": branches}
    with pytest.raises(JobError) as refused:
        parse_job(data)
    assert why in str(refused.value)


def branching(*branches: dict[str, Any]) -> list[str]:
    """The mistakes in the plain loop with a manifold of these branches for its condenser."""
    data = copy.deepcopy(plain_loop())
    data["part"][8] = {"kind": "manifold", "branch": list(branches)}
    with pytest.raises(JobError) as refused:
        parse_job(data)
    return refused.value.problems


LONG = {"kind": "tee", "label": "x" * 61}


@pytest.mark.parametrize(
    ("branches", "why"),
    [
        (
            [branch("a", LONG, RISE, UNIT), branch("b", RISE), branch("c", LOW_POINT)],
            "branches join at",
        ),
        ([branch("a", RISE, UNIT, LONG), branch("a", RISE)], "2 branches have this name"),
        ([branch("a", RISE, UNIT, LONG), branch("b", UNIT, RISE)], "2 parts serve 'saloon'"),
        ([branch("a", RISE, LONG), branch("b", RISE)], "no part serves it"),
        (
            [branch("a", RISE, UNIT, LONG), branch("b", {"kind": "intake", "height": "-1 in"})],
            "a branch cannot hold an intake",
        ),
        (
            [
                branch("a", RISE, UNIT),
                branch("b", {"kind": "manifold", "branch": [branch("c", LONG), branch("d", LONG)]}),
            ],
            "a manifold needs a part, such as a hose, before it",
        ),
    ],
)
def test_a_wrong_field_in_a_branch_hides_no_mistake_between_parts(
    branches: list[dict[str, Any]], why: str
) -> None:
    told = branching(*branches)
    assert any("must have at most 60 characters" in line for line in told), told
    assert any(why in line for line in told), told


@pytest.mark.parametrize(
    "wrong",
    [
        branch("b", {"kind": "hose", "length": "4 ft"}),
        branch("b", {"kind": "hose", "length": 4, "to": "10 in"}),
        branch("b", RISE, {"kind": "dischrge", "height": "10 in"}),
        {"part": [RISE]},
        branch("b"),
        {"name": "b"},
    ],
)
def test_what_a_branch_does_not_say_is_no_mistake_elsewhere(wrong: dict[str, Any]) -> None:
    assert len(branching(branch("a", RISE, UNIT), wrong)) == 1


def test_a_manifold_needs_a_part_before_it_and_the_pump_first() -> None:
    data = plain_loop()
    manifold = {"kind": "manifold", "branch": [branch("a", {"kind": "tee"})]}
    data["part"].insert(1, manifold)
    with pytest.raises(JobError, match="the pump must come before the first manifold"):
        parse_job(data)
    data = plain_loop()
    data["part"][8:8] = [manifold, {**manifold, "branch": [branch("b", {"kind": "tee"})]}]
    with pytest.raises(JobError, match="a manifold needs a part, such as a hose, before it"):
        parse_job(data)


def test_two_right_pumps_in_one_line() -> None:
    lines = problems_of((7, "kind", "pump"), (7, "curve", "demo-ac-350"))
    assert any("a second pump in one line; part 6 is the first" in line for line in lines)


def test_two_units_of_one_name_and_limits_the_wrong_way_round() -> None:
    data = plain_loop()
    data["condenser"] = [*data["condenser"], *data["condenser"]]
    with pytest.raises(JobError, match="2 units have this name"):
        parse_job(data)
    lines = problems_of(
        ("condenser", "condensing_watch", "115 degF"), ("condenser", "condensing_stop", "104 degF")
    )
    assert any("condensing_stop must be above condensing_watch" in line for line in lines)


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (b"", "is empty"),
        (b"part = [", "is not TOML"),
        (b"\xff\xfe\x00", "is not UTF-8 text"),
        (b"x" * 600_000, "a job file is a page of text"),
        (b"a = " + b"[" * 5000, "nested too deeply"),
    ],
)
def test_rubbish_is_refused_in_one_line(tmp_path: Path, raw: bytes, why: str) -> None:
    path = tmp_path / "rubbish.toml"
    path.write_bytes(raw)
    with pytest.raises(JobError) as refused:
        read_job(path)
    assert len(refused.value.problems) == 1
    assert str(path) in refused.value.problems[0]
    assert why in refused.value.problems[0]


def test_a_missing_file_is_told_with_the_nearest_name() -> None:
    with pytest.raises(JobError, match=r"no such file; did you mean '.*kittiwake\.toml'\?"):
        read_job(EXAMPLE.with_name("kitiwake.toml"))
    with pytest.raises(JobError, match="is a folder; give the path of a job file"):
        read_job(EXAMPLE.parent)


@pytest.mark.parametrize("number", [10**400, -(10**400)])
@pytest.mark.parametrize(
    ("table", "key"), [(3, "length"), (5, "barbs"), ("water", "temperature"), ("water", "salinity")]
)
def test_a_number_too_large_for_any_field_is_told_in_a_line(
    table: str | int, key: str, number: int
) -> None:
    with pytest.raises(JobError) as caught:
        parse_job(changed((table, key, number)))
    (told,) = caught.value.problems
    assert key in told
    assert len(told) < 250
