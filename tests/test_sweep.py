"""A grid of changes: every point as check finds it, and what cannot be varied."""

import csv
import io
import math
import pickle
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import loop
from loop.catalogue import catalogue
from loop.check.result import Supply
from loop.job import Job, JobError, Put, edit, read_job
from loop.job.address import locate
from loop.margins.heat import TRIPS
from loop.sweep import Sweep, read_vary, sweep
from loop.sweep.axes import MAX_POINTS
from loop.sweep.points import Points
from loop.units import bare, show
from loop.words.commands import SAY
from tests.command_line import EXAMPLES, KITTIWAKE
from tests.command_line import loop as run
from tests.test_other_solutions import narrow_header

JOB = read_job(KITTIWAKE)
LENGTH, HIGHER = "part[8].length", ("part[10].to", "part[11].height")
Vary = Mapping[Any, Sequence[Any]]


def at(job: Job, vary: Vary, place: Sequence[int]) -> loop.CheckResult:
    """The check's result at a point."""
    puts = []
    for (addresses, values), number in zip(vary.items(), place, strict=True):
        names = (addresses,) if isinstance(addresses, str) else addresses
        puts += [Put(name, values[number]) for name in names]
    return loop.check(edit(job, puts), fixes=False)


def assert_as_check(job: Job, vary: Vary, points: int = 12) -> Sweep:
    """Compares evenly drawn points of a grid with check."""
    found = sweep(job, vary)
    places = list(np.ndindex(found.shape))
    for place in places[:: max(len(places) // points, 1)]:
        result = at(job, vary, place)
        assert found.total_flow[place] == pytest.approx(result.point.flow, rel=2e-3, abs=1e-9)
        assert found.head[place] == pytest.approx(result.pump.head, rel=2e-3)
        assert found.power[place] == pytest.approx(result.pump.power, rel=2e-3, nan_ok=True)
        assert found.past_curve[place] == result.point.past_curve
        assert found.starts[place] == result.starts
        assert found.intake_dry[place] == (
            any(f.code == "intake-shallow" and f.level == "danger" for f in result.findings)
        )
        assert found.wrong_supply[place] == (
            any(f.code == "supply-wrong" and f.level != "note" for f in result.findings)
        )
        most = max(abs(unit.flow) for unit in result.condensers)
        for number, unit in enumerate(result.condensers):
            own = (*place, number)
            assert found.flow[own] == pytest.approx(unit.flow, rel=2e-3, abs=2e-3 * most + 1e-9)
            assert found.needed_flow[own] == unit.needed_flow
            assert found.inlet_temperature[own] == pytest.approx(unit.inlet_temperature, abs=0.05)
            if unit.runs_on:
                hot, warms = found.condensing_temperature[own], found.temperature_rise[own]
                assert hot == pytest.approx(unit.condensing_temperature, abs=0.1)
                assert warms == pytest.approx(unit.temperature_rise, rel=5e-3)
    return found


def test_a_series_loop_is_swept_as_it_is_checked() -> None:
    found = assert_as_check(
        JOB,
        {
            LENGTH: ["6 ft", "30 ft"],
            "part[8].bore": ["5/8 in", "3/4 in"],
            "part[4].blocked": ["0 %", "50 %"],
            "pump": ["demo-ac-250", "demo-ac-500"],
            "water.temperature": ["60 degF", "85 degF"],
            HIGHER: ["2 in", "10 in", "-2 in"],
        },
    )
    assert found.shape == (2, 2, 2, 2, 2, 3)
    assert list(found.axes) == [
        LENGTH, "part[8].bore", "part[4].blocked", "pump", "water.temperature",
        "part[10].to = part[11].height",
    ]  # fmt: skip


def test_pumps_of_every_kind_and_number() -> None:
    assert_as_check(
        JOB,
        {
            "pump": [*catalogue()][::3],
            "part[6].count": [1, 2, 3],
            "part[6].arrangement": ["parallel", "series"],
            LENGTH: ["6 ft", "60 ft"],
        },
        points=15,
    )


def test_what_changes_every_part_and_what_stops_the_water() -> None:
    assert_as_check(
        JOB,
        {
            "defaults.bore": ["5/8 in", "3/4 in", "1 in"],
            "water.salinity": [0, 35],
            "boat.speed": ["0 knot", "10 knot"],
            "part[2].open": ["100 %", "60 %", "0 %"],
            "part[1].facing": ["forward", "aft"],
            "condenser[1].cooling": ["9000 BTU/h", "12000 BTU/h"],
        },
        points=12,
    )


@pytest.mark.parametrize(
    "name", ["dabchick", "razorbill", "guillemot", "petrel", "turnstone", "eider"]
)
def test_every_kind_of_loop_is_swept_as_it_is_checked(name: str) -> None:
    job = read_job(EXAMPLES / f"{name}.toml")
    parts = locate(job.part)
    hose = [one.address for one in parts if one.part.kind == "hose"][-2]
    strainer = next(one.address for one in parts if one.part.kind == "strainer")
    unit = [one.address for one in parts if one.part.kind == "condenser"][-1]
    supply = job.pump.supply or job.pump.curve.rated_supply
    assert_as_check(
        job,
        {
            f"{hose}.length": ["8 ft", "20 ft"],
            f"{hose}.bore": ["5/8 in", "3/4 in"],
            "water.temperature": ["50 degF", "90 degF"],
            f"{strainer}.blocked": ["0 %", "60 %"],
            f"{unit}.loss": ["1 psi at 200 gal/h", "3 psi at 200 gal/h"],
            "pump.supply": [0.95 * supply, supply],
        },
        points=4,
    )


def test_labels_and_quantities_are_taken(tmp_path: Path) -> None:
    label = next(one.label for one in locate(JOB.part) if one.path == ("part", 7))
    one = sweep(JOB, {f"{label}.length": [3.048]})
    other = sweep(JOB, {LENGTH: ["10 ft"]})
    assert one.total_flow == pytest.approx(other.total_flow, rel=1e-12)


def test_mistakes_of_every_axis_are_told_at_once() -> None:
    with pytest.raises(JobError) as refused:
        sweep(JOB, {LENGTH: ["8 ft", "8 psi"], "pump": ["demo-ac-9"], "part[99].bore": ["1 in"]})
    assert len(refused.value.problems) == 3
    assert any("part[8].length = 8 psi" in line for line in refused.value.problems)
    with pytest.raises(JobError, match=re.escape(SAY("sweep-no-values", address=LENGTH))):
        sweep(JOB, {LENGTH: []})
    with pytest.raises(JobError, match=re.escape(SAY("sweep-units"))):
        sweep(JOB, {("condenser[1].name", "part[9].serves"): ["saloon", "other"]})
    many = [f"{3 + n / 1e4} m" for n in range(5000)]
    assert len(many) ** 2 > MAX_POINTS
    with pytest.raises(JobError, match="25,000,000"):
        sweep(JOB, {LENGTH: many, "part[10].length": many})


def test_progress_is_told_and_can_end_it() -> None:
    told: list[tuple[int, int]] = []
    vary = {LENGTH: ["6 ft", "12 ft"], HIGHER: ["2 in", "5 in", "9 in"]}
    sweep(JOB, vary, lambda done, every: told.append((done, every)))
    assert told == [(2, 6), (4, 6), (6, 6)]

    def stop(done: int, every: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        sweep(JOB, vary, stop)


def test_the_answer_is_rows_json_and_a_notebooks_table() -> None:
    found = sweep(JOB, {LENGTH: ["6 ft", "12 ft"], "pump": ["demo-ac-250", "demo-dc-600"]})
    rows = list(csv.DictReader(io.StringIO(found.to_csv())))
    assert [row["pump"] for row in rows] == ["demo-ac-250", "demo-dc-600"] * 2
    for number, row in enumerate(rows):
        place = np.unravel_index(number, found.shape)
        assert float(row["flow saloon [m3/s]"]) == found.flow[(*place, 0)]
    american = list(csv.DictReader(io.StringIO(found.to_csv("us"))))
    flow = float(american[0]["total_flow [gal/h]"]) * 3.785411784e-3 / 3600
    assert flow == pytest.approx(found.total_flow[0, 0], rel=1e-5)
    told = found.to_dict()
    assert told["axes"] == {LENGTH: ["6 ft", "12 ft"], "pump": ["demo-ac-250", "demo-dc-600"]}
    assert np.array(told["flow"]).shape == (2, 2, 1)
    assert found._repr_html_().count("<tr>") == 5
    assert repr(found) == f"Sweep(4 points; {LENGTH}: 2, pump: 2)"


def test_a_frame_has_a_row_a_point() -> None:
    pandas = pytest.importorskip("pandas")
    found = sweep(JOB, {LENGTH: ["6 ft", "12 ft"]})
    frame = found.to_frame()
    assert isinstance(frame, pandas.DataFrame)
    assert list(frame["flow saloon"]) == found.flow[:, 0].tolist()


COUPLED = {
    "part[8].to": ["10 in", "60 in", "120 in"],
    "part[8].length": ["12 ft", "20 ft"],
    "part[10].length": ["15 ft", "20 ft"],
}


def test_values_that_fit_only_together_are_swept_together() -> None:
    """A hose 10 ft long alone does not reach to 120 in, nor does the next come down from there."""
    with pytest.raises(JobError, match="cannot reach"):
        JOB.replace({"part[8].to": "120 in"})
    found = assert_as_check(JOB, COUPLED)
    assert found.shape == (3, 2, 2)
    # In whatever order they stand.
    turned = sweep(JOB, dict(reversed(COUPLED.items()))).flow[..., 0].T
    assert turned == pytest.approx(found.flow[..., 0])


def test_only_what_no_combination_allows_is_refused() -> None:
    short = COUPLED | {"part[8].length": ["6 ft", "20 ft"]}
    with pytest.raises(JobError) as refused:
        sweep(JOB, short)
    problems = refused.value.problems
    assert len(problems) == 2
    for line, last in zip(problems, ("15 ft", "20 ft"), strict=True):
        assert line.startswith(
            f"part[8].to = 120 in, part[8].length = 6 ft, part[10].length = {last}: "
        )
    high = COUPLED | {"part[8].to": ["10 in", "600 in"]}
    with pytest.raises(JobError) as refused:
        sweep(JOB, high)
    assert all(line.startswith("part[8].to = 600 in: ") for line in refused.value.problems)
    with pytest.raises(JobError) as refused:
        sweep(JOB, COUPLED | {"pump": ["demo-ac-9"], "water.salinity": [20, 90]})
    assert [line.split(" = ")[0] for line in refused.value.problems] == ["pump", "water.salinity"]


def test_an_answer_equals_itself_after_pickling() -> None:
    vary = {LENGTH: ["6 ft", "12 ft"], "part[4].blocked": ["0 %", "99 %"]}
    found = sweep(JOB, vary)
    assert np.isnan(found.condensing_temperature).any()
    assert pickle.loads(pickle.dumps(found)) == found == sweep(JOB, vary)
    assert found != sweep(JOB, {**vary, LENGTH: ["6 ft", "13 ft"]})
    drawn = loop.boats(JOB, 20)
    assert pickle.loads(pickle.dumps(drawn)) == drawn == loop.boats(JOB, 20)
    assert drawn != loop.boats(JOB, 20, seed=2)


def test_tables_and_frames_have_the_units_of_their_numbers() -> None:
    pandas = pytest.importorskip("pandas")
    found = sweep(JOB, {LENGTH: ["6 ft", "12 ft"]})
    told = found.to_dict()
    assert told["units"] == ["saloon"]
    assert told["quantities"]["flow"] == "m3/s"
    assert {*told["quantities"]} <= {*told}
    frame = found.to_frame("us")
    assert isinstance(frame, pandas.DataFrame)
    american = list(csv.reader(io.StringIO(found.to_csv("us"))))
    assert list(frame.columns) == american[0]
    assert list(frame["flow saloon [gal/h]"]) == pytest.approx([float(r[8]) for r in american[1:]])
    assert found.to_frame().attrs["units"]["flow saloon"] == "m3/s"


def test_a_notebook_shows_the_jobs_units() -> None:
    found = sweep(JOB, {LENGTH: ["6 ft", "12 ft"]})
    shown = found._repr_html_()
    assert "<th>flow saloon [gal/h]</th>" in shown
    assert f"<td>{found.flow[0, 0] / 3.785411784e-3 * 3600:.6g}</td>" in shown
    metric = sweep(JOB.replace({"units": "si"}), {LENGTH: ["6 ft"]})._repr_html_()
    assert "<th>flow saloon [L/min]</th>" in metric


def test_points_of_a_hose_are_varied_as_lists() -> None:
    read = read_vary(JOB, ["part[3].via=[], [4 in]; [-14 in, 2 in]"])
    assert read == {"part[3].via": [[], ["4 in"], ["-14 in", "2 in"]]}
    shown = run("sweep", EXAMPLES / "petrel.toml", "--vary", "part[3].via=[], [4 in]").stdout
    assert [line.split()[1] for line in shown.splitlines()[2:4]] == ["[]", "[4"]


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("part[8].length=8 ft,12 ft", ["8 ft", "12 ft"]),
        ("part[8].length = 8,5 ft; 12 ft", ["8,5 ft", "12 ft"]),
        ("condenser[1].cooling=12,000 BTU/h, 16,000 BTU/h", ["12,000 BTU/h", "16,000 BTU/h"]),
        ("water.salinity=0, 35.5", [0, 35.5]),
        ("part[3].barbs=0,2", ["0,2"]),
        ("part[8].length=8", ["8"]),
    ],
)
def test_values_are_read_as_they_are_typed(text: str, values: list[Any]) -> None:
    assert list(read_vary(JOB, [text]).values()) == [values]


def test_two_addresses_can_take_one_value() -> None:
    read = read_vary(JOB, ["part[10].to=part[11].height=2 in, 5 in"])
    assert read == {HIGHER: ["2 in", "5 in"]}


@pytest.mark.parametrize("text", ["part[8].length", "=8 ft", "part[8].length=", ""])
def test_what_is_no_axis_is_told(text: str) -> None:
    with pytest.raises(JobError, match=re.escape(SAY("sweep-not-read", text=repr(text)))):
        read_vary(JOB, [text])


def test_command_prints_a_table_or_writes_rows(tmp_path: Path) -> None:
    vary = ("--vary", f"{LENGTH}=8 ft, 12 ft", "--vary", "pump=demo-ac-250, demo-ac-350")
    shown = run("sweep", KITTIWAKE, *vary).stdout
    assert [line.split()[1:3] for line in shown.splitlines() if line.startswith("2 ")] == [
        ["8", "ft"]
    ]
    target = tmp_path / "grid.csv"
    written = SAY("sweep-written", file=str(target), count="4")
    assert run("sweep", KITTIWAKE, *vary, "--csv", target).stdout == f"{written}\n"
    assert len(target.read_text("utf-8").splitlines()) == 5
    wrong = run("sweep", KITTIWAKE, "--vary", f"{LENGTH}=8 psi")
    assert wrong.exit_code == 2
    assert wrong.stderr.startswith(f"{KITTIWAKE}: {LENGTH} = 8 psi: ")


def test_nothing_flows_where_the_pump_cannot_lift_it() -> None:
    found = sweep(JOB, {"boat.speed": ["0 knot"], "part[2].open": ["0 %"]})
    assert found.total_flow.item() == 0
    assert math.isnan(found.condensing_temperature.item())
    assert sweep(JOB, {LENGTH: ["8 ft"]}).to_dict()["settled"] == [True]


def test_of_two_balanced_answers_the_worse_is_given() -> None:
    """As in check: a header much narrower than its branches draws water back through one."""
    found = assert_as_check(
        narrow_header(0.012),
        {
            "part[5].bore": ["11 mm", "12 mm", "14 mm", "25 mm"],
            "part[4].length": ["0.8 m", "2 m", "8 m"],
            "condenser[1].cooling": ["2 kW", "6 kW"],
        },
        points=8,
    )
    assert (found.flow < 0).any()


GUILLEMOT = read_job(EXAMPLES / "guillemot.toml")


@pytest.mark.parametrize(
    "vary",
    [
        {"part[8].length": ["4 ft", "40 ft"], "hose to the manifold.length": ["5 ft"]},
        {("part[8].length", "hose to the manifold.length"): ["5 ft"]},
        {"hose to the manifold.length": ["5 ft"], "part[8]": [GUILLEMOT.part[7]]},
    ],
)
def test_two_addresses_of_one_place_are_refused_by_name(vary: Vary) -> None:
    with pytest.raises(JobError) as refused:
        sweep(GUILLEMOT, vary)
    for key in vary:
        for address in (key,) if isinstance(key, str) else key:
            assert repr(address) in str(refused.value)


@pytest.mark.parametrize("vary", [{}, {5: ["5 ft"]}, {("pump", 5): ["demo-ac-250"]}, "pump", None])
def test_what_is_no_table_of_addresses_and_values_is_refused(vary: Any) -> None:
    with pytest.raises(JobError):
        sweep(JOB, vary)


def test_one_value_needs_no_list() -> None:
    one = {"part[4].blocked": 0.5}
    alone, listed = sweep(JOB, one), sweep(JOB, {"part[4].blocked": [0.5]})  # type: ignore[arg-type]
    assert alone.shape == (1,)
    assert alone.total_flow == listed.total_flow


def test_a_unit_that_trips_has_no_warmth_to_tell_as_in_a_check() -> None:
    found = sweep(JOB, {"part[4].blocked": ["0 %", "99 %"]})
    alone = loop.check(JOB.replace({"part[4].blocked": "99 %"}), fixes=False).condensers[0]
    assert not alone.runs_on
    assert math.isfinite(alone.condensing_temperature)
    for name in ("temperature_rise", "condensing_temperature"):
        values = getattr(found, name)
        assert np.isfinite(values[0]).all()
        assert np.isnan(values[1]).all()
        assert found.to_dict()[name][1] == [None]
    cells = list(csv.reader(io.StringIO(found.to_csv("us"))))
    column = [n for n, name in enumerate(cells[0]) if name.startswith("condensing_temperature")]
    assert [[row[n] for n in column] for row in cells[2:]] == [[""]]


def test_the_help_tells_at_what_temperature_a_unit_trips() -> None:
    out = run("sweep", "--help").stdout
    assert show(TRIPS, "temperature", "us") in out.replace("\N{NO-BREAK SPACE}", " ")
    assert show(TRIPS, "temperature", "si", 0) in (Points.__doc__ or "")


PETREL = read_job(EXAMPLES / "petrel.toml")


def test_a_grid_says_where_the_loop_starts_and_where_its_intake_comes_out() -> None:
    """Each by what `check` knows about it: humps, heights, the shut-off head, heel and waves."""
    found = assert_as_check(
        PETREL.replace({"part[9].length": "20 ft"}),
        {
            "part[3].via": [["4 in"], ["-14 in"]],
            "pump": ["demo-ac-250", "demo-dc-600"],
            ("part[9].to", "part[10].height"): ["4 in", "3.6 m", "200 in"],
            "boat.wave_height": ["6 in", "60 in"],
            "boat.heel": ["0 deg", "50 deg"],
            "pump.off_centre": ["0 in", "30 in"],
        },
        points=200,
    )
    assert found.starts.any()
    assert not found.starts.all()
    assert not found.starts[0].any()
    assert not found.starts[:, :, 2].any()
    assert found.intake_dry[:, :, :, 1].all()
    assert not found.intake_dry[:, :, :, 0, 0].any()
    # The shut-off heads of the two pumps, 3.1 and 4.6 m, lie on either side of the middle height.
    assert (found.starts[:, 0] != found.starts[:, 1]).any()
    count = f"{found.head.size:,}"
    notes = [
        SAY("points-not-started", some=f"{(~found.starts).sum():,}", count=count),
        SAY("points-intake-dry", some=f"{found.intake_dry.sum():,}", count=count),
    ]
    assert found.to_dict()["notes"][:2] == notes
    assert found.to_dict()["starts"] == found.starts.tolist()


def test_a_pump_primes_on_the_lowest_supply_that_is_named_for_it() -> None:
    """Head goes as voltage squared (affinity laws): 4 V of 12 V leave a ninth of it."""
    job = JOB.replace({"part[6].curve": "demo-dc-600", "part[10].length": "20 ft"})
    held = loop.check(job).pump.shutoff_head
    higher = [0.1 * held, 0.3 * held, 0.9 * held]
    found = assert_as_check(job, {HIGHER: higher, "sizing.lowest_supply": [4.0, 8.0, 12.0]})
    assert found.starts.tolist() == [
        [True, True, True],
        [False, True, True],
        [False, False, True],
    ]


def test_a_pump_on_a_supply_that_it_is_not_made_for_is_said_to_be() -> None:
    """A 115 V pump on 12 V gives no water: NEMA MG 1 allows 10 % of the rated voltage."""
    supply = {"pump.supply": ["115 V", "120 V", "12 V"]}
    found = assert_as_check(JOB, supply)
    assert found.wrong_supply.tolist() == [False, False, True]
    assert SAY("points-wrong-supply", some="1", count="3") in found.notes
    shown = run("sweep", KITTIWAKE, "--vary", "pump.supply=115 V, 12 V").stdout
    words: Supply = "if it runs"
    assert [line.rstrip().endswith(words) for line in shown.splitlines()[2:4]] == [False, True]
    assert loop.boats(JOB.replace({"pump.supply": "12 V"}), 10).chance.tolist() == [0.0]


def test_the_command_says_that_a_loop_does_not_start() -> None:
    shown = run("sweep", EXAMPLES / "petrel.toml", "--vary", "part[7].length=8 ft, 9 ft").stdout
    assert SAY("points-not-started", count="2") in " ".join(shown.split())
    words: Supply = "once primed"
    assert [line.rstrip().endswith(words) for line in shown.splitlines()[2:4]] == [True, True]
    fine = run("sweep", KITTIWAKE, "--vary", f"{LENGTH}=8 ft, 12 ft").stdout
    assert "primed" not in fine


@pytest.mark.parametrize("width", [40, 60, 80, 200])
def test_no_number_is_cut_off_where_the_terminal_is_narrow(width: int) -> None:
    vary = ("--vary", "pump=demo-ac-700, demo-ac-1000")
    said = run("sweep", EXAMPLES / "dabchick.toml", *vary, width=width).stdout
    assert all(len(line) <= width for line in said.splitlines())
    assert "…" not in said
    found = sweep(read_job(EXAMPLES / "dabchick.toml"), {"pump": ["demo-ac-700", "demo-ac-1000"]})
    assert "demo-ac-1000" in said
    for flow in found.flow.reshape(-1):
        assert re.search(rf"\b{bare(float(flow), 'flow', 'us')}\b", said)
    for name in found.units:
        assert name in " ".join(said.split())
