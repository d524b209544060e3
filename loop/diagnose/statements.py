"""The customer's statements as evidence: probability of each under each fault."""

import numpy as np

from loop.curve import Array
from loop.diagnose.faults import DEAD
from loop.diagnose.instances import Instance
from loop.diagnose.study import Study
from loop.records import dataclass


@dataclass(frozen=True)
class Statement:
    """A customer's statement: its probability under some faults, and ``otherwise``.

    Engineering estimates.
    """

    text: str
    otherwise: float
    chances: dict[str, float]


_DEAD = dict.fromkeys(DEAD, 0.005)

ON_GENERATOR = "only on the generator"

STATEMENTS: tuple[Statement, ...] = (
    Statement("trips at noon only", 0.06, _DEAD | {
        "sea-warm": 0.5, "condenser-film": 0.25, "condenser-scaled": 0.25, "not-water-side": 0.3,
        "supply-low": 0.3, "generator-slow": 0.15, "healthy": 0.25, "pump-worn": 0.12,
        "condenser-header-blocked": 0.15,
    }),
    Statement("since haul-out", 0.04, {
        "seacock-partly-shut": 0.5, "high-point-air": 0.5, "pump-air-bound": 0.5,
        "branch-air": 0.45, "siphon-lost": 0.35, "discharge-blocked": 0.25,
        "suction-air-leak": 0.25, "intake-fouled": 0.2, "wrong-pump": 0.15,
        "check-valve-stuck": 0.15, "pump-jammed": 0.15, "branch-valve-shut": 0.3,
    }),
    Statement("since the strainer was cleaned", 0.02, {
        "pump-air-bound": 0.6, "suction-air-leak": 0.35, "seacock-partly-shut": 0.4,
        "high-point-air": 0.15, "branch-air": 0.15,
        "siphon-lost": 0.1, "strainer-blocked": 0.01,
    }),
    Statement("works at the dock, not under way", 0.02, {
        "intake-air": 0.8, "no-power-under-way": 0.7, "suction-air-leak": 0.1, "siphon-lost": 0.08,
        "suction-hose-collapsed": 0.04,
    }),
    Statement(ON_GENERATOR, 0.02, {
        "generator-slow": 0.7, "frequency-low": 0.4, "supply-low": 0.2, "no-power": 0.15,
        "motor-weak": 0.1,
    }),
    Statement("high-pressure fault", 0.35, {
        "healthy": 0.3, "condenser-scaled": 0.5, "condenser-film": 0.45, "sea-warm": 0.5,
        "condenser-header-blocked": 0.5, "not-water-side": 0.45, "refrigerant-low": 0.1,
    }),
    Statement("worse when she heels or in waves", 0.03, {
        "intake-air": 0.75, "suction-air-leak": 0.15, "siphon-lost": 0.15, "high-point-air": 0.1,
    }),
    Statement("slow over two seasons", 0.03, _DEAD | {
        "condenser-scaled": 0.5, "pump-worn": 0.4, "condenser-film": 0.35, "intake-fouled": 0.3,
        "condenser-header-blocked": 0.2, "strainer-blocked": 0.08, "discharge-blocked": 0.12,
        "suction-hose-collapsed": 0.12, "suction-blocked-inside": 0.1, "not-water-side": 0.15,
        "refrigerant-low": 0.25, "sea-warm": 0.01,
    }),
    Statement("suddenly", 0.15, {
        "no-power": 0.6, "motor-dead": 0.55, "motor-no-start": 0.55, "pump-jammed": 0.6,
        "pump-decoupled": 0.5,
        "strainer-blocked": 0.3, "intake-fouled": 0.35, "pump-air-bound": 0.4,
        "condenser-scaled": 0.01, "pump-worn": 0.03, "condenser-film": 0.02, "unit-off": 0.4,
    }),
    Statement("new pump", 0.04, {
        "wrong-pump": 0.6, "pump-worn": 0.002, "motor-weak": 0.005, "pump-decoupled": 0.01,
        "pump-air-bound": 0.2, "high-point-air": 0.2, "suction-air-leak": 0.15,
        "no-power": 0.1, "siphon-lost": 0.1,
    }),
    # It takes water from the others; and whoever piped it had the line open.
    Statement("since a unit was added", 0.015, {
        "branches-unbalanced": 0.6, "branch-air": 0.15, "branch-valve-shut": 0.15,
        "high-point-air": 0.1, "pump-air-bound": 0.1, "branch-blocked": 0.08, "supply-low": 0.05,
    }),
    Statement("only one of several units", 0.02, {
        "branch-air": 0.85, "branch-valve-shut": 0.85, "branch-blocked": 0.85,
        "branches-unbalanced": 0.85,
        "condenser-scaled": 0.5, "condenser-film": 0.5, "condenser-header-blocked": 0.6,
        "unit-off": 0.7, "not-water-side": 0.6, "refrigerant-low": 0.6, "discharge-blocked": 0.15,
    }),
    # A loose lining is drawn in as it warms, and springs back at rest.
    Statement("after it has run a while", 0.08, {
        "suction-hose-collapsed": 0.45, "suction-blocked-inside": 0.25, "motor-weak": 0.3,
        "motor-dead": 0.25, "suction-air-leak": 0.15, "sea-warm": 0.15, "intake-fouled": 0.15,
    }),
    # A bag that falls off the grate, a hose that softens, a motor cut-out that recloses.
    Statement("good again after a rest", 0.03, {
        "intake-fouled": 0.25, "suction-hose-collapsed": 0.35, "suction-blocked-inside": 0.25,
        "motor-weak": 0.3, "motor-dead": 0.25, "suction-air-leak": 0.1, "unit-off": 0.1,
        "strainer-blocked": 0.02, "seacock-partly-shut": 0.005, "condenser-scaled": 0.01,
        "pump-worn": 0.01,
    }),
    Statement("after weed, mud or jellyfish", 0.03, {
        "intake-fouled": 0.4, "strainer-blocked": 0.4, "condenser-header-blocked": 0.25,
        "pump-jammed": 0.1,
    }),
    Statement("after a lay-up", 0.04, {
        "discharge-blocked": 0.3, "pump-jammed": 0.35, "seacock-partly-shut": 0.3,
        "pump-air-bound": 0.3, "check-valve-stuck": 0.25, "high-point-air": 0.2,
        "condenser-film": 0.15, "intake-fouled": 0.25, "motor-dead": 0.1, "motor-no-start": 0.2,
    }),
)  # fmt: skip

# Statements that one reading checks: which unit it is, and whether it shows at speed.
ONE_UNIT = "only one of several units"
OF_SEVERAL = (ONE_UNIT, "since a unit was added")
AT_SPEED = ("works at the dock, not under way", "worse when she heels or in waves")

# Trouble that does not show at once and must be waited for.
COMES_LATER = ("after it has run a while", "good again after a rest", "trips at noon only")

BY_TEXT: dict[str, Statement] = {one.text: one for one in STATEMENTS}
# Synonyms.
ALSO: dict[str, str] = {
    "HP fault": "high-pressure fault",
    "HP trip": "high-pressure fault",
    "high pressure": "high-pressure fault",
    "on the generator": "only on the generator",
    "on generator": "only on the generator",
    "generator only": "only on the generator",
    "after cleaning the strainer": "since the strainer was cleaned",
    "since cleaning the strainer": "since the strainer was cleaned",
    "after the strainer was cleaned": "since the strainer was cleaned",
    "after haul-out": "since haul-out",
    "since launch": "since haul-out",
    "since the boat was launched": "since haul-out",
    "one unit only": ONE_UNIT,
    "only one unit": ONE_UNIT,
    "one of several units": ONE_UNIT,
    "not under way": AT_SPEED[0],
    "in waves": AT_SPEED[1],
    "when heeled": AT_SPEED[1],
    "when she heels": AT_SPEED[1],
    "at noon": "trips at noon only",
    "after a rest": "good again after a rest",
    "good after a rest": "good again after a rest",
    "good again after stopping": "good again after a rest",
    "slowly": "slow over two seasons",
    "since the new pump": "new pump",
    "a unit was added": "since a unit was added",
    "after a unit was added": "since a unit was added",
    "since the new unit": "since a unit was added",
}


def may_apply(study: Study, statement: Statement) -> bool:
    """Whether a statement can apply to this boat: one known to have a single unit has no others."""
    return statement.text not in OF_SEVERAL or not study.known or len(study.instruments.units) > 1


def statement_probabilities(study: Study, statement: Statement) -> Array:
    """Probability of a statement under every hypothesis, as in `statement_by_instance`."""
    return np.array(statement_by_instance(study, statement))[study.owner]


def statement_by_instance(study: Study, statement: Statement) -> list[float]:
    """Probability of a statement under every instance; for a pair the larger of the two.

    Where one fault hides the other, that of the hiding fault if it has one: the customer sees no
    more.
    """
    return [_statement_probability(one, statement) for one in study.instances]


def _statement_probability(one: Instance, statement: Statement) -> float:
    if one.hiding and one.hiding.name in statement.chances:
        return statement.chances[one.hiding.name]
    return max(statement.chances.get(fault.name, statement.otherwise) for fault in one.faults)
