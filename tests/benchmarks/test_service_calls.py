"""How good the diagnosis is on service calls of boats with other physics and other fault models.

Heavier tails than it assumes, every figure of the boat off its paper, 15 calls in 100 with two
faults, 5 in 100 with one that is not in its list, 5 in 100 with nothing wrong. Its stated
probabilities must be calibrated.

The diagnosis's engineering estimates were set on calls of seeds 5 and 11, and how a stream is
misread after a look on 4101 to 4302; the calls here are others. Two faults count as named if each
is in one of the two lines of likely causes, with at most four faults in each. Calibration errors
scatter: in a thousand calls even perfectly calibrated probabilities are off by 0.02 to 0.03, and a
kit's groups once by 0.054 where 2,000 calls have 0.044. For single causes, with the bucket and the
job, 500 calls of seed 9701 have 0.076, 1,000 of 7701 0.026, 3,500 of three seeds 0.037, where
perfect calibration would give 0.045, 0.031 and 0.017: the remainder is from baskets reported dirty
that are not the trouble, and from faults that no boat here has. Minutes are compared over all
calls; a call that an order has not settled by then counts `GIVEN_UP`, for every order alike, which
hides how much longer it would take. No order of steps is the fastest on every single call: a
technician whose fifth step is a look in the basket finds a blocked one sooner than one who asks
first.

Where a healthy loop leads, with gauges and the job, it is understated: 0.42 said, 0.72 right (39 of
600 calls of seed 5101). A fifth of what the others get belongs to faults that no boat here has, the
most to mild ones. Weighing severities by whether a person would notice them (half at 25 % of the
flow or 4 K, or steeper at 15 % or 3 K) says 0.46 instead, and names the right group and both of two
faults less often.

With few tools two targets are at the limit of what can be known, or beyond it: the oracle
(`tests.benchmarks.oracle`), who knows the simulator and reads for free, is printed beside them.
"""

from functools import cache

import numpy as np
import pytest

from tests.benchmarks.oracle import holds_both
from tests.benchmarks.oracle import minutes as oracle_minutes
from tests.benchmarks.service_calls import (
    FIXED,
    GIVEN_UP,
    KITS,
    METERS,
    TECHNICIAN,
    TOOLS,
    Call,
    made,
    minutes_needed,
    report,
    study_of,
)

# Right group first: the target is 0.90 with every tool and the job, 0.75 with bucket and
# thermometer without it. The other limits are measured values less the scatter of 1,000 calls.
FIRST = {
    ("bucket", True): 0.8, ("+ thermometer", True): 0.8, ("+ gauges", True): 0.9,
    ("+ meter", True): 0.9, ("bucket", False): 0.75, ("+ thermometer", False): 0.75,
    ("+ gauges", False): 0.85, ("+ meter", False): 0.84,
}  # fmt: skip
# Both of two faults within the first two lines: the target is 0.60 with every kit. Measured on the
# 236 such calls of seeds 9111 to 9116 (the scatter is 0.03) with the job 0.60, 0.64, 0.90 and 0.90.
# On the first 89 of them 0.64, 0.72, 0.95 and 0.95, where a second line of the faults likeliest to
# occur with the first line's has 0.57, 0.69, 0.87 and 0.84; without the job 0.60, 0.67, 0.89 and
# 0.95. With a bucket the oracle has 0.62. Half as many pairs again among the hypotheses gain 0.01.
BOTH = {
    ("bucket", True): 0.55, ("+ thermometer", True): 0.57, ("+ gauges", True): 0.8,
    ("+ meter", True): 0.8, ("bucket", False): 0.55, ("+ thermometer", False): 0.57,
    ("+ gauges", False): 0.75, ("+ meter", False): 0.75,
}  # fmt: skip
# Largest mean minutes as a share of a fixed order's, over all calls: the target is 2/3. Measured
# with every tool and the job 0.64 (the first 140 calls of seed 2027), 0.71 (106 of 8111) and 0.62
# (107 of 8112), together 0.66; without gauges or a job 0.84 (2027), and 0.90 on 9101. There the
# long calls are settled only by opening the pump, the header or the intake, by acid or by
# refrigerant gauges, whatever comes first. With every tool nothing faster was found: not a lower
# value of a cure (remaining entropy, or the chance of a right guess), nor a look-ahead to the
# search minutes behind each answer (120 calls of 9101: 1.00 to 1.12 of our time), nor a higher
# value of a cure, pairs counted with their likelier fault, no gauges, or an entropy that weighs
# rare faults less (180 to 340 calls of 3001 to 3003: 1.02 to 1.19).
OF_FIXED = {"+ meter": 0.7, "+ thermometer": 0.87}
# Without gauges or a job: largest mean minutes over the oracle's, for single faults, since he reads
# nothing new after the first of two. Measured 1.10 (seed 2027), and 1.11 on 9101, where he takes
# 0.76, and 0.81, of the fixed order with all readings free: 2/3 is out of reach.
OF_ORACLE = 1.15
# Faults whose median minutes are held to a technician's: with every tool each fault with at least
# five calls in 240, with few tools the commonest.
LIKELY = (
    "intake-fouled", "seacock-partly-shut", "strainer-blocked", "suction-hose-collapsed",
    "suction-air-leak", "pump-air-bound", "no-power", "pump-worn", "pump-decoupled", "supply-low",
    "pressure-hose-kinked", "condenser-scaled", "condenser-film", "condenser-header-blocked",
    "unit-off", "not-water-side",
)  # fmt: skip
COMMON = ("strainer-blocked", "pump-air-bound", "condenser-scaled", "seacock-partly-shut")


@cache
def few() -> list[Call]:
    return made(60, seed=2026)


@cache
def many() -> list[Call]:
    return made(1000, seed=2027)


def show(title: str, found: dict[str, float]) -> None:
    print(f"\n{title}: " + ", ".join(f"{name} {value:.3f}" for name, value in found.items()))


def test_with_every_tool_and_the_job_the_right_group_comes_first() -> None:
    found = report(few(), METERS, with_job=True)
    show("few calls, full kit, job", found)
    assert found["group first"] >= 0.85  # 0.90 less the scatter of 40 calls
    assert found["size"] <= 4
    assert not found["sure n"] or found["sure"] >= 0.85


@pytest.mark.extended
@pytest.mark.parametrize("kit", KITS)
@pytest.mark.parametrize("with_job", [True, False])
def test_a_thousand_calls(kit: str, with_job: bool) -> None:
    found = report(many(), KITS[kit], with_job)
    show(f"{kit}, {'job' if with_job else 'no job'}", found)
    gauges = kit not in ("bucket", "+ thermometer")
    if not gauges:
        two = [call for call in many() if len(call.names) == 2 and call.each_shows]
        reach = float(np.mean([holds_both(call, KITS[kit]) for call in two]))
        print(f"both in as many causes as two lines hold, by the oracle: {reach:.2f}")
    assert found["group first"] >= FIRST[kit, with_job]
    assert found["group ECE"] <= 0.05
    assert found["cause ECE"] <= 0.05
    assert found["both in two"] >= BOTH[kit, with_job]
    assert found["unlisted found"] >= (0.4 if gauges and with_job else 0.0)
    assert found["false unknown"] <= 0.02
    assert found["sure n"] < 20 or found["sure"] >= 0.85
    # Stated: 0.90. With every tool, without the job: 0.88 over 5,000 calls, 0.868 for seed 2027.
    assert found["fixed inside"] >= 0.85


@pytest.mark.extended
@pytest.mark.parametrize(("kit", "with_job"), [("+ meter", True), ("+ thermometer", False)])
def test_minutes_to_the_fault(kit: str, with_job: bool) -> None:
    """Well under those of a fixed order, and no more than a sensible technician's."""
    calls = [call for call in many()[:240] if call.names and call.shows]
    ours, technician, fixed = (
        np.array([minutes_needed(c, study_of(c, with_job), TOOLS[kit], order) for c in calls])
        for order in (None, TECHNICIAN, FIXED)
    )
    settled = np.min([ours, technician, fixed], axis=0) < GIVEN_UP
    print(f"\n{kit}: {settled.mean():.2f} of the calls are settled by some order")
    show("above the technician", {"share": float((ours > technician).mean())})
    values = {"ours": ours, "technician": technician, "fixed": fixed}
    show("of the fixed order", {k: float(v.mean() / fixed.mean()) for k, v in values.items()})
    if kit == "+ thermometer":
        one = np.array([len(c.names) == 1 for c in calls])
        oracle = np.array([oracle_minutes(c, KITS[kit]) for c in calls])
        alone = {**values, "oracle": oracle}
        show("single faults", {k: float(v[one].mean()) for k, v in alone.items()})
        assert ours[one].mean() <= OF_ORACLE * oracle[one].mean()
    for name, some in (("all", settled | True), ("settled", settled)):
        show(f"mean minutes, {name}", {k: float(v[some].mean()) for k, v in values.items()})
    assert np.median(ours[settled]) <= 2 / 3 * np.median(fixed[settled])
    assert ours.mean() <= OF_FIXED[kit] * fixed.mean()
    assert ours.mean() <= technician.mean()
    for name in LIKELY if kit == "+ meter" else COMMON:
        # The mean of a handful depends on the one call on which the right action did not help.
        mine = [call.names == {name} for call in calls]
        assert np.median(ours[mine]) <= 1.1 * np.median(technician[mine]), name
    assert (ours > technician).mean() <= 0.15  # the target is none; chance decides some


def test_the_paper_is_not_the_boat() -> None:
    """Readings on the simulator's boats differ from their job files by more than rounding."""
    off = []
    for call in few()[:20]:
        study = study_of(call, True)
        said = study.mean[study.healthy, study.instruments.column_of["flow"]]
        off.append(call.well.flow() / float(said) - 1)
    assert max(map(abs, off)) > 0.05
