"""What sizing may choose from: pumps, bores, strainer, seacock, barbs; and how each is fitted."""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product
from typing import Literal

from loop.job import Job, JobError, StrainerChoice
from loop.parts import (
    Branch,
    Condenser,
    Hose,
    Manifold,
    Part,
    Strainer,
)
from loop.pumps import PumpCurve, catalogue, load_pump
from loop.pumps.supply import power_supply, supply_suits
from loop.records import dataclass
from loop.words.sizing import SAY

# More combinations take minutes and help nobody.
_MAX_KITS = 5000


@dataclass(frozen=True)
class Choice:
    """One combination: bores [m], pump, and other choices; None keeps the job's own.

    ``suction_bore`` applies to all hoses before the pump, ``pressure_bore`` to those after it on
    the main line, ``branch_bores`` to those of each branch in file order, all with the fittings
    bought with them. ``as_is`` marks the loop as it stands, for which the bores are the largest of
    each line.
    """

    pump: PumpCurve
    suction_bore: float
    pressure_bore: float
    branch_bores: tuple[float, ...] = ()
    barb_bore: float | None = None
    seacock_bore: float | None = None
    strainer: StrainerChoice | None = None
    count: int = 1
    arrangement: Literal["parallel", "series"] = "parallel"
    as_is: bool = False

    @property
    def bores(self) -> tuple[float, ...]:
        """Bores of the suction, of the main line after the pump, and of each branch [m]."""
        return (self.suction_bore, self.pressure_bore, *self.branch_bores)

    @property
    def largest_bore(self) -> float:
        """Largest hose that must be routed through the boat [m]."""
        return max(self.bores)

    def with_bores(self, bores: Sequence[float]) -> "Choice":
        """The choice with other bores, in the order of `bores`."""
        return replace(
            self, suction_bore=bores[0], pressure_bore=bores[1], branch_bores=tuple(bores[2:])
        )


def present_loop(job: Job) -> Choice:
    """The loop as it is, as a choice that changes nothing."""
    pump_index = job.pump_index
    main_bores = [_largest(job.part[:pump_index]), _largest(job.part[pump_index:])]
    fallback = next((bore for bore in main_bores if bore), job.pump.inner_bore)
    branches = tuple(_largest(branch.part) or fallback for branch in branches_of(job))
    pump = job.pump
    return Choice(
        pump.curve,
        main_bores[0] or fallback,
        main_bores[1] or fallback,
        branches,
        count=pump.count,
        arrangement=pump.arrangement,
        as_is=True,
    )


def kits(job: Job) -> tuple[Choice, ...]:
    """Everything that may be chosen except bores, which stay those of the loop as it stands.

    Raises JobError if there are too many, or if no listed pump can run on the supply.
    """
    sizing, present = job.sizing, replace(present_loop(job), as_is=False)
    axes = (
        pumps(job),
        sizing.strainers if _has_strainer(job) and sizing.strainers else (None,),
        _sorted_or_own(sizing.seacock_bores),
        _sorted_or_own(sizing.barb_bores),
    )
    count = math.prod(len(axis) for axis in axes)
    if count > _MAX_KITS:
        raise JobError([SAY("wrong-many", count=str(count), most=_MAX_KITS)])
    return tuple(
        replace(present, pump=pump, strainer=strainer, seacock_bore=seacock, barb_bore=barb)
        for pump, strainer, seacock, barb in product(*axes)
    )


def bore_lists(job: Job, kit: Choice) -> tuple[tuple[float, ...], ...]:
    """The bores to choose from on each line, increasing: suction, main line, and each branch.

    Without bores that the kit's barbs do not fit. Raises JobError if none is left.
    """
    sizing = job.sizing
    after = sizing.pressure_bores or sizing.bores
    lists = [
        _sorted(sizing.suction_bores or sizing.bores),
        _sorted(after),
        *(_sorted(sizing.branch_bores or after) for _ in branches_of(job)),
    ]
    least = kit.barb_bore or 0.0
    fits = tuple(tuple(bore for bore in bores if bore >= least) for bores in lists)
    if not all(fits):
        raise JobError([SAY("wrong-barbs")])
    return fits


def bores_allowed(bores: Sequence[float]) -> bool:
    """Whether bores may be combined: suction at least the pressure bore, branches at most.

    A suction hose smaller than the pressure hose starves the pump (common practice).
    """
    suction, main, *branches = bores
    return suction >= main and all(bore <= main for bore in branches)


def branches_of(job: Job) -> tuple[Branch, ...]:
    """Every branch of a job in file order, nested branches after their own."""
    return tuple(_branches(job.part))


def _branches(parts: Sequence[Part]) -> Iterator[Branch]:
    for part in parts:
        for branch in part.branch if isinstance(part, Manifold) else ():
            yield branch
            yield from _branches(branch.part)


def lines_of(job: Job) -> tuple[int, ...]:
    """Position in `Choice.bores` for each part, in the order of the network's parts."""
    branches = itertools.count(2)

    def walk(parts: Sequence[Part], line: int | None) -> Iterator[int]:
        for index, part in enumerate(parts):
            yield (0 if index < job.pump_index else 1) if line is None else line
            for branch in part.branch if isinstance(part, Manifold) else ():
                yield from walk(branch.part, next(branches))

    return tuple(walk(job.part, None))


def lines_to_units(job: Job) -> tuple[frozenset[int], ...]:
    """The lines, as positions in `Choice.bores`, that each unit's water must pass."""
    lines_of_unit: dict[str, frozenset[int]] = {}
    branches = itertools.count(2)

    def walk(parts: Sequence[Part], lines: frozenset[int]) -> None:
        for part in parts:
            if isinstance(part, Condenser):
                lines_of_unit[part.serves] = lines
            for branch in part.branch if isinstance(part, Manifold) else ():
                walk(branch.part, lines | {next(branches)})

    walk(job.part, frozenset({0, 1}))
    return tuple(lines_of_unit[unit.name] for unit in job.condenser)


def _largest(parts: Sequence[Part]) -> float:
    """Largest bore of the hoses of one line [m]; 0 without hose."""
    return max((part.inner_bore for part in parts if isinstance(part, Hose)), default=0.0)


def pumps(job: Job) -> tuple[PumpCurve, ...]:
    """The pumps to choose from: those listed, or the job's own and the catalogue's.

    Except the job's own, only those that a supply of the boat suits. Raises JobError if none of
    those listed remains.
    """
    listed, own = job.sizing.pumps, job.pump.curve
    if listed is None:
        names = [load_pump(name) for name in catalogue()]
        return (
            own,
            *(pump for pump in names if pump.name != own.name and _has_supply_for(job, pump)),
        )
    suited = {pump.name: pump for pump in listed if pump == own or _has_supply_for(job, pump)}
    if not suited:
        raise JobError([SAY("wrong-supply")])
    return tuple(suited.values())


def unsuited(job: Job) -> tuple[str, ...]:
    """Names of the listed pumps left out because no supply of the boat runs them."""
    suited = {pump.name for pump in pumps(job)}
    return tuple(pump.name for pump in job.sizing.pumps or () if pump.name not in suited)


def _has_supply_for(job: Job, curve: PumpCurve) -> bool:
    """Whether a supply suits a pump: one of those listed, or else the present pump's."""
    listed = map(power_supply, job.sizing.supplies)
    supplies = tuple(listed) or (job.pump.power_supply,)
    return any(supply_suits(supply, curve) for supply in supplies)


def _has_strainer(job: Job) -> bool:
    return any(isinstance(part, Strainer) for part in job.part)


def _sorted(bores: Sequence[float]) -> tuple[float, ...]:
    return tuple(sorted(set(bores)))


def _sorted_or_own(bores: Sequence[float] | None) -> tuple[float | None, ...]:
    return _sorted(bores) if bores else (None,)
