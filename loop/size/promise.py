"""What the flows of an option promise, before it is checked."""

from typing import Any

from loop.job import Job
from loop.records import dataclass
from loop.size.describe import price
from loop.size.fit_choice import with_choice
from loop.size.option_flows import OptionFlows
from loop.size.options import Choice


@dataclass(frozen=True)
class Promise:
    """An option that is not checked yet: the best that a check can find, as of an `Option`.

    ``margin`` is not below the option's, ``power`` not above it; price and bores are its own.
    """

    choice: Choice
    flows: OptionFlows
    margin: float
    power: float
    price: float | None
    as_new: tuple[str, ...] = ()
    reasons: tuple[Any, ...] = ()
    energy: None = None

    @property
    def may_pass(self) -> bool:
        """Whether a check may find nothing wrong: not if water is short or too fast."""
        return self.margin >= 0 and self.flows.least_speed <= 1


def promise(job: Job, choice: Choice, flows: OptionFlows) -> Promise:
    """What the flows of one of a job's options promise."""
    name = choice.strainer.name if choice.strainer else None
    cost = price(with_choice(job, choice), name) if job.sizing.price.pump else None
    return Promise(choice, flows, flows.most_margin, flows.least_power, cost)
