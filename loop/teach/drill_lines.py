"""A drill's call line by line: the complaint, parsing of input, effect on the call, outcome."""

from collections.abc import Iterator

import numpy as np

from loop.margins.heat import TRIPS
from loop.teach.cases import Case
from loop.teach.drill import Call
from loop.units.shown import MINUS
from loop.words.faults import cautions, fix, look, title
from loop.words.teaching.drills import COMPLAINTS, LESS, POINTS, SAY

# What an owner notices: a stream below this share, a unit hotter by this [K]: engineering
# estimates.
_THIN_STREAM, _HOTTER = 0.75, 4.0


def apply_line(call: Call, line: str) -> Call:
    """The call after a line: ``rank …``, ``hint``, ``do …``, ``repair …``, or a reading.

    Raises AnswerError for invalid input.
    """
    word, _, rest = line.partition(" ")
    match word.lower():
        case "rank":
            return call.rank(rest)
        case "hint":
            return call.hint()[0]
        case "do":
            return call.do(rest)
        case "repair":
            return call.repair(rest)
    return call.read(line)


def belief_text(call: Call) -> str:
    """The latest belief, as text."""
    return ", ".join(f"{title(name)} {share:.0%}" for name, share in call.belief)


def healthy_value(before: Call, after: Call) -> str:
    """The latest reading's value without the fault; "" on the hardest level.

    "" also where the line was not a reading.
    """
    if len(after.readings_taken) == len(before.readings_taken) or after.case.level == 3:
        return ""
    return after.case.value(after.readings_taken[-1], after.case.healthy)


def outcome(call: Call) -> str:
    """How the call ended, and the actual fault."""
    case = call.case
    hidden = tuple(map(title, case.hidden))
    remaining = tuple(title(name) for name in case.hidden if name not in call.cured)
    row = "fixed" if call.fixed == 1 else "half" if call.cured else "unfixed"
    return SAY(row, truth=hidden, left=remaining or None, where=case.where)


def points(call: Call) -> Iterator[str]:
    """Points by category, and why some are missing, a line each."""
    score = call.score()
    reasons = {
        "state": "" if call.checked_water or not call.fixed else LESS["unseen"],
        "belief": "" if call.scored_belief else LESS["belief"],
        "safety": LESS["stops"].format(stops=call.stops)
        if call.stops
        else LESS["nothing"] * (not call.cured),
    }
    for name, words in POINTS.items():
        given = f"{round(getattr(score, name))}".replace("-", MINUS)
        yield words.format(points=given, less=reasons.get(name, ""))


def debrief(call: Call) -> tuple[str, str, tuple[str, ...]]:
    """How to confirm the fault, its fix, and the cautions of both."""
    fault = call.case.fault
    return look(fault), fix(fault), cautions(fault)


def complaint(case: Case) -> str:
    """The customer's words for a case, relative to this boat without the fault."""
    numbers, healthy = case.readings.numbers, case.healthy.numbers
    flow = numbers["flow"].value / healthy["flow"].value
    hottest = [
        (numbers[key].value, numbers[key].value - healthy[key].value)
        for key in numbers
        if key.startswith("condensing_temperature")
    ]
    stream = case.readings.words.get("stream")
    if stream == "none":
        row = "no-water"
    elif stream == "sputtering":
        row = "spitting"
    elif any(value >= TRIPS for value, _ in hottest):
        row = "tripping"
    elif flow < _THIN_STREAM:
        row = "thin"
    elif any(rise >= _HOTTER for _, rise in hottest):
        row = "hot"
    else:
        row = "unsure"
    rng = np.random.default_rng([case.seed, case.level, len(COMPLAINTS[row])])
    return str(rng.choice(COMPLAINTS[row]))
