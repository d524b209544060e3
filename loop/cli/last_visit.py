"""The flow that was measured last, where the check of the loop says there is more."""

from loop.check import CheckResult
from loop.job import JobError
from loop.words.check_report import SAY


def measured_less(result: CheckResult) -> str:
    """That the last visit measured less than a unit needs, or than the band; "" if it did not.

    Only visits since the last baseline count: the check itself uses that. Readings that cannot be
    read are told where visits are evaluated.
    """
    job = result.job
    visits = [one for one in job.visit if one.date >= job.fitted.date]
    if not visits:
        return ""
    from loop.diagnose.parse import parse_readings  # most jobs have no visits

    last = sorted(visits, key=lambda visit: visit.date)[-1]
    try:
        numbers = parse_readings(last.readings, job).numbers
    except JobError:
        return ""
    one = len(job.condenser) == 1
    keys = {"flow" if one else f"flow.{unit.name}": unit for unit in result.condensers}
    found = [(numbers[key], unit) for key, unit in keys.items() if key in numbers]
    for read, unit in sorted(found, key=lambda pair: pair[0].value / pair[1].needed_flow):
        short = read.value < unit.needed_flow
        if (short and unit.flow >= unit.needed_flow) or (
            read.value + read.half_width < unit.flow_low
        ):
            return SAY(
                "measured-short" if short else "measured-less",
                job.units,
                unit=unit.name,
                date=last.date,
                flow=read.value,
                needed=unit.needed_flow,
                low=unit.flow_low,
                high=unit.flow_high,
            )
    return ""
