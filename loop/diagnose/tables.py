"""A study as language-independent tables: all that a diagnosis needs without the solver.

With these the arithmetic of `loop.diagnose.belief` and `information_gain` gives the same odds and
the same order of steps. Arrays are base64 of little-endian single-precision numbers in row-major
order, with their shape; the program works with exactly these numbers. h rows are hypotheses (an
instance at a severity), c columns are numeric readings, k factors are common to all rows.

constants : those of `loop.diagnose.table_constants`.
columns : key, scale (0: the reading itself; above 0: ln(reading / scale + log_offset)), ``need`` of
a flow, default half-width as ``absolute`` and ``relative``, ``temper`` τ, limits ``low`` and
``high``, quantity, and texts.
words : key, choices, ``also`` (a word → the choices that it means), and texts.
instances : fault, where, title, the faults of a pair with their places, wording, quantity and range
of the severity, fix, look; ``known`` is false for the unlisted fault; ``behind`` : for a pair whose
first fault hides the second, the second's instance, else -1: once the first is fixed the row
becomes any of that instance's, by their weights.
rows : ``owner`` (instance), ``severity``, ``weight`` (prior), ``after`` (the row once the first, or
the second, fault is fixed), ``sea_set``, ``troubles`` (whether it shows: for a row that actions
changed, whether the present or the original one is blamed); ``healthy`` is the healthy loop's row,
``single`` the number of single-fault rows, which come first.
mean, noise : (h, c). factor : (single rows, c, k). own : (h, c, 2), two more factors of each row
itself (its severities within their cells). pair_from : for each pair's row and column "0" or "1":
the factors are those of its first or second fault's row, ``after[1]`` or ``after[0]``.
chances : key of a word → (h, choices). under_way : mean, noise, factor, own, pair_from and chances
with the boat at speed.
shows : (h, 2), probability that a cure of a row's first, or second, fault is noticed at once.
actions : name, ``in_files`` (its other name in a readings file), ``answers_also`` (synonyms of
its answers), ``here`` (whether this loop has the parts for it: any action done is accepted, but
only these are proposed), fields of `loop.diagnose.action.CallAction`, ``drastic``, ``least_cure``
(not proposed below this probability of a cure), ``opens`` (opens the line), ``risks`` (opens the
line or installs a part), ``cures_of`` (probability of a cure by fault), first (h,), cure
(instances, 2), ``cures``, the same given each answer, and texts. statements : text, chance
(instances,), ``here`` (whether it can apply to this boat: any is accepted, but only these are
offered); ``said_also`` synonyms. at_speed : the stream with the boat at speed, a step where one of
``said`` was said; None where no stream can be seen. ruled_out, ruled_out_by_any, first, sent_for :
step, seen, answers; ruled_out_by_both : step, pairs of seen and answers. of_the_day : keys.
cautions : texts.
"""

import base64
from typing import Any

import numpy as np

from loop.answers import plain
from loop.curve import Array
from loop.diagnose import action_probabilities, actions, statements
from loop.diagnose.action import OPENS, CallAction
from loop.diagnose.action_names import IN_FILES
from loop.diagnose.bayes import tempering_exponent
from loop.diagnose.display import display_name
from loop.diagnose.faults import UNKNOWN
from loop.diagnose.instruments import Column
from loop.diagnose.name_matching import answer_synonyms
from loop.diagnose.reading_kinds import (
    FIRST,
    RULED_OUT,
    RULED_OUT_BY_ANY,
    RULED_OUT_BY_BOTH,
    SENT_FOR,
)
from loop.diagnose.readings import OF_THE_DAY
from loop.diagnose.step_order import SEEN_AT_SPEED, is_drastic, least_cure_probability, risks
from loop.diagnose.study import Study
from loop.diagnose.table_constants import constants
from loop.words import faults as words
from loop.words.fault_rows import WORDS
from loop.words.to_do import doing

VERSION = 1


def export(study: Study) -> dict[str, Any]:
    """The tables of a study, of lists, texts and numbers only."""
    alone = int(sum(len(study.instances[o].faults) == 1 for o in study.owner))
    return {
        "version": VERSION,
        "title": study.instruments.job.title,
        "units": study.instruments.job.units,
        "known": study.known,
        "constants": constants(study),
        "columns": [_column(study, column) for column in study.instruments.columns],
        "words": [_word(column) for column in study.instruments.words],
        "instances": [_instance(study, number) for number in range(len(study.instances))],
        "rows": {
            "owner": study.owner.tolist(),
            "severity": plain(study.severity.tolist()),
            "weight": study.weight.tolist(),
            "after": study.after.tolist(),
            "sea_set": study.sea_set.tolist(),
            "troubles": study.shows.astype(int).tolist(),
            "healthy": study.healthy,
            "single": alone,
        },
        **_predictions(study, alone),
        "under_way": _predictions(study.under_way, alone),
        "shows": _packed(action_probabilities.cure_noticed(study)),
        "actions": [_action(study, action) for action in actions.ACTIONS],
        "statements": [
            {
                "text": one.text,
                "chance": statements.statement_by_instance(study, one),
                "here": statements.may_apply(study, one),
            }
            for one in statements.STATEMENTS
        ],
        "said_also": statements.ALSO,
        "at_speed": _at_speed(study),
        "ruled_out": plain(RULED_OUT),
        "ruled_out_by_any": plain(RULED_OUT_BY_ANY),
        "ruled_out_by_both": plain(RULED_OUT_BY_BOTH),
        "first": plain(FIRST),
        "sent_for": plain(SENT_FOR),
        "of_the_day": list(OF_THE_DAY),
        "cautions": list(words.CAUTIONS),
    }


def _predictions(study: Study, alone: int) -> dict[str, Any]:
    """Predictions of every row in one state of the boat."""
    return {
        "mean": _packed(study.mean),
        "noise": _packed(study.noise),
        "factor": _packed(study.factor[:alone, :, :-2]),
        "own": _packed(study.factor[:, :, -2:]),
        "pair_from": _pair_from(study, alone),
        "chances": {key: _packed(table) for key, table in study.words.items()},
    }


def _packed(values: Array) -> dict[str, Any]:
    data = np.ascontiguousarray(values, dtype="<f4").tobytes()
    return {"shape": list(values.shape), "float32": base64.b64encode(data).decode("ascii")}


def _first_rows(study: Study) -> list[int]:
    return [int(np.argmax(study.owner == number)) for number in range(len(study.instances))]


def _column(study: Study, column: Column) -> dict[str, Any]:
    kind = column.kind
    return {
        "key": column.key,
        "scale": float(study.scale[study.instruments.column_of[column.key]]),
        "need": study.instruments.need.get(column.key),
        "absolute": kind.absolute,
        "relative": kind.relative,
        "temper": tempering_exponent(column),
        "low": kind.low,
        "high": kind.high,
        "quantity": kind.quantity,
        **_said(column),
    }


def _word(column: Column) -> dict[str, Any]:
    kind = column.kind
    also = {word: list(choices) for word, choices in kind.also}
    return {"key": column.key, "choices": list(kind.choices), "also": also, **_said(column)}


def _at_speed(study: Study) -> dict[str, Any] | None:
    """Texts of the stream under way, its key, and when it comes first."""
    column = study.instruments.at_speed
    if column is None:
        return None
    return {
        "key": column.key,
        "of": SEEN_AT_SPEED,
        "said": list(statements.AT_SPEED),
        "choices": list(column.kind.choices),
        **_said(column),
    }


def _said(column: Column) -> dict[str, Any]:
    kind = column.kind
    return {
        "title": display_name(column.key),
        "ask": column.ask,
        "minutes": kind.minutes,
        "tool": kind.tool,
        "hazard": kind.hazard,
        "how": kind.how,
    }


def _instance(study: Study, number: int) -> dict[str, Any]:
    one = study.instances[number]
    return {
        "fault": one.name,
        "where": one.where,
        "faults": [fault.name for fault in one.faults],
        "places": [site.where for site in one.sites],
        "title": words.title(one.name),
        "severity": [WORDS[fault.name].severity for fault in one.faults],
        "quantity": [WORDS[fault.name].quantity for fault in one.faults],
        "range": [[fault.low, fault.high] for fault in one.faults],
        "behind": next((i for i in study.causes if study.instances[i].parts == one.behind), -1),
        "fix": words.fix(one.name, study.instruments.parts_present),
        "look": words.look(one.name, study.instruments.parts_present),
        "known": one.name != UNKNOWN,
    }


def _pair_from(study: Study, alone: int) -> list[str]:
    """Which of its faults' rows supplies each column's factors of a pair's row."""
    common, found = study.factor[:, :, :-2], []
    for row in range(alone, len(study.owner)):
        first = common[study.after[row, 1]]
        same = (common[row] == first).all(axis=1)
        found.append("".join("0" if is_first else "1" for is_first in same))
    return found


def _action(study: Study, action: CallAction) -> dict[str, Any]:
    found, row = (
        action_probabilities.action_probabilities(study, action),
        doing(action.name, study.instruments.parts_present),
    )
    return {
        "name": action.name,
        "in_files": IN_FILES[action.name],
        "title": row.title,
        "hazard": row.hazard,
        "how": row.how,
        "minutes": action.minutes,
        "cost": action.cost,
        "answers": list(action.answers),
        "answers_also": answer_synonyms(action),
        "looks": action.looks,
        "after": list(action.after),
        "for_lead": list(action.for_lead),
        "earlier": list(action.earlier),
        "shown_by": list(action.shown_by),
        "unless": list(action.unless),
        "again_after": list(action.again_after),
        "said": list(action.said),
        "leaves": list(action.leaves),
        "renews": list(action.renews),
        "twice": action.twice,
        "here": action.needs(study.instruments.network),
        "drastic": is_drastic(action),
        "least_cure": least_cure_probability(action),
        "opens": action.risk >= OPENS,
        "risks": risks(action),
        "cures_of": {name: cure for name, _, cure in action.effects if cure > 0},
        "first": _packed(found.first),
        "cure": found.cure[_first_rows(study)].tolist(),
        "cures": [cure[_first_rows(study)].tolist() for cure in found.cures],
    }
