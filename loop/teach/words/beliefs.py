"""What people believe of a loop, how the quiz asks about it, and what it answers.

Every row is a text with places for the program's own numbers: ``{right}`` is the program's answer,
``{tempting}`` what the belief gives, and the others are facts of the loop that is asked about.
"""

from loop.records import dataclass

# How a question of flow ends, by its quantity.
ASKED = {
    "flow": "What flow comes out of the side?",
    "bucket": "How long does a {bucket} bucket take to fill at the discharge?",
}
NEITHER = "No rule gives this figure. {why}"


@dataclass(frozen=True)
class Belief:
    """A belief, and the rows of its questions: what is asked, what holds, why the other tempts."""

    belief: str
    asks: dict[str, str]
    holds: dict[str, str]
    tempts: dict[str, str]


def _one(belief: str, asks: str, holds: str, tempts: str) -> Belief:
    """A belief that is asked about by flow and by bucket in the same words."""
    rows = (dict.fromkeys(_KINDS, row) for row in (asks, holds, tempts))
    return Belief(belief, *rows)


_KINDS = ("flow", "bucket")
_FULL = "The loop: {loop}. The pump runs, the line is full, and the pump makes {head} of head. "


BELIEFS: dict[str, Belief] = {
    "bigger-hose": Belief(
        "A bigger hose is always better.",
        {
            **dict.fromkeys(
                _KINDS,
                "The loop: {loop}. It runs {before}. The {hose} is changed from {old} to {new}."
                " {asked}",
            ),
            "holds-air": "The loop: {loop}. From the high point the {hose} falls at {slope}. It"
            " can be fitted in any of these sizes. Which is the largest in which the running water"
            " surely carries the air down?",
        },
        {
            **dict.fromkeys(
                _KINDS,
                "{right}. The {hose} took {share} of the pump's head, and no more than that can be"
                " saved; the rest of the loop is as narrow as before.",
            ),
            "holds-air": "{right}: there the water runs {speed}, and {limit} carries the air down."
            " One size larger it runs {slower} where {larger_limit} is needed, so air may stay.",
        },
        {
            **dict.fromkeys(
                _KINDS,
                "{tempting} is the old flow times the gain in area of this one hose. It tempts"
                " because a wide hose can carry that much; the loop does not offer it that much.",
            ),
            "holds-air": "{tempting} has the least friction, which is why it tempts. Its water is"
            " also the slowest, {slowest}, and slow water leaves the air at the top.",
        },
    ),
    "box-number": _one(
        "The number on the pump's box is the flow that you get.",
        "The box of the pump says {box}. The loop: {loop}. {asked}",
        "{right}. The box's number is the flow with nothing to push against. This loop takes"
        " {head} of head, and at that head the pump's curve gives {flow}.",
        "{tempting} is the box's number. It tempts because it is printed on the pump; it holds"
        " only for a pump that lies open in a bucket.",
    ),
    "long-hose": Belief(
        "The long hose is to blame.",
        {"part": "The loop: {loop}. Which of these takes the most of the pump's head?"},
        {
            "part": "{right} takes {most}. The {long} takes {less}: length counts, but a part with"
            " a narrow or blocked way outweighs many feet of hose."
        },
        {
            "part": "{tempting} is the longest hose, which is why it tempts. It takes {less};"
            " {right} takes {most}."
        },
    ),
    "ends": Belief(
        "Barbed ends do not matter.",
        {
            "head": "The loop: {loop}. The barbs have {ratio} of their hose's bore. At {flow}, how"
            " much head does the {hose} take, with its {ends} barbed ends?",
            "barbed": "The loop: {loop}. As described, with full-bore ends, it runs {before}. The"
            " hoses are fitted again with {each} common barbs each, for ends and joiners, {ratio}"
            " of the bore. What flow comes out of the side?",
        },
        {
            "head": "{right}. Its length alone takes {friction}; its ends add {ends_head}, because"
            " all the water must squeeze through every barb.",
            "barbed": "{right}. Each barb costs about as much as {worth} of the hose, and there"
            " are {count} of them.",
        },
        {
            "head": "{tempting} is the loss of the hose's length, without its ends. It tempts"
            " because friction tables list hose by the foot and leave the ends out.",
            "barbed": "{tempting} is the flow without the barbs. It tempts because an end is so"
            " short; but it is also the narrowest place that the water passes.",
        },
    ),
    "strainer-full": _one(
        "A strainer matters only when it is full.",
        "The loop: {loop}. Clean, it ran {before}. Now {blocked} of the basket is blocked. {asked}",
        "{right}. The strainer took {clean} clean and takes {dirty} now: through what is left of"
        " the basket the same water would run {times} times as fast, and loss grows with the"
        " square.",
        "{tempting} is what it gave with a clean basket. It tempts because water still gets"
        " through; it gets through faster, and that costs head.",
    ),
    "suction": Belief(
        "The pump sucks as hard as it pushes.",
        {
            "vacuum": "The loop: {loop}. The pump makes {head} of head at this flow. How far below"
            " the air's pressure is the water at the pump's inlet (a vacuum gauge there)?",
            "gauge": "The loop: {loop}. The pump makes {head} of head at this flow. What does a"
            " gauge at the pump's inlet show?",
        },
        dict.fromkeys(
            ("vacuum", "gauge"),
            "{right}. The pump does not pull: the air pushes the sea in, and the gauge shows what"
            " the way in costs, {lost}, against the {depth} that the pump lies under water.",
        ),
        dict.fromkeys(
            ("vacuum", "gauge"),
            "{tempting} is the pump's whole head taken as suction. It tempts because the pump"
            " makes that much head; it makes it as a push at its outlet. At the inlet only the"
            " air's weight is at hand, {air} at the most, and a pump that asks for more boils its"
            " water.",
        ),
    ),
    "higher-unit": _one(
        "A higher unit always means less flow.",
        "The loop: {loop}. It runs {before}. The unit is moved up to {high} above the waterline,"
        " on the same hoses; the discharge stays where it is, and the line is bled and runs full."
        " {asked}",
        "{right}. In a line that runs full the falling side gives back what the rising side took,"
        " so only the discharge's height counts. It does take more head to fill: {start} of the"
        " pump's {shutoff}.",
        "{tempting} is the flow if the water had to be let out up there. It tempts because the"
        " pump does lift the water that high; the water then falls again and pulls the rest along."
        " Only a falling leg that holds air gives nothing back.",
    ),
    "bleed-place": Belief(
        "Bleed at the lowest point, where the pump is.",
        {
            "place": "Heights along the pressure side, in the water's order: {way}. There is a"
            " bleed at the pump{there}. At which of these does one more bleed let out air that"
            " would stay?"
        },
        {
            "place": "{right}. It is a high point with lower ones on both sides, and the water"
            " there is too slow to carry the air down: {speed}, where {limit} is needed. Open it"
            " while the line fills, and shut it when water comes."
        },
        {
            "place": "{tempting} is the lowest of them. It tempts because that is where one drains"
            " a line; air rises, so a valve there lets out water."
        },
    ),
    "bleed-when": Belief(
        "A bleed can be opened at any time: a pumped line is under pressure.",
        {
            "gauge": _FULL + "What does a gauge at the high point of the {hose} show?",
            "vacuum": _FULL
            + "What does a vacuum gauge at the high point of the {hose} show (with a"
            " minus where the water there is above the air's pressure)?",
        },
        dict.fromkeys(
            ("gauge", "vacuum"),
            "{right}. Losses on the way take {lost}, and the height takes the rest: {low} {so}",
        ),
        dict.fromkeys(
            ("gauge", "vacuum"),
            "{tempting} is the pump's head less the height. It tempts because a pump fills the"
            " line with pressure; most of it is spent by then, on the way there.",
        ),
    ),
    "gauge": Belief(
        "Low flow means low pressure.",
        {
            "now": "The loop: {loop}. With the {valve} open it ran {before}, and the gauge at the"
            " pump's outlet showed {gauge}. Now the handle of the {valve} stands at {angle}, and"
            " the flow is {after}. What does the gauge show?",
            "flow": "The loop: {loop}. With the {valve} open it ran {before}, and the gauge at the"
            " pump's outlet showed {gauge}. Somebody has turned the handle of the {valve} to"
            " {angle}, and the gauge shows {gauge_now}. What flow comes out of the side?",
        },
        {
            "now": "{right}. What is tight lies after the gauge, so the pump pushes harder against"
            " less flow: it moves up its curve. A gauge that falls with the flow says that the"
            " trouble is before the pump, or in it.",
            "flow": "{right}. The gauge rose because the valve after it is tight. The pump moved"
            " up its curve, and up there it gives less.",
        },
        {
            "now": "{tempting} is the old pressure times what is left of the flow. It tempts"
            " because in a hose alone pressure and flow fall together; a pump does the opposite.",
            "flow": "{tempting} takes more pressure for more flow. It tempts because a harder push"
            " should move more water; here the push is what is left when the water cannot go.",
        },
    ),
    "voltage": Belief(
        "All pumps sag alike when the voltage is low.",
        {
            "ac": "The loop: {loop}. The pump is an AC pump for {rated}. At that it gives"
            " {before}. A long cord leaves it {supply}, at the same {hertz}. What flow comes out"
            " of the side?",
            "dc": "The loop: {loop}. The pump is a DC pump for {rated}. At that it gives {before}."
            " A thin wire leaves it {supply}. What flow comes out of the side?",
        },
        {
            "ac": "{right}. An AC pump's speed goes with the frequency, which a long cord does not"
            " change. The low volts make the motor draw more current and run hot: that is the"
            " harm.",
            "dc": "{right}. A DC pump's speed goes with the volts at its terminals: {share} of the"
            " speed, and only {head_share} of the head.",
        },
        {
            "ac": "{tempting} is the flow times the share of the volts left. It tempts because it"
            " is so for a DC pump.",
            "dc": "{tempting} is what it gives at full volts. It tempts because an AC pump on the"
            " dock hardly cares; a DC pump does.",
        },
    ),
    "second-unit": Belief(
        "The second unit gets what the first one leaves.",
        dict.fromkeys(
            ("more", "less"),
            "One pump feeds two units side by side: {loop}. The pump gives {whole} in all; the"
            " {first} unit needs {need}. How much flows through the {second} unit?",
        ),
        dict.fromkeys(
            ("more", "less"),
            "{right}. Nobody is served first: the branches share so that each way loses the same"
            " head. The {first} unit gets {got}, whatever it needs.",
        ),
        dict.fromkeys(
            ("more", "less"),
            "{tempting} is the pump's flow less the first unit's need. It tempts because we count"
            " needs in that order; the water knows nothing of needs.",
        ),
    ),
    "used-up": Belief(
        "Water is used up on the way.",
        {
            "out": "The loop: {loop}. A flow meter at the pump shows {known}. The {part} takes"
            " {share} of the pump's head. What flow comes out of the side?",
            "in": "The loop: {loop}. At the discharge a bucket shows {known}. The {part} takes"
            " {share} of the pump's head. What flow goes through the pump?",
        },
        {
            "out": "{right}. What goes in comes out: head is used up on the way, and water is not.",
            "in": "{right}. One line, one flow, at every place of it: head is used up on the way,"
            " and water is not. A bucket at the discharge measures the pump.",
        },
        {
            "out": "{tempting} takes the {part}'s share of the head off the flow. It tempts"
            " because the gauge does fall on the way; the flow does not.",
            "in": "{tempting} adds to the flow what the {part} takes of the head. It tempts"
            " because the gauge does fall on the way; the flow does not.",
        },
    ),
    "more-pump": Belief(
        "A stronger pump cures air.",
        {
            "speed": "The loop: {loop}. Air stays in the {hose}, which falls at {slope} from the"
            " high point: the water runs {now} there. The pump is changed for a {pump}. How fast"
            " must the water run in that hose to surely carry the air down?",
            "bore": "The loop: {loop}. Air stays in the {hose}, which falls at {slope} from the"
            " high point. With this pump, which is the largest size for that hose in which the"
            " running water surely carries the air down?",
        },
        {
            "speed": "{right}, by the bore and the slope alone. The {pump} brings {tempting}"
            " there: air stays. A bleed at the high point, or a narrower hose, is the cure.",
            "bore": "{right}. There the water runs {speed}, where {limit} carries the air down;"
            " one size up it would run {slower}.",
        },
        {
            "speed": "{tempting} is what the {pump} brings. It tempts because more flow does push"
            " harder; in so wide a hose it is still too slow.",
            "bore": "{tempting} is the hose as it is, with hope set on the pump. It tempts because"
            " the pump is the part that one can see working; in this hose its water is too slow.",
        },
    ),
    "cool-water": Belief(
        "Water that comes out warm shows that the unit works well.",
        {
            "rise": "A unit runs on {before} and warms its water by {normal}. A blocked grate"
            " leaves it {after}, and the compressor keeps going. By how much does it warm the"
            " water now?",
            "flow": "A unit runs on {before} and warms its water by {normal}. Today, at the same"
            " load, it warms the water by {now}. What flow is left?",
        },
        {
            "rise": "{right}. The same heat goes into less water: flow and rise go opposite ways."
            " The unit then condenses at {hot} instead of {cool}.",
            "flow": "{right}. The same heat in less water: the rise grew {times} times, so the"
            " flow fell as much. Two thermometers make a flow meter.",
        },
        {
            "rise": "{tempting} is the old rise times what is left of the flow. It tempts because"
            " less water seems to carry less; it carries the same heat, in fewer gallons.",
            "flow": "{tempting} takes more warmth for more flow. It tempts because warm water over"
            " the side looks like a unit hard at work; it is a unit short of water.",
        },
    ),
}
