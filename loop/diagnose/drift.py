"""Drift of a loop over its visits: flow by date, and when it falls below the need."""

from datetime import date, timedelta
from typing import Any

import numpy as np

from loop.answers import table_of
from loop.curve import Array
from loop.diagnose.fit import Fit, fits
from loop.diagnose.instruments import instruments
from loop.diagnose.parse import parse_readings
from loop.diagnose.uncertainty import INDEX, ParameterDistribution, parameter_prior
from loop.job import Inputs, Job, Visit, inputs
from loop.records import dataclass
from loop.units import System
from loop.words.diagnosis import SAY

# Standard deviations of the log factors between visits, from dirt in the line, pump wear and
# condenser film (engineering estimates).
_MAY_CHANGE = {"loss": 1.0, "pump": 0.05, "ua": 0.5}
_BAND_SIGMA = 1.645
_DRAWS = 4000
# Longest forecast [days].
_FARTHEST = 3653
_MONTH = 30.4  # days


@dataclass(frozen=True)
class VisitFlow:
    """One visit: flow from its readings [m³/s] with its 90 % band, and factors relative to clean.

    ``done`` is what was done at it; the readings are those of the loop as it was left.
    """

    date: str
    note: str
    done: tuple[str, ...]
    flow: float
    flow_low: float
    flow_high: float
    loss: float
    ua: float


@dataclass(frozen=True)
class Drift:
    """The visits since the last baseline, by date, and their trend.

    need : flow that all condensers together need [m³/s]. slope : rate of change of flow [m³/s per
    day] with its 90 % band, NaN for fewer than two dates. crosses : ISO date at which the trend
    falls below the need, empty where that is more than ten years ahead or there is no trend; with
    its 90 % band, empty likewise.
    """

    visits: tuple[VisitFlow, ...]
    need: float
    slope: float
    slope_low: float
    slope_high: float
    crosses: str
    crosses_low: str
    crosses_high: str

    def sentence(self, system: System) -> str:
        """When the flow falls below the need, in words."""
        if not np.isfinite(self.slope):
            return SAY("drift-one-day", system, need=self.need)
        return SAY(
            "drift-trend",
            system,
            month=self.slope * _MONTH,
            low=self.slope_low * _MONTH,
            high=self.slope_high * _MONTH,
            need=self.need,
            then=self._crossing_text(),
        )

    def _crossing_text(self) -> str:
        if not self.crosses:
            return SAY("drift-never")
        if self.visits[-1].flow < self.need:
            return SAY("drift-already", date=self.crosses)
        early = self.crosses_low or SAY("drift-much-earlier")
        late = self.crosses_high or SAY("drift-much-later")
        return SAY("drift-later", date=self.crosses, early=early, late=late)


def drift(job: Job) -> Drift:
    """The drift over a job's visits since its last baseline.

    A weighted straight-line fit of the flows; the band of the crossing date is from Monte Carlo
    samples of the line.

    Raises
    ------
    JobError
        A visit with invalid readings.
    """
    place = instruments(job)
    before = _to_90_percent(parameter_prior(job))
    visits = sorted(
        (v for v in job.visit if v.date >= job.fitted.date), key=lambda visit: visit.date
    )
    days = [date.fromisoformat(visit.date).toordinal() for visit in visits]
    read = [parse_readings(v.readings, job, f"visit of {v.date}") for v in visits]
    flow = place.column_of["flow"]
    found = tuple(
        _visit_flow(visit, after, flow)
        for visit, after in zip(visits, fits(place, before, read), strict=True)
    )
    need = job.needed_flow
    if len(set(days)) < 2:
        nan = float("nan")
        return Drift(found, need, nan, nan, nan, "", "", "")
    return _trend(found, days, need)


def _to_90_percent(narrow: ParameterDistribution) -> ParameterDistribution:
    covariance = narrow.covariance.copy()
    for name, spread in _MAY_CHANGE.items():
        covariance[INDEX[name], INDEX[name]] += spread**2
    return ParameterDistribution(narrow.mean, covariance)


def _visit_flow(visit: Visit, after: Fit, flow: int) -> VisitFlow:
    """A visit's flow and factors from its fit; `flow` is the flow's column."""
    middle, width = float(after.mean[flow]), float(np.sqrt(after.covariance[flow, flow]))
    return VisitFlow(
        date=visit.date,
        note=visit.note,
        done=visit.done,
        flow=middle,
        flow_low=max(middle - _BAND_SIGMA * width, 0.0),
        flow_high=middle + _BAND_SIGMA * width,
        loss=float(np.exp(after.parameters.mean[INDEX["loss"]])),
        ua=float(np.exp(after.parameters.mean[INDEX["ua"]])),
    )


def _trend(visits: tuple[VisitFlow, ...], days: list[int], need: float) -> Drift:
    """A weighted straight line, and where it crosses the need."""
    start = days[0]
    since = np.array(days, dtype=float) - start
    flow = np.array([visit.flow for visit in visits])
    sigma = np.array([(visit.flow_high - visit.flow) / _BAND_SIGMA for visit in visits])
    sigma = np.maximum(sigma, 1e-3 * need)
    matrix = np.stack([np.ones_like(since), since], axis=1) / sigma[:, None]
    covariance = np.linalg.inv(matrix.T @ matrix)
    line = covariance @ matrix.T @ (flow / sigma)
    width = _BAND_SIGMA * float(np.sqrt(covariance[1, 1]))
    lines = np.random.default_rng(3).multivariate_normal(line, covariance, _DRAWS)
    low, high = np.quantile(_days_to_need(lines, need), (0.05, 0.95), method="nearest")
    middle = _days_to_need(line[None, :], need)[0]
    return Drift(
        visits=visits,
        need=need,
        slope=float(line[1]),
        slope_low=float(line[1]) - width,
        slope_high=float(line[1]) + width,
        crosses=_date(start, middle),
        crosses_low=_date(start, float(low)),
        crosses_high=_date(start, float(high)),
    )


def _days_to_need(lines: Array, need: float) -> Array:
    """Days from the start at which falling lines reach the need; infinite for rising ones."""
    falls = lines[:, 1] < 0
    days = np.full(len(lines), np.inf)
    days[falls] = (need - lines[falls, 0]) / lines[falls, 1]
    return days


def _date(start: int, days: float) -> str:
    if not abs(days) <= _FARTHEST:
        return ""
    return (date.fromordinal(start) + timedelta(days=round(days))).isoformat()


class DriftTables(Inputs):
    """Output of ``loop diagnose --drift --json``: SI units, dates as text, null if no trend."""

    units: dict[str, str]
    visits: list[VisitFlow]
    need: float
    slope: float
    slope_low: float
    slope_high: float
    crosses: str | None
    crosses_low: str | None
    crosses_high: str | None


def drift_json(result: Drift, job: Job) -> dict[str, Any]:
    """The keys of `DriftTables` as plain dicts, lists, texts and numbers."""
    return table_of(
        DriftTables,
        result,
        **inputs(job),
        units={"flow": "m3/s", "slope": "m3/s a day", "loss": "1", "ua": "1"},
        crosses=result.crosses or None,
        crosses_low=result.crosses_low or None,
        crosses_high=result.crosses_high or None,
    )
