"""Mostly valid jobs: nested branches, check valves, consistent heights, and every table."""

import random
from itertools import pairwise
from typing import Any

from tests.second_fuzz.tables import Table, size, with_tables
from tests.second_fuzz.words import bore, exact, name, quantity

_PUMPS = ("demo-ac-350", "demo-ac-700", "demo-ac-1500", "demo-dc-320", "demo-ac-1000")


class Boat:
    """One invented boat: how extreme its numbers are, and the names it has used."""

    def __init__(self, seed: int) -> None:
        self.rng = random.Random(f"second {seed}")
        self.wild = self.rng.choice((0.0, 0.05, 0.3, 1.0))
        self.valves = self.rng.choice((0.0, 0.1, 0.5))  # share of check valves
        self.units: list[str] = []
        self.taken: set[str] = set()

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def size(self, low: float, high: float) -> float:
        """A number in a range, equally likely in each decade."""
        return size(self.rng, low, high)

    def job(self) -> Table:
        """The tables of a job file."""
        rng = self.rng
        shape = rng.choices(("line", "manifold", "deep", "wide"), (3, 3, 3, 1))[0]
        parts, height = self._suction()
        depth = {"line": 0, "manifold": 1, "deep": rng.randint(2, 5), "wide": 1}[shape]
        ways = rng.randint(7, 16) if shape == "wide" else rng.randint(2, 4)
        if depth:
            tail, ends = self._split(height, depth, ways, outermost=True)
            parts += tail
        else:
            tail, height = self._run(height, rng.randint(0, 4), serve=True)
            parts += tail
            ends = False
        if not ends:
            parts.append(self._out(parts))
        if not self.units:
            parts.insert(-1, self._unit())
        for part in _flat(parts):
            part.pop("_end", None)
        return with_tables(self, parts)

    def _suction(self) -> tuple[list[Table], float]:
        rng = self.rng
        height = -self.size(0.05, 2.0)
        intake: Table = {"kind": "intake", "height": exact(rng, height, "length")}
        if self.chance(0.4):
            intake["facing"] = rng.choice(("forward", "flush", "aft"))
        if self.chance(0.2):
            intake["off_centre"] = quantity(rng, rng.uniform(-3, 3), "length")
            intake["grate_open"] = quantity(rng, rng.uniform(0.05, 1), "ratio")
        parts, height = self._run(height, rng.randint(0, 2), serve=False)
        strainer: list[Table] = []
        if self.chance(0.75):
            strainer = [
                {
                    "kind": "strainer",
                    "blocked": quantity(rng, rng.choice((0, 0, 0.5, 0.97)), "ratio"),
                }
            ]
            strainer[0] |= (
                {"k": round(self.size(0.1, 500), 3)} if self.chance(0.3) else {"loss": self._loss()}
            )
        pump: Table = {"kind": "pump", "curve": rng.choice(_PUMPS)}
        if self.chance(0.1):
            pump |= {"count": rng.randint(1, 8), "arrangement": rng.choice(("series", "parallel"))}
        after, height = self._run(height, rng.randint(0, 2), serve=self.chance(0.2))
        return [intake, *parts, *strainer, pump, *after], height

    def _loss(self, points: int = 1) -> Any:
        rng = self.rng
        flow, drop = self.size(1e-5, 1e-3), self.size(100, 5e4)
        one = f"{quantity(rng, drop, 'pressure')} at {quantity(rng, flow, 'flow')}"
        if points == 1 or self.chance(0.7):
            return one
        more = quantity(rng, drop * rng.uniform(2.1, 3.9), "pressure")
        return [one, f"{more} at {quantity(rng, flow * 2, 'flow')}"]

    def _unit(self) -> Table:
        rng = self.rng
        served = name(rng, self.taken)
        self.units.append(served)
        unit: Table = {"kind": "condenser", "serves": served, "loss": self._loss(2)}
        if self.chance(0.3):
            unit["tube_bore"] = quantity(rng, self.size(0.004, 0.05), "length")
            unit["tubes"] = rng.randint(1, 9)
        if self.chance(0.1) and "tube_bore" in unit:
            unit["scale"] = "0.1 mm"
        return unit

    def _hose(self, start: float, end: float) -> Table:
        rng = self.rng
        turns = [round(rng.uniform(-1.5, 2.5), 3) for _ in range(rng.choice((0, 0, 0, 1, 2, 5)))]
        steps = [start, *turns, end]
        longest = max(abs(b - a) for a, b in pairwise(steps))
        least = (longest + 0.02) * (len(turns) + 1)
        hose: Table = {
            "kind": "hose",
            "length": exact(rng, min(least * rng.choice((1.01, 1.5, 4, 10)), 190), "length"),
            "to": exact(rng, end, "length"),
        }
        if turns:
            hose["via"] = [exact(rng, turn, "length") for turn in turns]
        if self.chance(0.2):
            hose["sweeps"] = [
                quantity(rng, rng.uniform(0.1, 3), "angle") for _ in range(rng.randint(1, 6))
            ]
        if self.chance(0.15):
            hose["barbs"] = rng.randint(0, 6)
        if self.chance(0.15):
            hose["lining"] = rng.choice(("smooth plastic", "smooth rubber", "ribbed"))
        return hose

    def _bit(self) -> Table:
        rng = self.rng
        if self.chance(self.valves):
            return {"kind": "check valve"}
        kind = rng.choice(("bleed", "elbow", "tee", "seacock", "fitting", "fitting", "strainer"))
        if kind == "seacock":
            return {
                "kind": kind,
                "open": quantity(rng, rng.choice((1, 1, 1, 0.5, 0.02, 0)), "ratio"),
            }
        if kind == "elbow":
            return {
                "kind": kind,
                "angle": quantity(rng, rng.uniform(0.05, 3.1), "angle"),
                "count": rng.randint(1, 50),
            }
        if kind == "fitting":
            form = rng.choice(("k", "cv", "kv", "loss"))
            return {
                "kind": kind,
                form: self._loss() if form == "loss" else round(self.size(0.5, 300), 4),
            }
        return {"kind": kind, "k": 2.5} if kind == "strainer" else {"kind": kind}

    def _run(self, height: float, count: int, serve: bool) -> tuple[list[Table], float]:
        """Hoses with small parts between them, and the height at which they end."""
        parts: list[Table] = []
        for _ in range(count):
            end = round(self.rng.uniform(-1.2, 2.0), 3)
            parts.append(self._hose(height, end))
            height = end
            parts += [self._bit() for _ in range(self.rng.choice((0, 0, 1, 1, 2)))]
            if serve and self.chance(0.6):
                parts.append(self._unit())
        for part in parts:
            if self.chance(0.1 + 0.5 * self.wild):
                part["bore"] = bore(self.rng, self.wild)
            if self.chance(0.08):
                part["label"] = name(self.rng, set())
        return parts, height

    def _out(self, parts: list[Table]) -> Table:
        """A discharge where the last hose ended."""
        for part in reversed(parts):
            if part["kind"] == "manifold":
                return self._out(
                    next(b["part"] for b in part["branch"] if b["part"][-1]["kind"] != "discharge")
                )
            if part["kind"] == "hose":
                return {"kind": "discharge", "height": part["to"]}
            if part["kind"] == "intake":
                return {"kind": "discharge", "height": part["height"]}
        raise AssertionError("a line without a height")

    def _split(
        self, height: float, depth: int, ways: int, outermost: bool
    ) -> tuple[list[Table], bool]:
        """A hose, a manifold and, if it rejoins, a hose; and whether all end overboard."""
        rng = self.rng
        at = round(rng.uniform(-0.5, 1.0), 3)
        joined = round(rng.uniform(-0.5, 1.5), 3)
        overboard = [self.chance(0.3) for _ in range(ways)]
        if not outermost:
            overboard[0] = False
        branches = []
        for out in overboard:
            parts, end = self._run(at, rng.choice((0, 1, 1, 2)), serve=False)
            if depth > 1 and self.chance(0.6):
                inner, _ = self._split(end, depth - 1, rng.randint(2, 3), outermost=False)
                parts += inner
                end = float(inner[-1]["_end"])
            if self.chance(0.8) and len(self.units) < 30:
                parts.append(self._unit())
            if self.chance(self.valves):
                parts.append({"kind": "check valve"})
            last = joined if not out else round(rng.uniform(-0.6, 1.5), 3)
            parts.append({**self._hose(end, last), "_end": last})
            if out:
                parts.append({"kind": "discharge", "height": parts[-1]["to"]})
            if self.chance(0.1):
                parts.insert(0, {"kind": "seacock", "open": "0 %"})
            branches.append({"name": name(rng, self.taken), "part": parts})
        manifold: Table = {"kind": "manifold", "branch": branches}
        if self.chance(0.3):
            manifold["angle"] = quantity(rng, rng.uniform(0.3, 1.55), "angle")
        before = {**self._hose(height, at), "_end": at}
        if all(overboard):
            return [before, manifold], True
        after = round(rng.uniform(-0.5, 1.5), 3)
        return [before, manifold, {**self._hose(joined, after), "_end": after}], False


def _flat(parts: list[Table]) -> list[Table]:
    inner = [
        part
        for branch_ in (b for p in parts for b in p.get("branch", ()))
        for part in _flat(branch_["part"])
    ]
    return [*parts, *inner]
