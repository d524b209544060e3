"""Order of the steps, and which of them are still worth taking."""

from collections.abc import Sequence

from loop.diagnose import actions, statements
from loop.diagnose.action import OPENS, RISK_MINUTES, WAITS, CallAction
from loop.diagnose.instruments import Column
from loop.diagnose.posterior import DECIMALS, Posterior
from loop.diagnose.reading_kinds import FIRST
from loop.diagnose.readings import Readings
from loop.diagnose.step_value import StepValue
from loop.diagnose.study import Study
from loop.diagnose.valid_readings import ValidReadings
from loop.words.to_do import FIX

# The observation with the boat at speed, where the customer says that the trouble shows there.
UNDER_WAY, SEEN_AT_SPEED = "under_way", "stream"
BY_EYE = (UNDER_WAY, SEEN_AT_SPEED, "unit")
# A cause's own fix is considered from probability `FIXABLE`; it is the headline from `LEADS`, and
# known from `KNOWN`. A step worth less than `LITTLE` [bits per minute] gives nothing more once the
# cause is known, one worth less than `TRIFLE` once it leads. A step of `LONG` minutes including the
# price of its part, or of the highest risk, needs a cure probability of at least `HARDLY`; one of
# both, such as hours with acid, `FAIRLY` (engineering estimates).
LEADS, KNOWN, LITTLE, LONG, HARDLY, FAIRLY = 0.5, 0.9, 0.02, 40.0, 0.1, 0.4
FIXABLE, TRIFLE = 1 / 3, 0.005

# A reading with this information gain per minute [bits per minute] precedes a drastic step; one for
# which a gauge is fitted into the line, with `LITTLE` (engineering estimates).
TELLING = 0.01
IN_THE_LINE = "gauge"


def ranked(
    posterior: Posterior, readings: Readings, known: ValidReadings, found: Sequence[StepValue]
) -> list[StepValue]:
    """The steps that precede all others, then the best per minute including risk."""
    study = posterior.study
    return sorted(
        found,
        key=lambda gain: (
            _rank(study, readings, known, gain),
            -round(gain.value_per_minute, DECIMALS),
        ),
    )


def worthwhile(
    posterior: Posterior, readings: Readings, known: ValidReadings, found: list[StepValue]
) -> list[StepValue]:
    """The steps still worth taking; the lead's own fix first where little else is left.

    Steps of hardly any worth are dropped once a cause leads, those of little worth once it is
    known, and drastic steps that hardly cure. Free checks precede the steps that depend on them.
    """
    lead = posterior.ranked()[0]
    belief_now = posterior.belief
    left = [gain for gain in found if not (gain.fetched or _too_drastic(gain))]
    there = posterior.study.slot[lead, posterior.study.owner[belief_now.now]] >= 0
    odds = round(float(belief_now.weight[there].sum()), DECIMALS)
    fix = _own_fix(posterior.study.instances[lead].name, left)
    least = LITTLE if odds >= KNOWN else TRIFLE if odds >= LEADS else 0.0
    left = [g for g in left if g is fix or is_hearsay(g) or _worth(g, odds) >= least]
    if odds >= KNOWN and posterior.study.instances[lead].name != "healthy":
        left = [gain for gain in left if gain.key != WAITS]
    if fix and (
        odds >= KNOWN or (odds >= LEADS and max(g.value_per_minute for g in left) < LITTLE)
    ):
        left = [fix, *(gain for gain in left if gain is not fix)]
    return _with_prerequisites(readings, known, found, left, odds >= KNOWN)


def _worth(gain: StepValue, odds: float) -> float:
    """Worth per minute where the lead has these odds.

    Once it is known, in information alone: what might cure something else then ends no search.
    """
    return gain.gain / gain.cost if odds >= KNOWN else gain.value_per_minute


def is_hearsay(gain: StepValue) -> bool:
    """Whether it checks what is known only from the customer until it is seen."""
    action = actions.BY_NAME.get(gain.key)
    return gain.key == f"{UNDER_WAY}.{SEEN_AT_SPEED}" or (action is not None and bool(action.said))


def lead_of(posterior: Posterior) -> str:
    """The leading fault, "" where none is likely enough."""
    lead = posterior.ranked()[0]
    return posterior.study.instances[lead].name if posterior.present(lead) >= LEADS else ""


def likely_faults(posterior: Posterior) -> set[str]:
    """The faults that are likely enough for a fix of their own.

    One whose fix should follow a finding must lead.
    """

    def least(fault: str) -> float:
        own = actions.BY_NAME.get(f"{FIX}{fault}")
        return LEADS if own is not None and own.after else FIXABLE

    names = [(i, posterior.study.instances[i].name) for i in posterior.study.causes]
    return {name for i, name in names if posterior.present(i) >= least(name)}


def wait_first(found: Sequence[StepValue]) -> tuple[StepValue, ...]:
    """These steps, with a wait for the failure first, after what shows it by eye.

    Where all reads well nothing else reveals it, and readings before the failure are void.
    """
    waits = [gain for gain in found if gain.key == WAITS]
    ahead = [gain for gain in found if waits and gain.kind in BY_EYE] + waits
    return (*ahead, *(gain for gain in found if gain not in ahead))


def is_worthwhile(gain: StepValue, lead: str) -> bool:
    """Whether a step is still worth its minutes where the water is right.

    True for a reading, a step of enough worth, a fix of the leading fault, or a check of what the
    customer said.
    """
    if gain.column is not None or gain.value_per_minute >= LITTLE or is_hearsay(gain):
        return True
    return actions.BY_NAME[gain.key].cure_probability(lead) > 0


def harmless(gain: StepValue, lead: str, well: bool) -> bool:
    """Whether a step is allowed where the water is right: it opens no line and buys no part.

    Exceptions fix the leading fault: with everything `well`, only a pump fault, since a worn pump
    serves for a while; where only the units' cooling is wrong, any fault. There, any step with a
    cure probability of `FAIRLY` is allowed too.
    """
    if gain.column is not None:
        return True
    action = actions.BY_NAME[gain.key]
    mends = not well or actions.BY_NAME["fit-sound-pump"].cure_probability(lead) > 0
    fairly = not well and gain.cure >= FAIRLY
    return not risks(action) or fairly or (mends and action.cure_probability(lead) > 0)


def risks(action: CallAction) -> bool:
    """Whether it opens the line, or installs a new part."""
    return action.risk >= OPENS or action.price > 0


def is_drastic(action: CallAction) -> bool:
    """Whether it takes acid, a diver, a new part or refrigerant gauges."""
    return action.risk == len(RISK_MINUTES) - 1 or action.minutes + action.price >= LONG


def least_cure_probability(action: CallAction) -> float:
    """Cure probability below which it is not taken: a drastic step is not for a guess."""
    if not is_drastic(action):
        return 0.0
    return FAIRLY if action.risk == len(RISK_MINUTES) - 1 and action.minutes >= LONG else HARDLY


def _too_drastic(gain: StepValue) -> bool:
    """Whether a step is drastic and hardly cures."""
    return gain.column is None and gain.cure < least_cure_probability(actions.BY_NAME[gain.key])


def _own_fix(fault: str, found: list[StepValue]) -> StepValue | None:
    """The best cure of this fault per minute, including risk; None where none cures it."""
    cures = {
        one.name: cure / one.cost
        for one in actions.ACTIONS
        for name, _, cure in one.effects
        if name == fault and cure > 0
    }
    able = [gain for gain in found if gain.key in cures]
    return max(able, key=lambda gain: cures[gain.key], default=None)


def _with_prerequisites(
    readings: Readings,
    known: ValidReadings,
    found: list[StepValue],
    left: list[StepValue],
    sure: bool,
) -> list[StepValue]:
    """These steps, each preceded by those that should come first, out of all that were found.

    A drastic step is preceded by every reading informative enough for its minutes, with its tool
    fetched if needed; the fix of what was found or seen by nothing. Where the cause is `sure`,
    nothing is read or opened only to precede another; nor is the line opened for a trifle.
    """
    order: dict[str, StepValue] = {}
    keys = {one.key for one in left}
    able = [
        one for one in found if one.key in keys or not (_opens(one) and (sure or _trifles(one)))
    ]
    read = [one for one in found if one.key in keys or one.fetched]
    telling = [one for one in read if one.column and not sure and _tells(one, one.column)]

    def add(gain: StepValue) -> None:
        if gain.key in order:
            return
        action = actions.BY_NAME.get(gain.key)
        due = action is not None and action.needs_no_check(readings.steps)
        for earlier in action.earlier if action and not due else ():
            for one in able:
                if one.kind == earlier and not _already_observed(known, one):
                    add(one)
        if action and is_drastic(action) and not due:
            for one in telling:
                add(one)
        order[gain.key] = gain

    for gain in left:
        add(gain)
    return [*order.values()]


def _tells(gain: StepValue, column: Column) -> bool:
    """Whether a reading is informative enough to precede a drastic step."""
    return gain.value_per_minute >= (LITTLE if column.kind.tool == IN_THE_LINE else TELLING)


def _opens(gain: StepValue) -> bool:
    return gain.column is None and actions.BY_NAME[gain.key].risk >= OPENS


def _trifles(gain: StepValue) -> bool:
    return gain.value_per_minute < TRIFLE


def _already_observed(known: ValidReadings, gain: StepValue) -> bool:
    action = actions.BY_NAME.get(gain.key)
    return action is not None and action.looks in known.keys


def _rank(study: Study, readings: Readings, known: ValidReadings, gain: StepValue) -> int:
    """Rank of a step that precedes all others, regardless of its gain; else len(FIRST).

    0 for the units' state where one of several is said to be the trouble; the stream at speed where
    trouble is reported there, once it was seen at the dock; and the fix of a finding. Then `FIRST`,
    in its order, until the unit is known to be off.
    """
    kind, _, unit = gain.key.partition(".")
    first = False
    if gain.key == f"{UNDER_WAY}.{SEEN_AT_SPEED}":
        first = SEEN_AT_SPEED in known.words
    elif gain.column is None and actions.BY_NAME[gain.key].fixes_a_finding(readings.steps):
        first = True
    elif kind == "unit" and unit and statements.ONE_UNIT in readings.said:
        units = (known.words.get(key) for key in study.words if key.startswith("unit."))
        first = all(word in (None, "cools") for word in units)
    elif known.words.get("unit") != "off":
        for place, (step, key, answers) in enumerate(FIRST):
            if step == gain.key and known.all_answered([key], answers):
                return place
    return 0 if first else len(FIRST)
