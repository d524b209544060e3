"""A finding's sentences, made from its values and actions."""

from collections.abc import Mapping

from loop.job import Job
from loop.parts.intake import SCOOP
from loop.records import dataclass
from loop.tolerances import BARB, BORE, LOSS, PUMP_FLOW, PUMP_HEAD
from loop.units.shown import MINUS, scale_shown
from loop.words.action_words import action_text
from loop.words.actions import Action, together
from loop.words.codes import CODES
from loop.words.finding import Finding
from loop.words.hazards import anywhere
from loop.words.speaker import Speaker
from loop.words.start_valves import start_valves
from loop.words.template import Value, listed

# Prefix of a message that holds in one state only.
_STATES = {"rest": "at the dock or at anchor, ", "as it stands": "as the loop stands, "}
_GALLONS = scale_shown("flow", "us")[0]
# Values of the blanks [SI]; flow per ton in gallons an hour is common practice.
QUANTITIES = {"bore": BORE.half, "least": 150 * _GALLONS, "most": 250 * _GALLONS}
SOURCES: dict[str, str] = {
    "common practice": "common practice",
    "engineering estimate": "engineering estimate",
    "geometry": "geometry of the line",
    "pump curve": "pump curve",
    "pump test": "a pump on its test bench makes the velocity head of its own water",
    "need": "need: common practice or the maker's figure",
    "flow per ton": "common practice: {least:flow} to {most:flow} per ton",
    "band": (
        f"band: ISO 9906:2012 grade 2B for the pump (±{PUMP_FLOW.half:.0%} flow, "
        f"±{PUMP_HEAD.half:.0%} head); ±{LOSS.half:.0%} on losses, ±{{bore:bore}} on hose "
        f"bore and ±{BARB.half:.0%} on barbs are engineering estimates"
    ),
    "step": "loss of a step: Rennels & Hudson, Pipe Flow (2012), and Borda and Carnot",
    "check valve": "least speed for a swing check valve to stand wide open: Crane TP-410",
    "basket": "velocity through the open share of the basket, 1/(1 − blocked)",
    "method": "limit of the method",
    "balance": "balanced on the loop's own curves",
    "valve": "valve angle after Weisbach, from memory",
    "speed limits": "speed limits: common practice for hose, and those of the tubes",
    "submergence": "needed depth: ANSI/HI 9.8; attitude: geometry",
    "scoop": f"share of the speed's velocity head {MINUS}{-SCOOP['aft']:.1f}: engineering estimate",
    "rising suction": "common practice: the suction rises all the way from the sea to the pump",
    "pocket": (
        "May, Allen & Nelson (2018), Int. J. Hydraulic Engineering 7(3):51–57, 25 and 38 mm pipes"
    ),
    "start spare": "spare head: common practice",
    "dry branch": "the network solved with the branch dry",
    "fewest bleeds": "smallest set of bleeds that leaves the spare head",
    "clearing": "Wisner, Mohsen & Kouwen (1975); Escarameia (2007), 0.61 from memory",
    "steeper": "measured on gentler slopes and extrapolated to this one",
    "gauge": "gauge pressure along the line",
    "npsh": "ratio of suction heads: common practice",
    "npsh unknown": "least suction head where none is stated: engineering estimate",
    "vapor": "vapor pressure of seawater at the job's temperature and salinity",
    "copper-nickel": "Copper Development Association; Powell & Michels, CORROSION/2000 paper 627",
    "heat": (
        "heat balance and effectiveness–NTU; the split of resistance is an engineering estimate"
    ),
    "limit": "the limit itself: engineering estimate",
    "through-hull": "ISO 9093 / ABYC H-27 for the through-hull",
    "ac supply": (
        "AC motors: 10% of rated voltage, 5% of rated frequency, both added up 10%: NEMA MG 1, "
        "12.44"
    ),
    "dc supply": "DC: 75 to 133% of nominal, ISO 10133 range, from memory",
    "nameplate": "H0 (1 − (Q/Q0)²), textbook form; its tolerance is an engineering estimate",
    "guess": "how far a guess may be off: engineering estimate",
    "at rest": "the loop solved without the boat's speed",
    "two answers": "the network solved from each branch reversed or shut",
    "siphon": (
        "the loop solved with air in each leg that does not clear itself, and with every leg full "
        "that can stay full; forms of Benjamin (1968) and Bendiksen (1984), from memory"
    ),
}


@dataclass(frozen=True)
class Way:
    """One fix of a finding: what to do, the result, and its side effects.

    ``action`` is None for advice only; ``whose`` is a prefix that names the units it is for, if
    others have their own fix.
    """

    action: Action | None
    text: str
    then: str = ""
    price: str = ""
    whose: str = ""

    @property
    def whole(self) -> str:
        """The full text."""
        return f"{self.whose}{self.text}{f': {self.then}' if self.then else ''}{self.price}"


@dataclass(frozen=True)
class Said:
    """The text of one finding; sentences uncapitalized and without a period.

    ``ways`` are its fixes, the preferred one first; ``always`` is what to do with any of them.
    """

    title: str
    where: str
    message: str
    always: str
    ways: tuple[Way, ...]
    source: str

    @property
    def fix(self) -> str:
        """What to do in any case, and every fix, joined by "; or"."""
        return ways_text(self.always, [way.whole for way in self.ways])

    @property
    def first_fix(self) -> str:
        """What to do in any case, and the preferred fix."""
        return ways_text(self.always, [way.whole for way in self.ways[:1]])


def ways_text(always: str, ways: list[str]) -> str:
    """What to do in any case, and the alternatives."""
    return "; ".join(part for part in (always, "; or ".join(ways)) if part)


def say(finding: Finding, job: Job, speaker: Speaker | None = None) -> Said:
    """The sentences of a finding about `job`; `speaker`, if given, is that job's."""
    speaker = speaker or Speaker(job)
    row, case = CODES[finding.code], str(finding.values.get("case", ""))

    def filled(which: str, more: Mapping[str, Value] | None = None) -> str:
        return fill_row(finding, which, speaker, more)

    valves = start_valves(finding, speaker)
    always = filled("always", {"fitting": action_text(together(valves), speaker)} if valves else {})
    ways = []
    for number, action in enumerate(finding.actions):
        after = finding.values.get("after")
        more: dict[str, Value] = {"after": float(after[number])} if isinstance(after, tuple) else {}
        then = filled("then", more) if more else ""
        ways.append(Way(action, action_text(action, speaker), then, _price(finding, number)))
    if not ways:
        text, right = row.text("fix", case), finding.values.get("right")
        advice = filled("fix", anywhere(text, speaker, finding.at.part, right))
        ways = [Way(None, advice)] if advice else []
    elif text := row.text("instead", case):
        hazards = anywhere(text, speaker, finding.at.part, None)
        ways.append(Way(None, filled("instead", hazards)))
    basis = finding.basis or row.basis
    return Said(
        title=row.title,
        where=speaker.where(finding.at),
        message=in_state(finding) + filled("message"),
        always=always,
        ways=tuple(ways),
        source="; ".join(speaker.fill(SOURCES[key], QUANTITIES) for key in basis),
    )


def fill_row(
    finding: Finding, which: str, speaker: Speaker, more: Mapping[str, Value] | None = None
) -> str:
    """One of the templates of a finding's row, with its values and `more`."""
    template = CODES[finding.code].text(which, str(finding.values.get("case", "")))
    return speaker.fill(template, {**finding.values, **(more or {})}, finding.at)


def in_state(finding: Finding) -> str:
    """Prefix of a message that holds in one state only."""
    return _STATES.get(str(finding.values.get("state")), "")


def start_order(finding: Finding, job: Job) -> str:
    """Start-up of a branch that does not prime while others run, once its valves are fitted."""
    return fill_row(finding, "always", Speaker(job))


def _price(finding: Finding, number: int) -> str:
    """Less grave findings that an action causes or worsens, by title; empty if none."""

    def codes(value: str) -> list[str]:
        every = finding.values.get(value)
        return str(every[number]).split() if isinstance(every, tuple) else []

    def titles(some: list[str]) -> str:
        return listed([CODES[code].title.lower() for code in some])

    brings, worsens, does = codes("brings"), codes("worsens"), []
    if brings:
        # A thin margin remains of too little flow: a measurement tells whether it is enough.
        thin = brings == ["flow-marginal"]
        verb, then = ("leaves", "; then measure the flow") if thin else ("causes", "")
        some = "a warning" if len(brings) == 1 else "warnings"
        does.append(f"{verb} {some}: {titles(brings)}{then}")
    if worsens:
        does.append(f"makes worse: {titles(worsens)}")
    return f" (it {'; and '.join(does)})" if does else ""
