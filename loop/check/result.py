"""Results of `check`: frozen, in SI units and degrees Celsius."""

import math
from functools import cached_property
from typing import Any, Literal

from loop.air.air_paths import AirPath
from loop.answers import Answer
from loop.hydraulics import OperatingPoint
from loop.job import Job
from loop.margins.energy import Energy, energy
from loop.margins.heat import runs_on
from loop.records import dataclass
from loop.words import Finding, say
from loop.words.said import Said

Verdict = Literal["good", "attention", "bad"]
Supply = Literal["enough", "intake dry", "once primed", "if it runs", "under way", "just", "short"]

# Findings that leave the pump without water, or the water below a high point, at every start.
_DRY = ("start-head-short", "suction-above-water", "pump-above-water")

# Share of the basket kept in reserve when cleaning is due: engineering estimate.
CLEAN_SPARE = 0.1


@dataclass(frozen=True)
class PumpResult:
    """The pump at its operating point: flow [m³/s], heads [m], power [W].

    ``start_head`` is the head needed to drive the air out at start-up, for the highest branch.
    Required NPSH and power are NaN if the pump's file does not state them.
    """

    name: str
    flow: float
    head: float
    power: float
    shutoff_head: float
    start_head: float
    npsh_available: float
    npsh_required: float

    @property
    def shutoff_share(self) -> float:
        """Head at the operating point over shut-off head."""
        return self.head / self.shutoff_head if self.shutoff_head > 0 else 0.0


@dataclass(frozen=True)
class CondenserResult:
    """One unit: flows [m³/s] with the edges of their band, rise [K], temperatures [°C].

    ``flow`` is that of the loop as it starts, ``flow_best`` that with every falling leg full that
    can stay full; equal if there is only one answer. ``inlet_temperature`` is the sea's plus the
    heat of the units upstream, ``warmed_by``. Rise and condensing temperature are infinite at zero
    flow; where ``runs_on`` is false they say only that the unit trips. ``electrical`` is the unit's
    draw at full stage [W], NaN if the job does not state it. ``flow_half_blocked`` is the flow with
    half of the strainer's basket blocked, and ``clean_at`` the blocked share at which the flow
    falls to the need; NaN if there is no strainer, or the flow never falls that far.
    """

    name: str
    needed_flow: float
    flow: float
    flow_low: float
    flow_high: float
    flow_best: float
    inlet_temperature: float
    warmed_by: tuple[str, ...]
    temperature_rise: float
    condensing_temperature: float
    electrical: float
    flow_half_blocked: float
    clean_at: float

    @property
    def runs_on(self) -> bool:
        """Whether it keeps running at this condensing temperature; otherwise it trips."""
        return bool(runs_on(self.condensing_temperature))

    @property
    def clean_before(self) -> float:
        """Blocked share at which to clean the strainer, before the flow falls to the need."""
        return max(self.clean_at - CLEAN_SPARE, CLEAN_SPARE / 2)


@dataclass(frozen=True)
class CheckResult(Answer):
    """The complete answer for one job.

    ``rest`` is the operating point without the boat's speed, None where speed makes no difference.
    """

    job: Job
    point: OperatingPoint
    rest: OperatingPoint | None
    verdict: Verdict
    pump: PumpResult
    condensers: tuple[CondenserResult, ...]
    air: tuple[AirPath, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]

    def resting(self, unit: str) -> float | None:
        """Flow of a unit [m³/s] with the boat at rest; None where speed makes no difference."""
        if self.rest is None:
            return None
        return self.rest.flow_through(self.rest.network.condenser_part(unit))

    @cached_property
    def energy(self) -> Energy | None:
        """Draw of pump and units at each stage, and battery hours; None if no draw is stated."""
        return energy(self.point)

    @property
    def starts(self) -> bool:
        """Whether the pump, as installed, gets water and drives the air out when switched on."""
        return not any(map(_keeps_dry, self.findings))

    def supply(self, unit: CondenserResult) -> Supply:
        """How a unit's flow compares with its need: met at the low edge, at mid-band, or not.

        "enough" becomes conditional where the intake comes out of the water, the loop does not
        prime by itself, the supply stalls or burns the pump, or the boat must be under way.
        """
        if unit.flow_low < unit.needed_flow:
            return "just" if unit.flow >= unit.needed_flow else "short"
        grave = {f.code for f in self.findings if f.level == "danger"}
        if "intake-shallow" in grave:
            return "intake dry"
        if not self.starts:
            return "once primed"
        if "supply-wrong" in grave:
            return "if it runs"
        if any(f.code == "at-rest-short" and f.at.unit == unit.name for f in self.findings):
            return "under way"
        return "enough"

    @property
    def head_given(self) -> float:
        """Head of the pump, plus that of a scoop that adds to it [m]."""
        return self.point.pump_head + max(self.point.network.start_head, 0.0)

    @property
    def head_shares(self) -> tuple[float, ...]:
        """Share of the available head lost in each station's part; 0 where nothing flows.

        Along any one path they and the lift to its outlet add up to 1. Reverse flow through a part
        costs its share all the same.
        """
        head = self.head_given
        flows = self.point.flow > 0 and head > 0
        return tuple(
            math.copysign(s.head_loss, s.head_loss * s.flow) / head if flows else 0.0
            for s in self.point.stations
        )

    @property
    def said(self) -> tuple[Said, ...]:
        """The findings in words, in order: title, where, message, fix and source."""
        return tuple(say(finding, self.job) for finding in self.findings)

    def to_dict(self) -> dict[str, Any]:
        """What ``loop check --json`` prints: the keys of `loop.check.as_json.CheckTables`."""
        from loop.check.as_json import to_json

        return to_json(self)

    def __repr__(self) -> str:
        flows = ", ".join(
            f"{c.name} {c.flow * 60000:.1f} of {c.needed_flow * 60000:.1f} L/min"
            for c in self.condensers
        )
        codes = ", ".join(f.code for f in self.findings) or "no findings"
        return f"CheckResult({self.verdict}: {flows}; {codes})"


def _keeps_dry(finding: Finding) -> bool:
    """Whether a finding means that the pump gets no water, or cannot drive it around."""
    vent = finding.code == "part-order" and "vent-in-suction" in str(finding.values.get("case"))
    lift = finding.code == "no-flow" and "lift" in finding.values
    return finding.level == "danger" and (vent or lift or finding.code in _DRY)
