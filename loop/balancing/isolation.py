"""Which branches supply which units: what shuts them off, and what can be throttled alone."""

from loop.hydraulics import Network
from loop.parts import Condenser

# Separator in the name of a nested branch, after that of its outer branch.
_SEPARATOR = " / "
# Share of a need that counts as no flow.
TRICKLE = 1e-3

# A unit's name, index of its condenser, required flow [m³/s].
OpenUnit = tuple[str, int, float]


def bypasses(network: Network) -> list[int]:
    """The first part of each branch that serves no unit, holds no branches and is not shut."""
    shut = shut_parts(network)
    serving = {network.branches[i] for i, p in enumerate(network.parts) if isinstance(p, Condenser)}
    return [
        line.parts[0]
        for line in network.lines
        if line.branch
        and not any(_within(branch, line.branch) for branch in serving)
        and not any(_within(f, line.branch) for f in _with_manifold(network))
        and not shut_on_path(network, shut, line.parts[0])
    ]


def _with_manifold(network: Network) -> set[str]:
    """The branches that contain a manifold."""
    return {network.branches[fork.manifold] for fork in network.forks}


def _within(branch: str, outer: str) -> bool:
    return outer in enclosing_branches(branch)


def valve_sites(network: Network, units: list[OpenUnit]) -> list[OpenUnit]:
    """The unit with the greatest need in each branch, except branches that feed other branches.

    A branch that feeds the branches of other units cannot be throttled for its own unit alone.
    """
    neediest: dict[str, OpenUnit] = {}
    for unit in units:
        branch = network.branches[unit[1]]
        if branch not in neediest or unit[2] > neediest[branch][2]:
            neediest[branch] = unit
    feeding = {
        outer for branch in neediest for outer in enclosing_branches(branch) if outer != branch
    }
    return [unit for branch, unit in neediest.items() if branch not in feeding]


def enclosing_branches(branch: str) -> list[str]:
    """A branch and all branches around it, the main line ``""`` first."""
    names = branch.split(_SEPARATOR) if branch else []
    return [_SEPARATOR.join(names[:depth]) for depth in range(len(names) + 1)]


def open_units(network: Network) -> list[OpenUnit]:
    """Name, part and need of each unit with no shut valve on its path."""
    shut = shut_parts(network)
    parts = [(unit, network.condenser_part(unit.name)) for unit in network.job.condenser]
    return [
        (unit.name, i, unit.needed_flow) for unit, i in parts if not shut_on_path(network, shut, i)
    ]


def shut_parts(network: Network) -> list[int]:
    """The parts that block all flow."""
    return [i for i, part in enumerate(network.parts) if part.shut]


def shut_on_path(network: Network, shut: list[int], index: int) -> list[int]:
    """The shut parts on the path to a part: in its branch, or in those around it."""
    path = enclosing_branches(network.branches[index]) if shut else []
    return [i for i in shut if network.branches[i] in path]
