"""The tables of a diagnosis, for the card's script: what a study holds, as plain JSON.

Numbers are single-precision, as the study itself keeps them, so that script and program start from
the same bits. ``h`` hypotheses, ``c`` readings that are numbers, ``k`` factors in common.
"""

import base64
from typing import Any

import numpy as np

from loop.card.spellings import example, quantities, spellings
from loop.curve import Array
from loop.diagnose import actions, statements, words
from loop.diagnose.bayes import ALIKE, DAY, SEA_WIDTHS, prior_of_the_sea
from loop.diagnose.belief import CHANCE_FLOOR, CURE_FLOOR, LEAST, TAIL, TEMPER
from loop.diagnose.call import BAND, EVEN, LEADING, LIGHT, diagnose
from loop.diagnose.faults import TWO_FAULTS, UNKNOWN, Instance
from loop.diagnose.groups import BARE_MENTION, NEGLIGIBLE, SPLITS
from loop.diagnose.headline import LEADS, OVER, SURE
from loop.diagnose.hypotheses import LOG_OFFSET, Study, shows
from loop.diagnose.instruments import Column
from loop.diagnose.measured import BUCKET_VOLUME, STOPWATCH
from loop.diagnose.next_reading import BINS, CURE_BITS, LEFT_OUT, NORMAL, SAME
from loop.diagnose.once_fixed import NOTHING, STEPS
from loop.diagnose.reading_kinds import (
    COARSEST,
    FINEST,
    KINDS,
    RULED_OUT,
    TOOLS,
    TWO_SIGMA,
)
from loop.diagnose.readings import Readings
from loop.diagnose.reasons import LISTED, ODD
from loop.diagnose.shown import DIGITS, named
from loop.diagnose.words_to_do import DOING

# Bytes that may say which number stands somewhere.
_WIDTHS = (1, 2, 3, 4)


def tables(study: Study) -> dict[str, Any]:
    """Everything that the card's script needs to give the answers of `loop.diagnose`."""
    place = study.bench
    common = study.factor.shape[2] - 2
    empty = diagnose(place.job, Readings(), study)
    return {
        "constants": {
            "tail": TAIL,
            "temper": TEMPER,
            "least": LEAST,
            "sigma": TWO_SIGMA,
            "offset": LOG_OFFSET,
            "sea": prior_of_the_sea(study),
            "cooler": SEA_WIDTHS[0],
            "warmer": SEA_WIDTHS[1],
            "chance": CHANCE_FLOOR,
            "cured": CURE_FLOOR,
            "leftOut": LEFT_OUT,
            "bins": BINS,
            "normal": list(NORMAL),
            "cure": CURE_BITS,
            "same": SAME,
            "bare": BARE_MENTION,
            "negligible": NEGLIGIBLE,
            "splits": SPLITS,
            "leads": LEADS,
            "over": OVER,
            "sure": SURE,
            "odd": ODD,
            "listed": LISTED,
            "leading": LEADING,
            "light": LIGHT,
            "halvings": STEPS,
            "nothing": NOTHING,
            "band": list(BAND),
            "even": EVEN,
            "alike": ALIKE,
            "finest": FINEST,
            "coarsest": COARSEST,
            "bucket": BUCKET_VOLUME,
            "stopwatch": STOPWATCH,
            "twoFaults": TWO_FAULTS,
            "unknown": UNKNOWN,
            "healthy": study.healthy,
            "day": list(DAY),
            "ruled": [[a, b, list(c)] for a, b, c in RULED_OUT],
        },
        "columns": [_column(study, column, at) for at, column in enumerate(place.columns)],
        "words": [_word(study, column) for column in place.words],
        "instances": [
            {
                "fault": one.name,
                "where": one.where,
                "title": words.title(one.name),
                "fix": words.fix(one.name, place.bleed),
                "look": words.look(one.name, place.bleed),
                "cautions": list(words.cautions(one.name)),
                "called": _called(study, one),
                "dead": all(fault.family == "dead" for fault in one.faults),
                "lasting": len(one.faults) == 1 and one.faults[0].family not in ("dead", "none"),
                "low": one.faults[0].low,
                "high": one.faults[0].high,
                "faults": [
                    {
                        "at": f"{fault.name}@{site.where}",
                        "says": words.WORDS[fault.name].severity,
                        "unit": words.WORDS[fault.name].unit,
                    }
                    for fault, site in zip(one.faults, one.sites, strict=True)
                ],
            }
            for one in study.instances
        ],
        "said": [
            {"text": one.text, "chance": statements.by_instance(study, one)}
            for one in statements.STATEMENTS
        ],
        "actions": [_action(study, action) for action in actions.here(study)],
        "owner": study.owner.tolist(),
        "severity": _coded(np.nan_to_num(study.severity, nan=-1.0)),
        "weight": _coded(study.weight),
        "after": study.after.tolist(),
        "shows": shows(study).astype(int).tolist(),
        "seaset": study.sea_set.astype(int).tolist(),
        "mean": _coded(study.mean),
        "noise": _coded(study.noise),
        "factor": _coded(study.factor[:, :, :-2], common),
        "cells": _coded(study.factor[:, :, -2:]),
        "differs": _coded(actions.difference(study)),
        "shape": list(study.factor.shape),
        "spellings": spellings(),
        "shown": quantities(place.job.units),
        "digits": DIGITS,
        "units": [unit.name for unit in place.job.condenser],
        "kinds": {kind.name: kind.per_unit for kind in KINDS.values()},
        "tools": list(TOOLS),
        "notes": list(empty.notes),
        "cautions": list(empty.cautions),
    }


def _called(study: Study, one: Instance) -> str:
    """The name under which a step's expectations stand: with its place where it has twins."""
    twins = [other for other in study.instances if other.name == one.name]
    return one.name if len(twins) == 1 else f"{one.name} ({one.where})"


def _column(study: Study, column: Column, at: int) -> dict[str, Any]:
    kind = column.kind
    return {
        "key": column.key,
        "title": named(column.key),
        "quantity": kind.quantity,
        "measure": kind.kind,
        "example": example(kind.kind or ""),
        "absolute": kind.absolute,
        "relative": kind.relative,
        "minutes": kind.minutes,
        "how": kind.how,
        "hazard": kind.hazard,
        "tool": kind.tool,
        "low": kind.low,
        "high": kind.high,
        "scale": float(study.scale[at]),
    }


def _word(study: Study, column: Column) -> dict[str, Any]:
    kind = column.kind
    return {
        "key": column.key,
        "title": named(column.key),
        "choices": list(kind.choices),
        "also": {word: list(choices) for word, choices in kind.also},
        "minutes": kind.minutes,
        "how": kind.how,
        "hazard": kind.hazard,
        "tool": kind.tool,
        "chance": _coded(study.words[column.key]),
    }


def _action(study: Study, action: actions.Action) -> dict[str, Any]:
    doing, found = DOING[action.name], actions.outcome(study, action)
    return {
        "name": action.name,
        "title": doing.title,
        "hazard": doing.hazard,
        "how": doing.how,
        "answers": list(action.answers),
        "minutes": action.minutes,
        "cost": action.cost,
        "first": _coded(found.first),
        "cure": [found.cure[rows[0]].tolist() for rows in _rows(study)],
    }


def _rows(study: Study) -> list[Any]:
    """The rows of every instance."""
    return [np.flatnonzero(study.owner == number) for number in range(len(study.instances))]


def _coded(values: Array, size: int = 1) -> dict[str, str | int]:
    """Single-precision numbers, or runs of `size` of them, of which many are equal.

    Each stands once in ``each``; ``at`` says in ``bytes`` bytes, lowest first, which stands where.
    """
    runs = np.ascontiguousarray(values, dtype="<f4").reshape(-1, size)
    # Compared by their bits, as whole runs.
    whole = runs.view(np.dtype((np.void, 4 * size))).ravel()
    each, place = np.unique(whole, return_inverse=True)
    width = next(n for n in _WIDTHS if len(each) <= 256**n)
    where = place.ravel().astype("<u4").view("u1").reshape(-1, 4)[:, :width]
    return {
        "each": base64.b64encode(each.tobytes()).decode("ascii"),
        "at": base64.b64encode(np.ascontiguousarray(where).tobytes()).decode("ascii"),
        "bytes": width,
        "size": size,
    }
