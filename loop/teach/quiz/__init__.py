"""The quiz: one topic per misconception, and questions drawn from a seed."""

from collections.abc import Mapping, Sequence

import numpy as np

from loop.teach.quiz.air_topics import AIR_TOPICS
from loop.teach.quiz.bleed_topics import BLEED_TOPICS
from loop.teach.quiz.flow_topics import FLOW_TOPICS
from loop.teach.quiz.pump_topics import PUMP_TOPICS
from loop.teach.quiz.question import AnswerError, Choice, Question
from loop.teach.quiz.topic import Topic
from loop.units import System
from loop.words.course import SAY
from loop.words.teaching.beliefs import BELIEFS

__all__ = ["TOPICS", "AnswerError", "Choice", "Question", "Topic", "known_topics", "questions"]

# In the order of `BELIEFS`.
TOPICS: Mapping[str, Topic] = {
    name: {**FLOW_TOPICS, **AIR_TOPICS, **BLEED_TOPICS, **PUMP_TOPICS}[name] for name in BELIEFS
}
# Number of seeds: few enough to type.
_SEED_COUNT = 100_000


def known_topics(topics: Sequence[str]) -> tuple[str, ...]:
    """These topics without duplicates; all where none are named.

    Raises LookupError for an unknown topic; its text lists the known ones.
    """
    for name in topics:
        if name not in TOPICS:
            raise LookupError(SAY("quiz-topic", topic=repr(name), topics=", ".join(TOPICS)))
    return tuple(dict.fromkeys(topics)) or tuple(TOPICS)


def questions(
    count: int, seed: int | None, topics: Sequence[str] = (), system: System = "us"
) -> tuple[Question, ...]:
    """Questions drawn from a seed: the same seed gives the same questions; None draws new ones.

    Parameters
    ----------
    count : int
        How many, 0 or more. No topic repeats before each has come once.
    seed : int or None
        0 or more.
    topics : sequence of str
        Names from `TOPICS`; default all.
    system : "us" or "si"
        Units of the numbers.

    Raises
    ------
    LookupError
        An unknown topic; the text lists the known ones.
    """
    names, rng = known_topics(topics), np.random.default_rng(seed)
    order: list[str] = []
    while len(order) < count:
        order += [names[i] for i in rng.permutation(len(names))]
    return tuple(
        TOPICS[name].question(int(rng.integers(0, _SEED_COUNT)), system) for name in order[:count]
    )
