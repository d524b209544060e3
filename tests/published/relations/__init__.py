"""Names of the relations that the rows call, all through the project's own parts and functions."""

from tests.published.relations import heat, losses, networks, pumps, suction, water
from tests.published.relations.registry import RELATIONS

__all__ = ["RELATIONS", "heat", "losses", "networks", "pumps", "suction", "water"]
