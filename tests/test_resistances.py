"""Resistances of lines: the parts' own losses, whether few or many cases are read at once."""

import numpy as np
import pytest

from loop.curve import FLOW_GRID, Array
from loop.hydraulics import Cases, Network, build, solve_flows
from loop.hydraulics.resistances import Resistances
from loop.job import parse_job
from tests.loops import plain_loop
from tests.random_jobs import random_cases, random_job
from tests.test_balance import branch, manifold_loop

NETWORKS = {
    "series": build(parse_job(plain_loop())),
    "branches": build(
        parse_job(
            manifold_loop(dict.fromkeys("ab", "9000 BTU/h"), [branch("a"), branch("b", "16 ft")])
        )
    ),
}


def by_parts(network: Network, loss: Array, size: Array) -> Array:
    """Resistance of every line from its parts' own losses [s²/m⁵], shape (n, lines)."""
    found = np.zeros_like(size)
    for case, flows in enumerate(size):
        for number, line in enumerate(network.lines):
            for index in line.parts:
                lost = network.head_loss(index, float(flows[number]))
                found[case, number] += loss[case, index] * lost / flows[number] ** 2
    return found


@pytest.mark.parametrize("name", NETWORKS)
@pytest.mark.parametrize("count", [3, 2000])
def test_a_lines_resistance_is_the_sum_of_its_parts(name: str, count: int) -> None:
    network = NETWORKS[name]
    rng = np.random.default_rng(5)
    size = np.exp(rng.uniform(np.log(1.5e-4), np.log(3e-3), (count, len(network.lines))))
    loss = rng.uniform(0.3, 3.0, (count, len(network.parts)))
    weighed, _ = Resistances.of_lines(network, Cases(loss=loss))(size)
    assert weighed == pytest.approx(by_parts(network, loss, size), rel=1e-3)
    plain, _ = Resistances.of_lines(network, Cases(speed=np.ones(count)))(size)
    assert plain == pytest.approx(by_parts(network, np.ones_like(loss), size), rel=1e-3)


def test_where_flow_turns_a_table_is_within_three_hundredths() -> None:
    network = NETWORKS["series"]
    size = np.exp(np.linspace(np.log(1e-6), np.log(3e-3), 800))[:, None]
    ones = np.ones((len(size), len(network.parts)))
    table, _ = Resistances.of_lines(network, Cases(speed=np.ones(len(size))))(size)
    assert table == pytest.approx(by_parts(network, ones, size), rel=0.03)


@pytest.mark.parametrize("name", NETWORKS)
def test_the_rise_is_the_change_by_the_logarithm_of_flow(name: str) -> None:
    network = NETWORKS[name]
    # Midway between the points of the tables, where lines are straight.
    size = np.sqrt(FLOW_GRID[200:260:7] * FLOW_GRID[201:261:7])[:, None] * np.ones(
        len(network.lines)
    )
    ask = Resistances.of_lines(network, Cases(speed=np.ones(len(size))))
    over, under = ask(size * np.exp(1e-4))[0], ask(size * np.exp(-1e-4))[0]
    value, rise = ask(size)
    assert rise == pytest.approx((over - under) / 2e-4, rel=1e-6, abs=1e-9 * float(value.max()))


@pytest.mark.parametrize("seed", range(6))
def test_a_case_has_one_answer_among_few_and_among_many(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Few cases are read for all lines at once, cutting steps at many points; many are not."""
    monkeypatch.setattr("loop.hydraulics.resistances._NUMBERS_PER_GROUP", 0)  # 150 are many
    rng = np.random.default_rng(seed)
    network = build(random_job(rng, branches=3, depth=1))
    cases = random_cases(rng, network, 150)
    together = solve_flows(network, cases)
    parts = [solve_flows(network, cases[slice(i, i + 10)]) for i in range(0, 150, 10)]
    apart = np.concatenate([part.line_flow for part in parts])
    assert together.settled.all()
    scale = np.abs(together.line_flow).max(axis=1, keepdims=True) + 1e-12
    # Heads agree to 1e-8 m; where the least head drives the most flow, flows to a millionth.
    assert np.all(np.abs(apart - together.line_flow) <= 1e-5 * scale)


def test_some_of_the_cases_are_those_cases(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("loop.hydraulics.resistances._NUMBERS_PER_GROUP", 0)  # 150 are many
    network = NETWORKS["branches"]
    rng = np.random.default_rng(1)
    loss = rng.uniform(0.3, 3.0, (150, len(network.parts)))
    size = np.full((150, len(network.lines)), 2e-4)
    every = Resistances.of_lines(network, Cases(loss=loss))
    whole = every(size)[0]
    rows = np.array([3, 77, 149])
    assert every.subset(rows)(size[rows])[0] == pytest.approx(whole[rows], rel=1e-12)
    assert every.subset(rows).factor(1, 2) == loss[77, 2]
    # Of some of these again, which lie elsewhere when asked again: for some between other nodes.
    some, less = every.subset(np.arange(0, 150, 2)), np.array([0, 70, 74])
    size = np.repeat(2e-4 * np.linspace(0.9, 1.1, 150)[:, None], len(network.lines), axis=1)
    fresh = Resistances.of_lines(network, Cases(loss=loss))(size)
    assert_same(some(size[::2]), tuple(found[::2] for found in fresh))
    assert_same(some.subset(less)(size[2 * less]), tuple(found[2 * less] for found in fresh))


def assert_same(found: tuple[Array, Array], other: tuple[Array, Array]) -> None:
    for one, two in zip(found, other, strict=True):
        assert one == pytest.approx(two, rel=1e-12)
