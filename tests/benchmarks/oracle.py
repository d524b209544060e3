"""About the best that a kit allows: a technician who knows the simulator itself.

He has seen thousands of its calls, takes every reading of his kit at once and for free, and weighs
the faults by how often calls that read like this one had them (a kernel over calls, for boats of
one size). Then he tries whatever finds or cures most per minute, the best order if exactly one
fault is present, regardless of risk, price and usual sequence; updates the weights with the
simulator's own chances after each try; and stops where our own order does: sure enough, or with
nothing left to do. What is well out of his reach cannot be read at all. The kernel widths were set
on calls of seeds 31 and 32, where narrower and wider kernels take him longer.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from loop.curve import Array
from loop.diagnose.action import LOOK_AGAIN
from loop.diagnose.actions import BY_NAME
from loop.diagnose.readings import Readings
from tests.benchmarks.service_calls import GIVEN_UP, Call, made, possible, tried
from tests.benchmarks.trouble import TRIES, TROUBLES

NAMES = tuple(one.name for one in TROUBLES)
_POOL, _POOL_SEED = 12_000, 987_654
# Kernel widths: log of the flow, temperature rise and sea temperature [K]; and the weight of a call
# that differs in one word.
_FLOW_WIDTH, _WARM_WIDTH, _SEA_WIDTH, _OTHER_WORD = 0.15, 1.2, 2.0, 0.1
_NAMED = 0.7
# Least weight of "none of the faults".
_NONE_OF_THEM = 0.05
_LINES, _IN_A_LINE = 2, 4


@cache
def _pool() -> list[Call]:
    return made(_POOL, _POOL_SEED)


def _looks(call: Call, kit: tuple[str, ...]) -> tuple[list[float], list[str]]:
    """Scaled readings of a kit of eyes, bucket and thermometer, per boat size; NaN if not read."""
    read = possible(call, kit)
    number = {key: one.value for key, one in read.numbers.items()}
    flow = np.log(max(number.get("flow", np.nan), 1e-7) / float(call.paper["tons"]))
    sea = number.get("sea_temperature", np.nan)
    rise = number.get("outlet_temperature", np.nan) - sea
    words = [read.words.get(key, "") for key in ("stream", "pump_sound", "unit", "strainer_seen")]
    return [flow / _FLOW_WIDTH, rise / _WARM_WIDTH, sea / _SEA_WIDTH], words


@cache
def _pool_looks(kit: tuple[str, ...]) -> tuple[Array, NDArray[np.str_], Array]:
    looks = [_looks(call, kit) for call in _pool()]
    has = np.array([[name in call.names for name in NAMES] for call in _pool()], dtype=float)
    return np.array([one for one, _ in looks]), np.array([words for _, words in looks]), has


def weights(call: Call, kit: tuple[str, ...]) -> Array:
    """Probability of each fault of the simulator, from calls that read alike."""
    numbers, words, has = _pool_looks(kit)
    own, said = _looks(call, kit)
    apart = np.nan_to_num(numbers - np.array(own), nan=0.0)
    others = (words != np.array(said)).sum(axis=1)
    log = -0.5 * (apart**2).sum(axis=1) + np.log(_OTHER_WORD) * others
    weight = np.exp(log - log.max())
    return np.asarray(weight @ has / weight.sum())


def holds_both(call: Call, kit: tuple[str, ...]) -> bool:
    """Whether the likeliest faults, as many as fit two lines, include everything that is wrong."""
    likeliest = np.argsort(-weights(call, kit))[: _LINES * _IN_A_LINE]
    return call.names <= {NAMES[i] for i in likeliest}


def minutes(call: Call, kit: tuple[str, ...]) -> float:
    """Minutes until a remaining fault is known at 70 %, or none remains; else `GIVEN_UP`."""
    weight, names, spent = weights(call, kit), set(call.names), 0.0
    weight = np.append(weight, max(1.0 - weight.sum(), _NONE_OF_THEM))
    bleed = bool(call.paper["bleed"])
    left = [key for key in TRIES if key != ("loosen-outlet-hose" if bleed else "bleed")]
    while left and names and spent < GIVEN_UP:
        if max(weight[NAMES.index(name)] for name in names) >= _NAMED * weight.sum():
            return spent
        key = max(left, key=lambda k: float(weight @ _finds(k)) / (BY_NAME[k].minutes + LOOK_AGAIN))
        left.remove(key)
        spent += BY_NAME[key].minutes + LOOK_AGAIN
        rng = np.random.default_rng([call.seed, 77, list(TRIES).index(key)])
        taken, _, names = tried(key, Readings(), call.boat, names, call, rng)
        seen, cured = _chances(key)
        first = taken.steps[-1].saw == BY_NAME[key].answers[0]
        weight = weight * (seen if first else 1 - seen) * (1 - cured)
    return min(spent, GIVEN_UP) if not names else GIVEN_UP


@cache
def _chances(key: str) -> tuple[Array, Array]:
    """Chance that an action shows each fault, and that it cures it; last, without any fault."""
    effects, by_mistake = TRIES[key]
    shows, cures = np.array([effects.get(name, (0.0, 0.0)) for name in (*NAMES, "")]).T
    return 1 - (1 - by_mistake) * (1 - shows), cures


@cache
def _finds(key: str) -> Array:
    """Chance that an action cures each fault, or shows it and only it."""
    seen, cures = _chances(key)
    return np.maximum(cures, seen - seen[-1])
