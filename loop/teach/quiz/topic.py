"""How a topic makes its questions: a draw, the program's answer, the belief's, and the rest."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from loop.job import Job
from loop.records import dataclass
from loop.teach.quiz.question import BUCKET, Choice, Question, numbers, place, shown, signed
from loop.teach.words.beliefs import ASKED, BELIEFS, NEITHER
from loop.units import System, show

# Loops drawn at most until one gives a question.
_DRAWS = 4000


@dataclass(frozen=True)
class Asked:
    """A number asked of a loop: the program's and the belief's, in SI, and facts for the words."""

    job: Job
    right: float
    tempting: float
    quantity: str
    facts: Mapping[str, str]


@dataclass(frozen=True)
class Picked:
    """A choice among things: each with its text, the right one and the tempting one."""

    job: Job
    texts: tuple[str, ...]
    right: int
    tempting: int
    facts: Mapping[str, str]


@dataclass(frozen=True)
class Draw:
    """What a question is drawn from.

    ``count`` choices are offered, and ``below`` of them lie under the right one in size; ``picks``,
    from 0 to 1, are for what else must be settled before any loop is drawn, so that loops that come
    more easily have no say in it.
    """

    rng: np.random.Generator
    system: System
    count: int
    below: int
    picks: tuple[float, float]


Maker = Callable[[Draw], Asked | Picked | None]


@dataclass(frozen=True)
class Shape:
    """A way of asking: its name in the words, whether the belief errs upward, and its maker."""

    name: str
    above: bool
    make: Maker


@dataclass(frozen=True)
class Topic:
    """A belief with its ways of asking, each in its turn."""

    name: str
    shapes: tuple[Shape, ...]

    @property
    def belief(self) -> str:
        """The belief, in a sentence."""
        return BELIEFS[self.name].belief

    def question(self, seed: int, system: System) -> Question:
        """The question of a seed: the same seed, the same question."""
        rng = np.random.default_rng([seed, sum(self.name.encode())])
        turn, which = divmod(seed, len(self.shapes))
        shape = self.shapes[which]
        mirrored = len({one.above for one in self.shapes}) > 1
        count, below = place(turn, shape.above, mirrored)
        draw = Draw(rng, system, count, below, (float(rng.random()), float(rng.random())))
        for _ in range(_DRAWS):
            made = shape.make(draw)
            if isinstance(made, Picked):
                return _of_things(self.name, shape.name, seed, made, rng)
            if made is not None:
                found = _of_numbers(self.name, shape, seed, made, draw)
                if found is not None:
                    return found
        raise ValueError(f"no question of {self.name}, {shape.name}, comes of seed {seed}")


def by_bucket(make: Maker) -> Maker:
    """The same question of flow, asked by the time that a bucket takes to fill."""

    def timed(draw: Draw) -> Asked | None:
        made = make(draw)
        if not isinstance(made, Asked) or min(made.right, made.tempting) <= 0:
            return None
        right, tempting = (BUCKET[draw.system] / flow for flow in (made.right, made.tempting))
        return replace(made, right=right, tempting=tempting, quantity="bucket")

    return timed


def _of_numbers(topic: str, shape: Shape, seed: int, made: Asked, draw: Draw) -> Question | None:
    if (made.tempting > made.right) != shape.above:
        return None
    others = numbers(draw.rng, made.right, made.tempting, draw.below, draw.count)
    if others is None:
        return None
    values = [made.right, made.tempting, *others]
    system = made.job.units
    texts = signed([shown(value, made.quantity, system) for value in values])
    if len(set(texts)) < len(texts):
        return None
    facts = {"bucket": show(BUCKET[system], "volume", system, 0), **made.facts}
    facts |= {"asked": ASKED.get(made.quantity, "").format_map(facts)}
    return _written(topic, shape.name, seed, made.job, texts, values, (0, 1), facts, draw.rng)


def _of_things(
    topic: str, shape: str, seed: int, made: Picked, rng: np.random.Generator
) -> Question:
    marks = (made.right, made.tempting)
    return _written(topic, shape, seed, made.job, list(made.texts), None, marks, made.facts, rng)


def _written(
    topic: str,
    shape: str,
    seed: int,
    job: Job,
    texts: list[str],
    values: list[float] | None,
    marks: tuple[int, int],
    facts: Mapping[str, str],
    rng: np.random.Generator,
) -> Question:
    row = BELIEFS[topic]
    told = {**facts, "right": texts[marks[0]], "tempting": texts[marks[1]]}
    why = _capital(row.holds[shape].format_map(told))
    tempts = _capital(row.tempts[shape].format_map(told))
    feedback = [NEITHER.format(why=why)] * len(texts)
    feedback[marks[0]], feedback[marks[1]] = why, tempts
    order = [int(spot) for spot in rng.permutation(len(texts))]
    return Question(
        topic=topic,
        shape=shape,
        seed=seed,
        belief=row.belief,
        text=_capital(row.asks[shape].format_map(told)),
        choices=tuple(
            Choice(texts[i], feedback[i], None if values is None else values[i]) for i in order
        ),
        right=order.index(marks[0]),
        tempting=order.index(marks[1]),
        why=why,
        job=job,
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
