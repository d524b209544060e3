"""A part that states no bore takes that of the adjacent hoses, and says so."""

import pytest

from loop.check import check
from loop.job import JobError, Put, edit_text, parse_job, parse_toml
from loop.job.guesses import guesses
from loop.sheet.inputs import as_toml, tables
from tests.loops import Table, changed, plain_loop
from tests.test_size_options import branched_loop


def without_default(data: Table, bore: str = "3/4 in") -> Table:
    """The same loop, with bores stated only at its hoses."""

    def stated(parts: list[Table]) -> None:
        for part in parts:
            if part["kind"] == "hose":
                part["bore"] = bore
            for way in part.get("branch", ()):
                stated(way["part"])

    stated(data["part"])
    del data["defaults"]["bore"]
    return data


@pytest.mark.parametrize("make", [plain_loop, branched_loop])
def test_the_loop_is_that_of_a_default_with_the_same_bore(make: object) -> None:
    taken, given = parse_job(without_default(make())), parse_job(make())  # type: ignore[operator]
    flows = [check(job, fixes=False).point.line_flow for job in (taken, given)]
    assert flows[0] == pytest.approx(flows[1])
    marked = {guess.address for guess in guesses(taken)}
    assert "part[4].bore" in marked
    assert not any("hose" in guess.kind for guess in guesses(taken))
    assert guesses(given) == ()


def test_a_bore_that_is_stated_stays_and_one_between_two_bores_is_asked_for() -> None:
    data = without_default(plain_loop())
    data["part"][3]["bore"] = "1 in"
    assert parse_job(data).part[3].bore == pytest.approx(0.0254)
    data["part"][4]["bore"] = "1 in"  # the hose after the strainer
    del data["part"][3]["bore"]
    with pytest.raises(JobError) as told:
        parse_job(data)
    places = [line.split(": ")[1] for line in told.value.problems]
    assert places == ["part 4 (strainer)", "part 7 (bleed)"]


def test_no_bore_of_any_hose_is_still_a_mistake() -> None:
    data = without_default(changed())
    for part in data["part"]:
        part.pop("bore", None)
    with pytest.raises(JobError, match="no bore; give it here"):
        parse_job(data)


def test_a_bore_that_is_put_is_no_longer_taken() -> None:
    text = as_toml(tables(parse_job(without_default(plain_loop()))))
    measured = parse_toml(edit_text(text, [Put("part[4].bore", "3/4 in")]))
    left = {guess.address for guess in guesses(measured)}
    assert "part[2].bore" in left
    assert "part[4].bore" not in left
