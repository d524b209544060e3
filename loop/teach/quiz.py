"""The quiz: topics, and a run of questions drawn from a seed."""

from collections.abc import Sequence

import numpy as np

from loop.teach.question import Maker, Question
from loop.teach.questions_air import AIR_TOPICS
from loop.teach.questions_flow import FLOW_TOPICS
from loop.teach.questions_heat import HEAT_TOPICS
from loop.teach.questions_pump import PUMP_TOPICS
from loop.units import System

TOPICS: dict[str, Maker] = {**FLOW_TOPICS, **PUMP_TOPICS, **AIR_TOPICS, **HEAT_TOPICS}


def about(topic: str) -> str:
    """What a topic asks, in a line; raises KeyError for a topic that is not there."""
    return (TOPICS[topic].__doc__ or "").strip().splitlines()[0].rstrip(".")


def questions(
    count: int, seed: int | None, topics: Sequence[str] = (), system: System = "us"
) -> tuple[Question, ...]:
    """Questions drawn from a seed: the same seed, the same questions; None draws new ones.

    Parameters
    ----------
    count : int
        How many, 0 or more. No topic comes twice before each has come once.
    seed : int or None
        0 or more.
    topics : sequence of str
        Names from `TOPICS`; all of them where left out.
    system : "us" or "si"
        Units of the numbers.

    Raises
    ------
    LookupError
        A topic that is not there; the text names those that are.
    """
    unknown = [name for name in topics if name not in TOPICS]
    if unknown:
        raise LookupError(f"no topic {unknown[0]!r}; topics: {', '.join(TOPICS)}")
    rng = np.random.default_rng(seed)
    names = list(dict.fromkeys(topics)) or list(TOPICS)
    order: list[str] = []
    while len(order) < count:
        order += [names[i] for i in rng.permutation(len(names))]
    return tuple(TOPICS[name](rng, system) for name in order[:count])
