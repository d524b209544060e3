"""Bore of a part that states none: that of the hoses on either side of it."""

from collections.abc import Mapping, Sequence
from typing import Any

from loop.parts import Hose

# Kinds that take no bore here: hoses, whose bore is the source, and those with their own.
_EXCLUDED = ("hose", "pump", "manifold")


def with_bores(parts: Sequence[Any]) -> list[Any]:
    """Tables of parts; those without a bore get that of the nearest hoses before and after them.

    Only if the two agree, or if there is only one, at an end of the line. The bore is marked as a
    guess, since nobody has stated it. Anything that is not a table is left unchanged.
    """
    return [_with_bore(parts, index) for index in range(len(parts))]


def _with_bore(parts: Sequence[Any], index: int) -> Any:
    part = parts[index]
    if not isinstance(part, Mapping):
        return part
    branches = part.get("branch")
    if isinstance(branches, list | tuple):
        return {**part, "branch": [_with_branch_bores(way) for way in branches]}
    if "bore" in part or part.get("kind") in _EXCLUDED:
        return part
    neighbors = [_first_hose_bore(side) for side in (parts[:index][::-1], parts[index + 1 :])]
    stated = [bore for bore in neighbors if bore is not None]
    if not stated or stated.count(stated[0]) < len(stated):
        return part
    guessed = part.get("guessed", ())
    is_list = isinstance(guessed, list | tuple)
    marked = [*(key for key in guessed if key != "bore"), "bore"] if is_list else guessed
    return {**part, "bore": stated[0], "guessed": marked}


def _with_branch_bores(branch: Any) -> Any:
    parts = branch.get("part") if isinstance(branch, Mapping) else None
    return {**branch, "part": with_bores(parts)} if isinstance(parts, list | tuple) else branch


def _first_hose_bore(parts: Sequence[Any]) -> Any:
    """Bore of the first hose among some parts; None if there is none, or it states none."""
    for part in parts:
        if isinstance(part, Hose):
            return part.bore
        if isinstance(part, Mapping) and part.get("kind") == "hose":
            return part.get("bore")
    return None
