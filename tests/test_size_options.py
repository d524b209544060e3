"""What sizing may choose from, and the worst service that the choice must withstand."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from loop.job import TRADE_BORES, Job, JobError, parse_job
from loop.parts import Bleed, Condenser, Hose, Manifold, Seacock, Strainer
from loop.parts.hose import BARB_OVER_HOSE
from loop.pumps.supply import supply_faults
from loop.size import with_sizing
from loop.size.fit_choice import with_choice
from loop.size.options import (
    Choice,
    bore_lists,
    bores_allowed,
    branches_of,
    kits,
    lines_of,
    lines_to_units,
    present_loop,
    pumps,
)
from loop.size.worst_case import at_worst_service
from loop.units import parse
from loop.words.sizing import SAY
from tests.loops import Table, changed, job_of, plain_loop

INCH = 0.0254
THREE_QUARTERS = 0.01905


def branched_loop() -> Table:
    """Two units on one pump, each in its own branch."""
    data = plain_loop()
    data["condenser"] = [
        {"name": "saloon", "cooling": "6000 BTU/h"},
        {"name": "aft", "cooling": "6000 BTU/h"},
    ]
    branches = [
        {
            "name": unit["name"],
            "part": [
                {"kind": "hose", "length": "4 ft", "to": "10 in"},
                {"kind": "condenser", "serves": unit["name"], "loss": "2 psi at 120 gal/h"},
                {"kind": "hose", "length": "3 ft", "to": "8 in"},
            ],
        }
        for unit in data["condenser"]
    ]
    data["part"][8:9] = [{"kind": "manifold", "branch": branches}]
    return data


def chosen(job: Job, **changes: object) -> Choice:
    ways = len(branches_of(job))
    fields = {
        "suction_bore": INCH,
        "pressure_bore": THREE_QUARTERS,
        "branch_bores": (0.5 * INCH,) * ways,
    }
    return Choice(**{"pump": job.pump.curve, **fields, **changes})  # type: ignore[arg-type]


def test_strainers_seacocks_and_barbs_are_choices_only_where_listed() -> None:
    sizing = {
        "bores": ["3/4 in"],
        "pumps": ["demo-ac-350"],
        "strainers": [
            {"name": "small", "loss": "0.6 psi at 300 gal/h"},
            {"name": "large", "loss": "0.2 psi at 300 gal/h"},
        ],
        "seacock_bores": ["3/4 in", "1 in"],
        "barb_bores": ["0.6 in", "0.7 in", "0.9 in"],
    }
    job = parse_job(changed() | {"sizing": sizing})
    every = kits(job)
    assert len(every) == len(set(every)) == 2 * 2 * 3
    plain = parse_job(changed() | {"sizing": {"bores": ["3/4 in"], "pumps": ["demo-ac-350"]}})
    assert len(kits(plain)) == 1
    # The 0.9 in barb does not go into a 3/4 in hose.
    wide = next(kit for kit in every if kit.barb_bore == pytest.approx(0.9 * INCH))
    with pytest.raises(JobError, match=re.escape(SAY("wrong-barbs"))):
        bore_lists(job, wide)


def test_pumps_left_out_means_those_on_the_boats_supply() -> None:
    for curve in pumps(job_of()):
        assert (curve.drive, curve.rated_supply, curve.rated_frequency) == ("ac", 115.0, 60.0)
    for curve in pumps(job_of((6, "curve", "demo-dc-320"))):
        assert (curve.drive, curve.rated_supply) == ("dc", 12.0)


def test_pumps_may_be_of_every_supply_that_the_boat_has() -> None:
    job = with_sizing(job_of(), {"supplies": "115 V 60 Hz, 24 V DC"})
    found = {(pump.drive, pump.rated_supply) for pump in pumps(job)}
    assert found == {("ac", 115.0), ("dc", 24.0)}
    on_dc = next(pump for pump in pumps(job) if pump.drive == "dc")
    fitted = with_choice(job, chosen(job, pump=on_dc)).pump
    assert (fitted.voltage, fitted.frequency) == (24.0, None)
    assert not supply_faults(fitted.curve, fitted.power_supply)
    with pytest.raises(JobError, match="has no frequency"):
        with_sizing(job_of(), {"supplies": "115 V"})


def test_a_listed_pump_that_no_supply_suits_is_left_out() -> None:
    job = job_of((6, "curve", "demo-dc-320"), (6, "supply", "12 V"))
    mixed = with_sizing(job, {"pumps": "demo-dc24-450, demo-dc-600"})
    assert [pump.name for pump in pumps(mixed)] == ["demo-dc-600"]
    with pytest.raises(JobError, match=re.escape(SAY("wrong-supply"))):
        pumps(with_sizing(job, {"pumps": "demo-dc24-450, demo-ac-350"}))


def test_a_folder_of_pump_files_is_a_list_of_pumps(tmp_path: Path) -> None:
    for name in ("first", "second"):
        plate = 'nameplate = { flow = "300 gal/h", head = "11 ft" }'
        (tmp_path / f"{name}.toml").write_text(
            f'name = "{name}"\ndrive = "ac"\nrated_supply = "115 V"\nrated_frequency = "60 Hz"\n'
            f'port = "3/4 in"\n[curve]\n{plate}\n'
        )
    (tmp_path / "notes.toml").write_text("title = 'no pump'")
    job = with_sizing(job_of(), {"pumps": f"{tmp_path}, demo-ac-350"})
    assert [pump.name for pump in pumps(job)] == ["first", "second", "demo-ac-350"]


def test_too_many_combinations_are_a_mistake_that_says_how_many() -> None:
    many = ", ".join(f"{20 + step / 10} mm" for step in range(50))
    job = with_sizing(job_of(), {"seacock_bores": many, "barb_bores": many})
    with pytest.raises(JobError, match="17500"):
        kits(job)


def test_no_suction_is_smaller_than_the_pressure_hose_nor_branch_larger() -> None:
    assert bores_allowed((1.0, 1.0, 0.5))
    assert not bores_allowed((0.75, 1.0))
    assert not bores_allowed((1.0, 0.75, 1.0))


def test_the_loop_as_it_stands_is_a_choice_that_changes_nothing() -> None:
    job = parse_job(branched_loop())
    here = present_loop(job)
    assert here.as_is
    assert with_choice(job, here) == job
    assert here.bores == pytest.approx([THREE_QUARTERS] * 4)
    same = with_choice(job, replace(here, as_is=False))
    assert same.part == job.part


def test_wrong_text_is_told_all_at_once_by_option() -> None:
    with pytest.raises(JobError) as told:
        with_sizing(job_of(), {"bores": "3/4", "pumps": "demo-ac-350", "warmest_sea": "99 degC"})
    lines = told.value.problems
    assert len(lines) == 2
    assert lines[0].startswith("--bores 1: '3/4'")
    assert lines[1].startswith("--warmest-sea: 99 degC")


def test_the_trades_bores_are_the_numbers_that_a_file_states() -> None:
    """So that a loop as it stands is found among the options."""
    texts = ("1/2 in", "5/8 in", "3/4 in", "1 in", "1-1/4 in", "1-1/2 in", "50.8 mm")
    assert tuple(parse(text, "length") for text in texts) == TRADE_BORES
    here = present_loop(job_of())
    assert set(here.bores) <= set(job_of().sizing.bores)


def test_a_choice_rebores_hoses_by_side_and_leaves_holes_in_the_hull() -> None:
    job = job_of()
    fitted = with_choice(job, chosen(job))
    before = [p.bore for p in fitted.part[:5] if isinstance(p, Hose)]
    after = [p.bore for p in fitted.part[6:] if isinstance(p, Hose)]
    assert before == [INCH, INCH]
    assert after == [THREE_QUARTERS, THREE_QUARTERS]
    assert [p.bore for p in fitted.part if isinstance(p, Seacock)] == [THREE_QUARTERS]
    assert fitted.intake.bore == THREE_QUARTERS
    assert fitted.part[-1].bore == THREE_QUARTERS
    assert [p.bore for p in fitted.part if isinstance(p, Bleed)] == [THREE_QUARTERS]
    assert with_choice(job, chosen(job, seacock_bore=INCH)).intake.bore == INCH


def test_a_choice_reaches_into_branches() -> None:
    job = parse_job(branched_loop())
    fitted = with_choice(job, chosen(job, pressure_bore=INCH))
    manifold = next(part for part in fitted.part if isinstance(part, Manifold))
    inner = [p.bore for way in manifold.branch for p in way.part if isinstance(p, Hose)]
    assert inner == [0.5 * INCH] * 4
    assert manifold.bore == INCH  # bought with the hose


def test_each_branch_takes_its_own_bore_in_the_order_of_the_file() -> None:
    job = parse_job(branched_loop())
    fitted = with_choice(job, chosen(job, branch_bores=(0.5 * INCH, 0.625 * INCH)))
    manifold = next(part for part in fitted.part if isinstance(part, Manifold))
    inner = [p.bore for way in manifold.branch for p in way.part if isinstance(p, Hose)]
    assert inner == [0.5 * INCH] * 2 + [0.625 * INCH] * 2
    assert lines_of(job)[9:12] == (2, 2, 2)
    assert lines_to_units(job) == (frozenset({0, 1, 2}), frozenset({0, 1, 3}))


def test_a_stated_barb_keeps_its_share_and_a_listed_one_its_size() -> None:
    job = job_of((3, "barb_bore", "0.66 in"))
    by_share, by_list = (
        with_choice(job, chosen(job, barb_bore=barb)).part[2] for barb in (None, 0.7 * INCH)
    )
    assert isinstance(by_share, Hose)
    assert isinstance(by_list, Hose)
    assert by_share.barb == pytest.approx(0.66 / 0.75 * INCH)
    assert by_list.barb == pytest.approx(0.7 * INCH)
    plain = with_choice(job_of(), chosen(job_of())).part[2]
    assert isinstance(plain, Hose)
    assert plain.barb == pytest.approx(BARB_OVER_HOSE * INCH)


def test_the_worst_service_dirties_warms_scales_and_starves() -> None:
    data = changed((6, "curve", "demo-dc-320"), (9, "tube_bore", "0.5 in"), (4, "blocked", "20 %"))
    data["sizing"] = {
        "service_blocked": "60 %",
        "service_scale": "0.2 mm",
        "warmest_sea": "90 degF",
        "lowest_supply": "11 V",
    }
    worst = at_worst_service(parse_job(data))
    strainer, condenser = worst.part[3], worst.part[8]
    assert isinstance(strainer, Strainer)
    assert isinstance(condenser, Condenser)
    assert strainer.blocked == pytest.approx(0.6)
    assert condenser.scale == pytest.approx(0.0002)
    assert worst.water.temperature == pytest.approx(32.222, abs=1e-3)
    assert worst.pump.speed == pytest.approx(11 / 12)


def test_what_the_job_states_worse_stays() -> None:
    job = with_sizing(
        job_of((4, "blocked", "80 %")), {"service_blocked": "50 %", "warmest_sea": "40 degF"}
    )
    worst = at_worst_service(job)
    strainer = worst.part[3]
    assert isinstance(strainer, Strainer)
    assert strainer.blocked == pytest.approx(0.8)
    assert worst.water.temperature == job.water.temperature
