"""Data for the card's script: a study's tables, and the constants that go with them.

The tables are those of `loop.diagnose.tables.export`, under the same names; constants for
reading and showing are added.
"""

from math import inf
from typing import Any

from loop.card.spellings import example, quantities, spellings
from loop.diagnose import diagnose
from loop.diagnose.as_built import as_built, traps_air
from loop.diagnose.call import BAND
from loop.diagnose.call_end import LETS_AIR_OUT, OF_A_UNIT, OF_ALL_UNITS, RUNS, TRIPS, WATER
from loop.diagnose.contradiction import FAR_TOGETHER, SLOW
from loop.diagnose.contradiction_laws import (
    BY_MISTAKE,
    FAR,
    FLOW,
    LAWS,
    LEAVES,
    MISSED,
    MOST_HEAT,
    SOUND,
    STREAM,
)
from loop.diagnose.display import DIGITS
from loop.diagnose.evaluated_call import LIGHT
from loop.diagnose.faults import FAULTS, HIDING, UNKNOWN
from loop.diagnose.fix_status import LOCKED, RESET
from loop.diagnose.flow_once_fixed import NOTHING, STEPS, WIDER
from loop.diagnose.groups import EVEN, LISTED, RIVAL, SPLITS, SURE
from loop.diagnose.headline import OVERLAP
from loop.diagnose.hypotheses import Study
from loop.diagnose.measured import BUCKET_VOLUME, STOPWATCH
from loop.diagnose.name_matching import TOOLS_ALSO
from loop.diagnose.next_steps import HEAT, LEADING, instance_label
from loop.diagnose.parse import BESIDE
from loop.diagnose.posterior import DECIMALS, WEIGHT_ROUNDING
from loop.diagnose.prior_weights import LARGEST_WEIGHT
from loop.diagnose.reading_kinds import COARSEST, COMES, FINEST, KINDS, STANDS, TOOLS
from loop.diagnose.readings import SEA, Readings
from loop.diagnose.remaining_fault import HERTZ, SUPPLY
from loop.diagnose.root_cause import ROOT_CAUSE_CHECKS
from loop.diagnose.statements import COMES_LATER, ON_GENERATOR
from loop.diagnose.tables import export
from loop.words import faults as words
from loop.words.diagnosis import BOTH, ON_THE_CARD
from loop.words.to_do import FIX


def tables(study: Study) -> dict[str, Any]:
    """Everything the card's script needs to give the same answers as `loop.diagnose`.

    Plain lists, texts and numbers. Raises only what `diagnose` raises.
    """
    whole, job = export(study), study.instruments.job
    return whole | {
        "constants": whole["constants"] | _CONSTANTS,
        "columns": [
            column | {"measure": own.kind.kind, "example": example(own.kind.kind or "")}
            for column, own in zip(whole["columns"], study.instruments.columns, strict=True)
        ],
        "instances": [
            instance | _more_of(study, number) for number, instance in enumerate(whole["instances"])
        ],
        "shape": list(study.factor.shape),
        "spellings": spellings(),
        "shown": quantities(job.units),
        "digits": DIGITS,
        "unit_names": [unit.name for unit in job.condenser],
        "kinds": {
            kind.name: {"per_unit": kind.per_unit, "word": bool(kind.choices)}
            for kind in KINDS.values()
        },
        "tools": list(TOOLS),
        "tools_also": TOOLS_ALSO,
        "beside": list(BESIDE),
        "faults": [fault.name for fault in FAULTS],
        "says": BOTH | ON_THE_CARD,
        "as_built": as_built(study),
        "keeps_air": bool(traps_air(study)),
        "notes": list(diagnose(job, Readings(), study).notes),
    }


_CONSTANTS: dict[str, Any] = {
    "same": DECIMALS,
    "splits": SPLITS,
    "rival": RIVAL,
    "sure": SURE,
    "overlap": OVERLAP,
    "odd": FAR,
    "far": FAR,
    "far_together": FAR_TOGETHER,
    "by_mistake": BY_MISTAKE,
    "slow": SLOW,
    "laws": [
        {
            "key": law.key,
            "word": law.word,
            "number": law.number,
            "above": law.above if law.above < inf else None,
            "below": law.below,
            "upto": law.upto if law.upto < inf else None,
        }
        for law in LAWS
    ],
    "sounds": {"keys": [SOUND, STREAM], "stands": list(STANDS), "comes": list(COMES)},
    "heat": {
        "sea": SEA,
        "leaves": LEAVES,
        "flow": FLOW,
        "missed": MISSED,
        "most": MOST_HEAT,
        "kinds": list(HEAT),
    },
    "then": {
        name: {
            "wants": [list(want) for want in one.wants],
            "unknown": one.unknown,
            "watch": one.watch,
            "told": list(one.told),
            "only": one.only,
            "well": one.well,
            "again": [list(want) for want in one.again],
        }
        for name, one in ROOT_CAUSE_CHECKS.items()
    },
    "trips": list(TRIPS),
    "runs": RUNS,
    "comes_later": list(COMES_LATER),
    "reset": RESET,
    "locked": LOCKED,
    "lets_air_out": list(LETS_AIR_OUT),
    "of_all_units": list(OF_ALL_UNITS),
    "water": list(WATER),
    "of_a_unit": list(OF_A_UNIT),
    "supply": {
        "faults": list(SUPPLY),
        "said": ON_GENERATOR,
        "read": HERTZ,
        "look": words.look(SUPPLY[0]),
    },
    "listed": LISTED,
    "hiding": list(HIDING),
    "leading": LEADING,
    "light": LIGHT,
    "halvings": STEPS,
    "nothing": NOTHING,
    "wider": WIDER,
    "band": list(BAND),
    "even": EVEN,
    "alike": WEIGHT_ROUNDING,
    "finest": FINEST,
    "coarsest": COARSEST,
    "bucket": BUCKET_VOLUME,
    "stopwatch": STOPWATCH,
    "unknown": UNKNOWN,
    "fix": FIX,
    "largest_weight": LARGEST_WEIGHT,
}


def _more_of(study: Study, number: int) -> dict[str, Any]:
    one = study.instances[number]
    return {
        "cautions": list(words.cautions(one.name)),
        "called": instance_label(study, number),
    }
