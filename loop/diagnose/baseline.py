"""The commissioning record: factors fitted to readings of this boat when clean."""

import datetime
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from loop.answers import table_of
from loop.diagnose.faults import no_fault
from loop.diagnose.fit import fit
from loop.diagnose.instruments import instruments
from loop.diagnose.name_matching import parse_fault
from loop.diagnose.parse import parse_readings
from loop.diagnose.readings import OF_THE_DAY, SEA, Readings
from loop.diagnose.uncertainty import FITTED, INDEX, parameter_prior
from loop.hydraulics import solve
from loop.job import Fitted, Job, JobError, Visit, inputs, takes_job
from loop.job.day import day
from loop.job.inputs import Inputs
from loop.records import dataclass
from loop.words.diagnosis import SAY

# A factor more than this many prior standard deviations from the design is noted.
_FAR = 2.0
# Decimals of the factors as written.
_DIGITS = 4
# Name of each fitted factor.
_ROWS = ("baseline-loss", "baseline-pump", "baseline-ua")


@dataclass(frozen=True)
class Baseline:
    """A job fitted to its boat, and the result of the fit.

    ``job`` has the factors and the visit; ``designed`` and ``fitted`` are the predicted readings,
    with that day's sea and supply, before and after the fit; flow [m³/s] with its band, as a check
    of the fitted job gives them; ``notes`` point out anomalies.
    """

    job: Job
    readings: Readings
    designed: dict[str, float]
    fitted: dict[str, float]
    flow: float
    flow_low: float
    flow_high: float
    notes: tuple[str, ...]

    def __repr__(self) -> str:
        f = self.job.fitted
        return f"Baseline(loss × {f.loss:.2f}, pump × {f.pump:.3f}, UA × {f.ua:.2f})"


def visit_of(readings: Readings, date: str | None = None, note: str = "", was: str = "") -> Visit:
    """The visit that keeps readings: on `date`, else on theirs, else today.

    `was` is the fault that it turned out to be. Raises JobError for an invalid date (2025-06-30 is
    valid), and for an unknown fault.
    """
    name = parse_fault(was)
    if was and not name:
        raise JobError([f"was: {no_fault(was)}"])
    on = date or readings.date or datetime.date.today().isoformat()
    try:
        return Visit(
            date=day(on),
            note=readings.note or note,
            said=readings.said,
            was=name,
            done=tuple(step.line for step in readings.steps),
            readings=readings.as_left.texts,
            before=readings.texts if readings.steps else {},
            under_way=readings.under_way.texts if readings.under_way else {},
        )
    except ValueError as error:
        raise JobError([f"date: {error}"]) from None


@takes_job
def baseline(
    job: Job, readings: Readings | Mapping[str, object], date: str | None = None
) -> Baseline:
    """Fit the loss multiplier, pump factor and UA factor to readings of the clean loop.

    Each factor moves from the design only as far as the readings, within their uncertainty,
    require; its spread and correlations are kept with it. Where something was done to the loop, the
    readings of the last state with any count. `readings` are as `loop.diagnose` takes them: the
    result of `read_readings`, or a mapping of text or quantities. Replaces any earlier baseline.
    `date` is the day of the readings; default theirs, or today.

    Raises
    ------
    JobError
        Neither a flow nor both water temperatures read, an invalid date, or signs that the loop was
        not clean.
    """
    if not isinstance(readings, Readings):
        readings = parse_readings(readings, job)
    visit = visit_of(readings, date, "baseline")
    left = readings.as_left
    readings = replace(readings, numbers=left.numbers, words=left.words, steps=())
    _require_clean_readings(readings)
    fresh = job.model_copy(update={"fitted": Fitted()})
    place = instruments(fresh)
    before = parameter_prior(fresh, fitting=True)
    design = fit(place, before, readings.only(OF_THE_DAY))
    found = fit(place, before, readings)
    which = [INDEX[name] for name in FITTED]
    middle, block = found.parameters.mean[which], found.parameters.covariance[np.ix_(which, which)]
    spread = np.sqrt(np.diag(block))
    matrix = block / np.outer(spread, spread)
    factors = [round(float(value), _DIGITS) for value in np.exp(middle)]
    fitted = Fitted(
        loss=factors[0],
        pump=factors[1],
        ua=factors[2],
        spread=_rounded(np.maximum(spread, 10.0**-_DIGITS)),
        correlation=_rounded(np.array([matrix[0, 1], matrix[0, 2], matrix[1, 2]])),
        date=visit.date,
    )
    keys = [key for key in readings.numbers if key in place.column_of]
    known = job.model_copy(update={"fitted": fitted, "visit": (*_other_visits(job, visit), visit)})
    point = solve(known.at_speed(0.0))
    prior = np.sqrt(np.diag(before.covariance))[which]
    return Baseline(
        job=known,
        readings=readings,
        designed={key: float(design.mean[place.column_of[key]]) for key in keys},
        fitted={key: float(found.mean[place.column_of[key]]) for key in keys},
        flow=point.flow,
        flow_low=point.flow_low,
        flow_high=point.flow_high,
        notes=tuple(
            SAY("baseline-far", what=SAY(row), factor=factor)
            for row, factor, value, sigma in zip(_ROWS, factors, middle, prior, strict=True)
            if abs(value) > _FAR * sigma
        ),
    )


def _other_visits(job: Job, visit: Visit) -> tuple[Visit, ...]:
    """The job's visits without the last one of the same date and readings, which is replaced."""

    def is_replaced(one: Visit) -> tuple[Any, ...]:
        return one.date, one.readings, one.before, one.under_way

    same = [
        number for number, one in enumerate(job.visit) if is_replaced(one) == is_replaced(visit)
    ]
    return tuple(one for number, one in enumerate(job.visit) if number not in same[-1:])


def _rounded(values: np.ndarray) -> tuple[float, float, float]:
    one, two, three = (round(float(value), _DIGITS) for value in values)
    return one, two, three


def _require_clean_readings(readings: Readings) -> None:
    problems = []
    names = {key.partition(".")[0] for key in readings.numbers}
    if "flow" not in names and not {SEA, "outlet_temperature"} <= names:
        problems.append(SAY("baseline-needs"))
    if readings.words.get("strainer_seen") == "dirty":
        problems.append(SAY("baseline-dirty"))
    if readings.words.get("stream", "steady") not in ("steady", "strong"):
        problems.append(SAY("baseline-stream"))
    if problems:
        raise JobError(problems)


class BaselineTables(Inputs):
    """Output of ``loop baseline --json``, in SI units and °C.

    ``designed`` and ``predicted`` are the readings of the loop as designed and as fitted.
    """

    fitted: dict[str, Any]
    designed: dict[str, float]
    predicted: dict[str, float]
    readings: dict[str, float]
    flow: float
    flow_low: float
    flow_high: float
    notes: list[str]


def baseline_json(result: Baseline) -> dict[str, Any]:
    """The keys of `BaselineTables` as plain dicts, lists, texts and numbers."""
    return table_of(
        BaselineTables,
        result,
        **inputs(result.job),
        fitted=result.job.fitted.model_dump(mode="json"),
        predicted=result.fitted,
        readings={key: one.value for key, one in result.readings.numbers.items()},
    )
