"""All words of an explanation: its sections, and a row for every kind of step."""

from collections.abc import Mapping

from loop.teach.words.row import Row
from loop.teach.words.steps_balance import BALANCE
from loop.teach.words.steps_flow import FLOW
from loop.teach.words.steps_heat import HEAT
from loop.teach.words.steps_hose import HOSE
from loop.teach.words.steps_parts import PARTS
from loop.teach.words.steps_pump import PUMP

STEPS: Mapping[str, Row] = {**FLOW, **PUMP, **PARTS, **HOSE, **BALANCE, **HEAT}
# What follows a section's title where it is about one of several ways; and a part in a branch.
BY_WAY, IN_BRANCH = ", by way of “{of}”", " (branch “{of}”)"
SECTIONS: Mapping[str, str] = {
    "water": "The water",
    "need": "What the {of} unit needs",
    "flow": "The flow",
    "part": "Part {number}: {label}{branch}",
    "scoop": "Under way",
    "balance": "Where the head goes{way}",
    "pressures": "Pressures at the pump",
    "depth": "The intake's depth",
    "heat": "Heat at the {of} unit",
    "air": "Priming, and air{way}",
    "edges": "How far the flow at the {of} unit may be off",
    "answer": "Does the {of} unit get enough water?",
    "change": "What would change the {of} unit's flow most",
}
