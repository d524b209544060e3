"""Build the context of a job: its operating point, and what findings derive from it."""

from loop.check.context import Context
from loop.hydraulics import Network, operating_point, solve
from loop.job import Job


def build_context(job: Job, network: Network | None = None) -> Context:
    """The context of a job, and of the boat at rest where that makes a difference.

    `network` is the job's, if already built.
    """
    point = operating_point(network) if network else solve(job)
    moving = point.network.start_head != 0
    return Context(job, point, build_context(job.at_speed(0.0)) if moving else None)
