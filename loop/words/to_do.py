"""Actions on a call, worded for a loop that has some parts and lacks others."""

from loop.records import dataclass
from loop.words.cautions import SHARED
from loop.words.diagnosis import SAY
from loop.words.fault_rows import WORDS
from loop.words.had import ALL, Has
from loop.words.tables import read_words
from loop.words.template import capital

# Name of the action that fixes a named fault: this prefix and the fault's name.
FIX = "fix-"


@dataclass(frozen=True)
class Doing:
    """Words for one action: its title, its hazard ("" for none), the way."""

    title: str
    hazard: str
    how: str


ROWS: dict[str, Doing] = {
    action: Doing(**row) for action, row in read_words("to_do_rows", SHARED).items()
}


def action_for(fault: str, has: Has = ALL) -> str:
    """The action whose hazard applies to a fault's fix on this loop; "" for none."""
    action = WORDS[fault].hazard
    if action == "look-at-discharge" and not has.stream:
        return "clear-outlet"
    if action == "bleed" and has.high:
        return "prime"
    if action == "bleed" and not has.bleed:
        return "loosen-outlet-hose"
    if not has.valves:
        return {"close-other-units": "fill-and-purge", "set-branch-valves": ""}.get(action, action)
    return action


def fixing(fault: str, has: Has) -> tuple[str, str]:
    """A fault's fix: its hazard, "" for none, and the way with any follow-up step."""
    row, action = WORDS[fault], action_for(fault, has)
    hazard, way = has.text(ROWS[action].hazard) if action else "", has.text(row.fix)
    more = with_hazard(has.text(row.then_hazard), row.then)
    return hazard, SAY("fix-then", first=way, when=row.when, then=more) if more else way


def doing(name: str, has: Has) -> Doing:
    """Words for an action on a loop that has these parts."""
    if name.startswith(FIX):
        fault = name.removeprefix(FIX)
        return Doing(SAY("put-right", fault=WORDS[fault].title), *fixing(fault, has))
    row = ROWS[name]
    return Doing(has.text(row.title), has.text(row.hazard), has.text(row.how))


def with_hazard(hazard: str, way: str) -> str:
    """The way, preceded by its hazard as a sentence; "" for none."""
    return f"{hazard} {capital(way)}" if hazard else way


DOING: dict[str, Doing] = {
    name: doing(name, ALL) for name in (*ROWS, *(f"{FIX}{fault}" for fault in WORDS))
}
