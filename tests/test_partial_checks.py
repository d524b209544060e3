"""Mistakes between fields and parts are reported beside wrong fields, as far as possible."""

from typing import Any

import pytest

from loop.job import JobError, parse_job
from tests.loops import Table, changed, plain_loop

Change = tuple[str | int, str, Any]

# What each breaks alone: a rule between fields, parts or names.
RULES: dict[str, list[Change]] = {
    "a hose that does not reach": [(8, "length", "1 ft")],
    "a hose whose points are half placed": [(8, "via", ["0 in", {"at": "3 ft", "height": "0 in"}])],
    "a barb too wide": [(8, "barb_bore", "1 in")],
    "heights that disagree": [(11, "height", "9 in")],
    "a frequency for a DC pump": [(6, "curve", "demo-dc-320"), (6, "frequency", "60 Hz")],
    "losses that fall": [(9, "loss", ["2 psi at 240 gal/h", "1 psi at 300 gal/h"])],
    "a unit that there is not": [(9, "serves", "salon")],
    "limits the wrong way round": [
        ("condenser", "condensing_watch", "115 degF"),
        ("condenser", "condensing_stop", "104 degF"),
    ],
}
# Wrong fields that no rule above looks at.
FIELDS: dict[str, Change] = {
    "a sweep": (8, "sweeps", ["400 deg"]),
    "a number of barbs": (8, "barbs", -2),
    "a label": (9, "label", 7),
    "an unknown key": (8, "colour", "red"),
    "a count of pumps": (6, "count", 0),
    "the discharge's label": (11, "label", 7),
    "the unit's approach": ("condenser", "approach", "hot"),
    "the intake's facing": (1, "facing", "foward"),
    "a kind": (4, "kind", "strianer"),
}


def told(*changes: Change) -> list[str]:
    with pytest.raises(JobError) as refused:
        parse_job(changed(*changes))
    return refused.value.problems


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("rule", RULES)
def test_a_wrong_field_hides_no_rule_that_does_not_look_at_it(rule: str, field: str) -> None:
    alone, wrong = told(*RULES[rule]), told(FIELDS[field])
    assert set(told(*RULES[rule], FIELDS[field])) == {*alone, *wrong}


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ([(8, "via", [{"at": "30 ft", "height": "0 in"}]), (8, "length", "long")], "length"),
        ([(9, "scale", "1 mm"), (9, "tube_bore", "half an inch")], "tube_bore"),
        ([(10, "to", "up"), (11, "height", "9 in")], "to"),
        ([(6, "curve", "demo-dc-3"), (6, "supply", "24 V")], "curve"),
        ([("condenser", "name", ""), (9, "serves", "salon")], "name"),
        ([(4, "loss", "some"), (4, "k", 2)], "loss"),
        ([(5, "kind", "hoze"), (8, "length", "21 in")], "kind"),
        ([(6, "kind", "pmup")], "kind"),
        ([(11, "kind", "dischrge")], "kind"),
        ([(1, "kind", "intk")], "kind"),
        ([(9, "kind", "condensor")], "kind"),
        ([(6, "kind", "xyz")], "kind"),
        ([(9, "kind", 7)], "kind"),
    ],
)
def test_a_rule_that_looks_at_a_wrong_field_is_not_told(changes: list[Change], place: str) -> None:
    lines = told(*changes)
    assert len(lines) == 1
    assert place in lines[0]


def test_a_field_that_is_misspelt_is_not_taken_as_left_out() -> None:
    data = plain_loop()
    data["part"][7] = {"kind": "hose", "lenght": "1 in", "too": "10 in"}
    del data["defaults"]["bore"]
    for part in data["part"]:
        part["boer" if part["kind"] == "hose" else "bore"] = "3/4 in"
    with pytest.raises(JobError) as refused:
        parse_job(data)
    # Four hoses have no bore that can be read, and one neither length nor end.
    assert len(refused.value.problems) == 6
    assert all("did you mean" in line for line in refused.value.problems)


def branched(*branches: Table) -> list[str]:
    """The mistakes of the plain loop with a manifold of these branches for its condenser."""
    data = plain_loop()
    data["part"][8] = {"kind": "manifold", "branch": list(branches)}
    with pytest.raises(JobError) as refused:
        parse_job(data)
    return [line.removeprefix("job: ") for line in refused.value.problems]


RISE: Table = {"kind": "hose", "length": "4 ft", "to": "10 in"}
UNIT: Table = {"kind": "condenser", "serves": "saloon", "loss": "2.2 psi at 240 gal/h"}


def test_one_branch_that_cannot_be_read_hides_nothing_in_the_others() -> None:
    short = {**RISE, "length": "1 in", "to": "20 in"}
    lines = branched(
        {"name": "a", "part": [short, UNIT]},
        {"name": "b", "part": []},
        {"part": [{**short, "barbs": "two"}]},
    )
    place = "part 9 (manifold) branch"
    assert any(line.startswith(f"{place} 1 (a) part 1 (hose) length: 1 in") for line in lines)
    assert any(line.startswith(f"{place} 3 part 1 (hose) length: 1 in") for line in lines)
    assert any(line.startswith(f"{place} 2 (b) part: must hold at least 1") for line in lines)
    assert any(line.startswith(f"{place} 3 name: is missing") for line in lines)
    assert not any("join" in line or "serves" in line for line in lines)


def test_names_in_branches_are_told_with_the_place_of_the_part() -> None:
    lines = branched(
        {"name": "a", "part": [RISE, {**UNIT, "serves": "salon"}]},
        {"name": "a", "part": [RISE, {**UNIT, "serves": "saloon"}, {**UNIT, "loss": "none"}]},
    )
    place = "part 9 (manifold) branch"
    assert (
        f"{place} 1 (a) part 2 (condenser) serves: no [[condenser]] has the name 'salon'; "
        "nearest: 'saloon'" in lines
    )
    assert (
        f"{place} 2 (a) part 3 (condenser) serves: 2 parts serve 'saloon', the first of them "
        f"{place} 2 (a) part 2 (condenser); one part serves each unit" in lines
    )
    assert f"{place} 2 (a) name: 2 branches have this name; each needs its own" in lines


def test_two_units_of_one_name_are_told_at_the_second() -> None:
    data = changed(("condenser", "approach", "hot"))
    data["condenser"] += plain_loop()["condenser"]
    with pytest.raises(JobError) as refused:
        parse_job(data)
    place = "job: condenser 2 (saloon) name: 2 units have this name; each needs its own"
    assert place in refused.value.problems


@pytest.mark.parametrize("depth", [5, 8, 100])
def test_manifolds_in_one_another_end_in_words(depth: int) -> None:
    part: Table = {"kind": "hose", "length": "-1 ft", "to": "10 in"}
    for number in range(depth):
        name = f"way {number}"
        part = {"kind": "manifold", "branch": [{"name": name, "part": [RISE, part, RISE]}]}
    lines = branched({"name": "a", "part": [RISE, part, RISE]})
    assert lines
    assert any("nested 6 deep" in line or "nested too deeply" in line for line in lines) == (
        depth > 5
    )
