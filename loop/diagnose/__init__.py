"""Readings of a service call → ranked faults, and the best reading to take next."""

from loop.diagnose.baseline import Baseline, baseline, baseline_json, visit_of
from loop.diagnose.call import diagnose
from loop.diagnose.display import display_name, reading_text
from loop.diagnose.drift import Drift, drift, drift_json
from loop.diagnose.faults import BY_NAME, FAULTS
from loop.diagnose.hypotheses import Study, prepare
from loop.diagnose.parse import parse_assignments, parse_readings, read_readings
from loop.diagnose.prior_weights import parse_priors
from loop.diagnose.reading_kinds import KINDS
from loop.diagnose.readings import Readings
from loop.diagnose.record import recorded
from loop.diagnose.result import Cause, Diagnosis, NextReading, to_json
from loop.diagnose.simulate import fault_sites, simulate

__all__ = [
    "BY_NAME",
    "FAULTS",
    "KINDS",
    "Baseline",
    "Cause",
    "Diagnosis",
    "Drift",
    "NextReading",
    "Readings",
    "Study",
    "baseline",
    "baseline_json",
    "diagnose",
    "display_name",
    "drift",
    "drift_json",
    "fault_sites",
    "parse_assignments",
    "parse_priors",
    "parse_readings",
    "prepare",
    "read_readings",
    "reading_text",
    "recorded",
    "simulate",
    "to_json",
    "visit_of",
]
