"""How a topic makes its questions: a sample, the program's answer, the belief's, and wrong ones."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from loop.hydraulics import OperatingPoint, Station, solve
from loop.job import Job
from loop.records import dataclass
from loop.teach.quiz.question import (
    BUCKET,
    SPACING,
    Choice,
    Question,
    answer_text,
    count_below,
    wrong_numbers,
)
from loop.teach.quiz.sketch import Sketch, loop_text
from loop.units import System
from loop.words.teaching.beliefs import ASKED, AT, BELIEFS, NEITHER, OFF
from loop.words.template import Facts, capital, fill

# Most loops drawn until one gives a question.
_MAX_DRAWS = 4000


@dataclass(frozen=True)
class NumberAsked:
    """A number asked of a loop: the program's and the belief's, in SI, and facts for the words.

    The description of `job` is among the facts, unless they have their own ``"loop"``.
    """

    job: Job
    right: float
    tempting: float
    quantity: str
    facts: Facts


@dataclass(frozen=True)
class ItemAsked:
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


Maker = Callable[[Draw], NumberAsked | ItemAsked | None]


@dataclass(frozen=True)
class Form:
    """A form of question: its name in the words, whether the belief errs upward, and its maker.

    ``spacing`` : spacing of its numbers, relative to the larger.
    """

    name: str
    above: bool
    make: Maker
    spacing: float = SPACING


@dataclass(frozen=True)
class Topic:
    """A misconception with its forms of question, used in turn."""

    name: str
    forms: tuple[Form, ...]

    @property
    def belief(self) -> str:
        """The misconception, in a sentence."""
        return BELIEFS[self.name].belief

    def question(self, seed: int, system: System) -> Question:
        """The question of a seed: the same seed gives the same question."""
        rng = np.random.default_rng([seed, sum(self.name.encode())])
        turn, index = divmod(seed, len(self.forms))
        form = self.forms[index]
        draw = Draw(rng, system, turn, count_below(turn, form.above), float(rng.random()))
        for _ in range(_MAX_DRAWS):
            asked = form.make(draw)
            if isinstance(asked, ItemAsked):
                return _question(self.name, form.name, seed, asked, rng)
            if asked is not None:
                found = _number_question(self.name, form, seed, asked, draw)
                if found is not None:
                    return found
        raise ValueError(f"no question of {self.name}, {form.name}, comes of seed {seed}")


def by_bucket(make: Maker) -> Maker:
    """The same question of flow, asked as the time to fill a bucket."""

    def timed(draw: Draw) -> NumberAsked | None:
        asked = make(draw)
        if not isinstance(asked, NumberAsked) or min(asked.right, asked.tempting) <= 0:
            return None
        right, tempting = (BUCKET[draw.system] / flow for flow in (asked.right, asked.tempting))
        return replace(asked, right=right, tempting=tempting, quantity="bucket")

    return timed


def bucket_time(flow: float, system: System) -> str:
    """The time in which a flow [m³/s] fills the bucket, as text.

    So a flow that is the answer does not appear in its question.
    """
    return answer_text(BUCKET[system] / flow, "bucket", system)


def topics(*each: Topic) -> dict[str, Topic]:
    """Topics by their names."""
    return {topic.name: topic for topic in each}


def station(point: OperatingPoint, label: str) -> Station:
    """The water at the far end of the part of this label."""
    return next(one for one in point.stations if one.label == label)


def flow_after(
    sketch: Sketch, before: OperatingPoint, job: Job, belief: float, facts: Facts
) -> NumberAsked:
    """The flow of a sketch that has become `job`, with the flow before the change given."""
    known: Facts = {"loop": loop_text(sketch.job), "before": before.flow}
    return NumberAsked(job, solve(job).flow, belief, "flow", {**known, **facts})


def _number_question(
    topic: str, form: Form, seed: int, asked: NumberAsked, draw: Draw
) -> Question | None:
    if (asked.tempting > asked.right) != form.above:
        return None
    others = wrong_numbers(draw.rng, asked.right, asked.tempting, draw.below, form.spacing)
    if others is None:
        return None
    values = [asked.right, asked.tempting, *others]
    texts = [answer_text(value, asked.quantity, asked.job.units) for value in values]
    if len(set(texts)) < len(texts):
        return None
    thing = ItemAsked(asked.job, tuple(texts), 0, 1, asked.facts)
    return _question(topic, form.name, seed, thing, draw.rng, asked.quantity, values)


def _question(
    topic: str,
    form: str,
    seed: int,
    asked: ItemAsked,
    rng: np.random.Generator,
    quantity: str = "",
    values: list[float] | None = None,
) -> Question:
    row, system, texts = BELIEFS[topic], asked.job.units, asked.texts
    facts: Facts = {
        "bucket": BUCKET[system],
        "loop": loop_text(asked.job),
        "right": texts[asked.right],
        "tempting": texts[asked.tempting],
        "at": AT.get(quantity, ""),
        **asked.facts,
    }
    facts = {**facts, "asked": fill(ASKED.get(quantity, ""), facts, system)}
    phrases = row.said[form]
    why, temptation, text = (
        capital(fill(words, facts, system))
        for words in (phrases.holds, phrases.tempts, phrases.asks)
    )
    feedback = [
        NEITHER.format(off=off, why=why, tempts=temptation)
        for off in _misses(asked, quantity, values)
    ]
    feedback[asked.right], feedback[asked.tempting] = why, temptation
    order = [int(index) for index in rng.permutation(len(texts))]
    return Question(
        topic=topic,
        form=form,
        seed=seed,
        belief=row.belief,
        text=text,
        choices=tuple(
            Choice(texts[i], feedback[i], None if values is None else values[i]) for i in order
        ),
        right=order.index(asked.right),
        tempting=order.index(asked.tempting),
        why=why,
        job=asked.job,
    )


def _misses(asked: ItemAsked, quantity: str, values: list[float] | None) -> list[str]:
    """How each answer misses the right one."""
    if values is None:
        return [OFF["thing"]] * len(asked.texts)
    kind = "bucket_" if quantity == "bucket" else ""
    return [OFF[kind + ("low" if one < values[asked.right] else "high")] for one in values]
