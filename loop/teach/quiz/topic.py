"""How a topic makes its questions: a sample, the program's answer, the belief's, and wrong ones."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from loop.hydraulics import OperatingPoint, Station, solve
from loop.job import Job
from loop.records import dataclass
from loop.teach.quiz.question import APART, BUCKET, Choice, Question, numbers, place, shown
from loop.teach.quiz.sketch import Sketch, told
from loop.units import System
from loop.words.teaching.beliefs import ASKED, BELIEFS, NEITHER, OFF
from loop.words.template import Facts, capital, fill

# Most loops drawn until one gives a question.
_DRAWS = 4000


@dataclass(frozen=True)
class Asked:
    """A number asked of a loop: the program's and the belief's, in SI, and facts for the words.

    The description of `job` is among the facts, unless they have their own ``"loop"``.
    """

    job: Job
    right: float
    tempting: float
    quantity: str
    facts: Facts


@dataclass(frozen=True)
class Picked:
    """A choice among things: their texts, the right one and the tempting one."""

    job: Job
    texts: tuple[str, ...]
    right: int
    tempting: int
    facts: Facts


@dataclass(frozen=True)
class Draw:
    """The random inputs of a question.

    ``below`` of the choices are smaller than the right one. ``turn`` counts the questions of one
    form, and ``pick`` is from 0 to 1: they decide everything that must be fixed before a loop is
    drawn, so that loops that qualify more easily do not bias it.
    """

    rng: np.random.Generator
    system: System
    turn: int
    below: int
    pick: float


Maker = Callable[[Draw], Asked | Picked | None]


@dataclass(frozen=True)
class Shape:
    """A form of question: its name in the words, whether the belief errs upward, and its maker.

    ``share`` : spacing of its numbers, relative to the larger.
    """

    name: str
    above: bool
    make: Maker
    share: float = APART


@dataclass(frozen=True)
class Topic:
    """A misconception with its forms of question, used in turn."""

    name: str
    shapes: tuple[Shape, ...]

    @property
    def belief(self) -> str:
        """The misconception, in a sentence."""
        return BELIEFS[self.name].belief

    def question(self, seed: int, system: System) -> Question:
        """The question of a seed: the same seed gives the same question."""
        rng = np.random.default_rng([seed, sum(self.name.encode())])
        turn, which = divmod(seed, len(self.shapes))
        shape = self.shapes[which]
        draw = Draw(rng, system, turn, place(turn, shape.above), float(rng.random()))
        for _ in range(_DRAWS):
            made = shape.make(draw)
            if isinstance(made, Picked):
                return _written(self.name, shape.name, seed, made, rng)
            if made is not None:
                found = _of_numbers(self.name, shape, seed, made, draw)
                if found is not None:
                    return found
        raise ValueError(f"no question of {self.name}, {shape.name}, comes of seed {seed}")


def by_bucket(make: Maker) -> Maker:
    """The same question of flow, asked as the time to fill a bucket."""

    def timed(draw: Draw) -> Asked | None:
        made = make(draw)
        if not isinstance(made, Asked) or min(made.right, made.tempting) <= 0:
            return None
        right, tempting = (BUCKET[draw.system] / flow for flow in (made.right, made.tempting))
        return replace(made, right=right, tempting=tempting, quantity="bucket")

    return timed


def bucket_time(flow: float, system: System) -> str:
    """The time in which a flow [m³/s] fills the bucket, as text.

    So a flow that is the answer does not appear in its question.
    """
    return shown(BUCKET[system] / flow, "bucket", system)


def topics(*each: Topic) -> dict[str, Topic]:
    """Topics by their names."""
    return {topic.name: topic for topic in each}


def station(point: OperatingPoint, label: str) -> Station:
    """The water at the far end of the part of this label."""
    return next(one for one in point.stations if one.label == label)


def changed(sketch: Sketch, before: OperatingPoint, job: Job, belief: float, facts: Facts) -> Asked:
    """The flow of a sketch that has become `job`, with the flow before the change given."""
    known: Facts = {"loop": told(sketch.job), "before": before.flow}
    return Asked(job, solve(job).flow, belief, "flow", {**known, **facts})


def _of_numbers(topic: str, shape: Shape, seed: int, made: Asked, draw: Draw) -> Question | None:
    if (made.tempting > made.right) != shape.above:
        return None
    others = numbers(draw.rng, made.right, made.tempting, draw.below, shape.share)
    if others is None:
        return None
    values = [made.right, made.tempting, *others]
    texts = [shown(value, made.quantity, made.job.units) for value in values]
    if len(set(texts)) < len(texts):
        return None
    thing = Picked(made.job, tuple(texts), 0, 1, made.facts)
    return _written(topic, shape.name, seed, thing, draw.rng, made.quantity, values)


def _written(
    topic: str,
    shape: str,
    seed: int,
    made: Picked,
    rng: np.random.Generator,
    quantity: str = "",
    values: list[float] | None = None,
) -> Question:
    row, system, texts = BELIEFS[topic], made.job.units, made.texts
    facts: Facts = {
        "bucket": BUCKET[system],
        "loop": told(made.job),
        "right": texts[made.right],
        "tempting": texts[made.tempting],
        **made.facts,
    }
    facts = {**facts, "asked": fill(ASKED.get(quantity, ""), facts, system)}
    said = row.said[shape]
    why, tempts, text = (
        capital(fill(words, facts, system)) for words in (said.holds, said.tempts, said.asks)
    )
    feedback = [
        NEITHER.format(off=off, why=why, tempts=tempts) for off in _off(made, quantity, values)
    ]
    feedback[made.right], feedback[made.tempting] = why, tempts
    order = [int(spot) for spot in rng.permutation(len(texts))]
    return Question(
        topic=topic,
        shape=shape,
        seed=seed,
        belief=row.belief,
        text=text,
        choices=tuple(
            Choice(texts[i], feedback[i], None if values is None else values[i]) for i in order
        ),
        right=order.index(made.right),
        tempting=order.index(made.tempting),
        why=why,
        job=made.job,
    )


def _off(made: Picked, quantity: str, values: list[float] | None) -> list[str]:
    """How each answer misses the right one."""
    if values is None:
        return [OFF["thing"]] * len(made.texts)
    kind = "bucket_" if quantity == "bucket" else ""
    return [OFF[kind + ("low" if one < values[made.right] else "high")] for one in values]
