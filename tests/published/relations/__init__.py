"""The relations that rows name, all calculated by the project's own parts and functions."""

from tests.published.relations import heat, losses, networks, pumps, suction, water
from tests.published.relations.registry import RELATIONS

__all__ = ["RELATIONS", "heat", "losses", "networks", "pumps", "suction", "water"]
