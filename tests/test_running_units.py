"""The unit that is shortest of water is the same one everywhere."""

from loop.check import check
from loop.check.build_context import build_context
from loop.draw.fouling import fouled, solved
from loop.draw.scene import Scene
from loop.job.edit import Insert, edit
from loop.teach import explain
from tests.branches import branched


def test_a_unit_that_a_valve_shuts_off_is_not_the_one_that_all_speak_of() -> None:
    """The first is shut off; of those that run the third has the longest hose."""
    shut = Insert("part[9].branch[1].part[1]", {"kind": "seacock", "open": 0.0, "bore": 0.019})
    job = edit(branched(3), [shut])
    context, result = build_context(job), check(job, fixes=False)
    scene = Scene(result, "us")
    assert context.condensers[context.shortest_unit].name == "unit 3"
    assert scene.worst.name == "unit 3"
    assert [one.unit.name for one in fouled(scene, solved(scene))] == ["unit 3", "unit 2", "unit 1"]
    of = {step.of for step in explain(job).page(1)}
    assert "unit 3" in of
    assert "unit 1" not in of
