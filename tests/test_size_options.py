"""What sizing may choose from, and the worst service that the choice must stand."""

import pytest

from loop.job import Job, JobError, parse_job
from loop.parts import Bleed, Condenser, Hose, Manifold, Seacock, Strainer
from loop.parts.hose import BARB_OVER_HOSE
from loop.size import with_sizing
from loop.size.options import Choice, applied, choices, pumps
from loop.size.worst_case import in_service
from tests.loops import Table, changed, job_of, plain_loop

INCH = 0.0254


def branched_loop() -> Table:
    """Two units behind one pump, each in a branch of its own."""
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
    fields = {"suction_bore": INCH, "pressure_bore": 0.75 * INCH, "branch_bore": 0.5 * INCH}
    return Choice(pump=job.pump.curve, **{**fields, **changes})  # type: ignore[arg-type]


def test_every_combination_is_there_once() -> None:
    job = with_sizing(
        job_of(),
        {
            "suction_bores": "3/4 in, 1 in",
            "pressure_bores": "5/8 in, 3/4 in, 1 in",
            "pumps": "demo-ac-350, demo-ac-500",
        },
    )
    found = choices(job)
    assert len(found) == len(set(found)) == 2 * 2 * 3


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
    found = choices(parse_job(changed() | {"sizing": sizing}))
    # The 0.9 in barb does not go into a 3/4 in hose.
    assert len(found) == 2 * 2 * 2
    assert (
        len(
            choices(
                parse_job(changed() | {"sizing": {"bores": ["3/4 in"], "pumps": ["demo-ac-350"]}})
            )
        )
        == 1
    )


def test_pumps_left_out_means_those_on_the_boats_supply() -> None:
    for curve in pumps(job_of()):
        assert (curve.drive, curve.rated_supply, curve.rated_frequency) == ("ac", 115.0, 60.0)
    for curve in pumps(job_of((6, "curve", "demo-dc-320"))):
        assert (curve.drive, curve.rated_supply) == ("dc", 12.0)


def test_a_pump_that_the_supply_would_hardly_turn_is_a_mistake() -> None:
    job = with_sizing(
        job_of((6, "curve", "demo-dc-320"), (6, "supply", "5 V")), {"pumps": "demo-dc24-450"}
    )
    with pytest.raises(JobError, match=r"demo-dc24-450 at 0.21 times its rated speed"):
        choices(job)


def test_too_many_combinations_are_a_mistake_that_says_how_many() -> None:
    bores = ", ".join(f"{12 + step / 10} mm" for step in range(50))
    pair = {"suction_bores": bores, "pressure_bores": bores}
    job = with_sizing(job_of(), {**pair, "seacock_bores": "15 mm, 20 mm", "pumps": "demo-ac-350"})
    assert len(choices(with_sizing(job_of(), {**pair, "pumps": "demo-ac-350"}))) == 2500
    job = with_sizing(job, {"seacock_bores": ", ".join(f"{20 + n} mm" for n in range(9))})
    with pytest.raises(JobError, match="22500 combinations"):
        choices(job)


def test_wrong_text_is_told_all_at_once_by_option() -> None:
    with pytest.raises(JobError) as told:
        with_sizing(job_of(), {"bores": "3/4", "pumps": "demo-ac-350", "warmest_sea": "99 degC"})
    lines = told.value.problems
    assert len(lines) == 2
    assert lines[0].startswith("--bores 1: '3/4'")
    assert lines[1].startswith("--warmest-sea: 99 degC")


def test_a_choice_rebores_hoses_by_side_and_leaves_holes_in_the_hull() -> None:
    job = job_of()
    fitted = applied(job, chosen(job))
    before = [p.bore for p in fitted.part[:5] if isinstance(p, Hose)]
    after = [p.bore for p in fitted.part[6:] if isinstance(p, Hose)]
    assert before == [INCH, INCH]
    assert after == [0.75 * INCH, 0.75 * INCH]
    assert [p.bore for p in fitted.part if isinstance(p, Seacock)] == [0.75 * INCH]
    assert fitted.intake.bore == 0.75 * INCH
    assert fitted.part[-1].bore == 0.75 * INCH
    assert [p.bore for p in fitted.part if isinstance(p, Bleed)] == [0.75 * INCH]
    assert applied(job, chosen(job, seacock_bore=INCH)).intake.bore == INCH


def test_a_choice_reaches_into_branches() -> None:
    job = parse_job(branched_loop())
    fitted = applied(job, chosen(job, pressure_bore=INCH))
    manifold = next(part for part in fitted.part if isinstance(part, Manifold))
    inner = [p.bore for way in manifold.branch for p in way.part if isinstance(p, Hose)]
    assert inner == [0.5 * INCH] * 4
    assert manifold.bore == INCH  # bought with the hose


def test_branches_keep_their_share_of_the_main_bore_where_none_is_chosen() -> None:
    data = branched_loop()
    for way in data["part"][8]["branch"]:
        for part in way["part"]:
            part["bore"] = "1/2 in"
    job = parse_job(data)
    # 1/2 in behind 3/4 in hose is two thirds: 0.67 in behind 1 in, of which 5/8 in is nearest.
    fitted = applied(job, chosen(job, pressure_bore=INCH, branch_bore=None))
    manifold = next(part for part in fitted.part if isinstance(part, Manifold))
    inner = [p.bore for way in manifold.branch for p in way.part if isinstance(p, Hose)]
    assert inner == pytest.approx([0.625 * INCH] * 4)
    same = applied(job, chosen(job, branch_bore=None)).part[8]
    assert isinstance(same, Manifold)
    assert same.branch == next(p for p in job.part if isinstance(p, Manifold)).branch


def test_a_stated_barb_keeps_its_share_and_a_listed_one_its_size() -> None:
    job = job_of((3, "barb_bore", "0.66 in"))
    by_share, by_list = (
        applied(job, chosen(job, barb_bore=barb)).part[2] for barb in (None, 0.7 * INCH)
    )
    assert isinstance(by_share, Hose)
    assert isinstance(by_list, Hose)
    assert by_share.barb == pytest.approx(0.66 / 0.75 * INCH)
    assert by_list.barb == pytest.approx(0.7 * INCH)
    plain = applied(job_of(), chosen(job_of())).part[2]
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
    worst = in_service(parse_job(data))
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
    worst = in_service(job)
    strainer = worst.part[3]
    assert isinstance(strainer, Strainer)
    assert strainer.blocked == pytest.approx(0.8)
    assert worst.water.temperature == job.water.temperature


def test_a_lowest_supply_that_hardly_turns_the_pump_is_a_mistake() -> None:
    job = with_sizing(job_of((6, "curve", "demo-dc-320")), {"lowest_supply": "3 V"})
    with pytest.raises(JobError, match=r"3 V would run demo-dc-320 at 0.25 times"):
        in_service(job)
