"""What may take the place of a scoop."""

from collections.abc import Iterator

from loop.check.context import Context
from loop.check.plan import Plan
from loop.parts import Intake
from loop.words.actions import Action, Address, TurnScoop


def turn_scoop(plan: Plan) -> Iterator[Action]:
    """Turn an aft-facing scoop that leaves the units short, or fit a flush grate in its place."""
    context = plan.context
    if context.network.start_head < 0:
        yield from plan.that_cure(scoop_alternatives(context.addresses[_intake_index(context)]))


def scoop_alternatives(intake: Address) -> Iterator[TurnScoop]:
    """Alternatives to an aft-facing scoop, least work first."""
    yield TurnScoop(intake, "forward")
    yield TurnScoop(intake, "flush")


def flush_grate(context: Context) -> Iterator[TurnScoop]:
    """A flush grate for a scoop, if the pump alone, as at rest, gives every unit its need."""
    rest = context.at_rest
    if rest is None or context.network.start_head <= 0:
        return
    if all(unit.flow_low >= unit.needed_flow for unit in rest.condensers):
        yield TurnScoop(context.addresses[_intake_index(context)], "flush")


def _intake_index(context: Context) -> int:
    return next(i for i, part in enumerate(context.network.parts) if isinstance(part, Intake))
