"""The words of the ten lessons, with places for the program's numbers.

``{flow0}`` is the flow of the loop as it is, ``{flow1}`` that after the first change, and so on for
every figure that the lesson shows. ``[8 ft|head]`` is a quantity to be shown in the reader's units.
"""

from collections.abc import Mapping

from loop.records import dataclass

# What is said of a falling hose in each state of its leg.
LEG: Mapping[str, str] = {
    "full": "runs full",
    "air": "holds air",
    "either": "may hold air",
}
# What each figure is called in a table.
MEASURES: Mapping[str, str] = {
    "flow": "flow at the unit",
    "head": "head that the pump makes",
    "gauge": "gauge at the pump's outlet",
    "inlet": "gauge at the pump's inlet",
    "start": "head for priming",
    "shutoff": "shut-off head",
    "npsh": "suction head available (NPSH)",
    "condensing": "condensing temperature",
    "verdict": "verdict of loop check",
    "air": "the hose behind the high point",
    "high_gauge": "gauge at the first high point",
    "box": "flow on the pump's box",
    "ends": "head taken by all barbed ends",
    "unit": "head taken by the unit",
    "long": "head taken by the supply hose",
    "strainer": "head taken by the strainer",
    "lost": "head taken by everything",
}
# The table of the exercise that has one: the pump's own curve, and a column to fill in.
CURVE_HEAD = ("flow", "the pump makes", "the loop takes")


@dataclass(frozen=True)
class Words:
    """The rows of one lesson; ``changes`` are the names of its changes."""

    title: str
    predict: str
    choices: tuple[str, ...]
    changes: Mapping[str, str]
    reveal: str
    see: str
    explain: str
    exercise: str
    answer: str


WORDS: Mapping[int, Words] = {
    1: Words(
        "What comes out of a pump rated [250 gal/h|flow]",
        "The box of this pump says {box0}. What comes out of the side of this loop?",
        ("less than 80 % of that", "80 to 95 % of that", "about what the box says"),
        {"larger": "a larger pump, demo-ac-350", "easier": "a unit that loses less"},
        "{flow0}. The box says {box0}.",
        "The larger pump has {box1} on its box and gives {flow1}. With the unit that loses less,"
        " the same small pump gives {flow2}.",
        "The box's number is the flow with nothing to push against. In a loop the pump makes"
        " {head0} of head and the flow settles where the pump's curve gives just that. A larger"
        " pump pays for more loss; a loop that loses less needs less pump.",
        "Another loop takes [8 ft|head] at [120 gal/h|flow], and head grows with the square of the"
        " flow. Fill in what it takes at the flows of the table. Between which two of them does it"
        " settle on this pump, and near which flow?",
        "It takes [8 ft|head] × (flow ÷ [120 gal/h|flow])²: less than the pump makes up to"
        " [110 gal/h|flow], more from [140 gal/h|flow] on. The two meet near [119 gal/h|flow], at"
        " about [7.9 ft|head].",
    ),
    2: Words(
        "Who takes the pump's head",
        "This loop has a supply hose [25 ft|length] long. What takes the most of the pump's head?",
        ("the [25 ft|length] supply hose", "the unit", "all barbed ends together"),
        {"shorter": "supply hose of [12 ft|length]", "easier": "a unit that loses half"},
        "The unit takes {unit0}, the supply hose {long0} (its ends included), all barbed ends"
        " together {ends0}.",
        "Half the hose brings {flow0} to {flow1}. Half the unit's loss brings it to {flow2}.",
        "Heads in a row add up, so the largest one is where there is something to gain. Length is"
        " easy to see; a narrow passage is not.",
        "The strainer takes {strainer0} of the {flow0} loop. If it took nothing, could the flow"
        " gain as much as with half the unit's loss? Give a reason without a sum.",
        "No: the strainer takes {strainer0}, less than half of the unit's {unit0}, and no more can"
        " be saved than what it takes.",
    ),
    3: Words(
        "What the ends cost",
        "The hoses of this loop have twelve barbed ends and joiners. What share of the losses do"
        " these ends take?",
        ("under 10 %", "10 to 25 %", "more than 25 %"),
        {"fewer": "no joiners: two ends a hose", "full-bore": "full-bore ends"},
        "They take {ends0} of {lost0}.",
        "Without the joiners the flow goes from {flow0} to {flow1}; with full-bore ends as well on"
        " every hose it is {flow2}.",
        "A common barb has 0.8 of its hose's bore. Each end costs about one velocity head, and"
        " there are many of them. Measure the bore of a barb before you buy more pump.",
        "A barb has 0.8 of its hose's bore. How many times as fast does the water run in the barb"
        " as in the hose?",
        "(1 ÷ 0.8)² = 1.56 times: speed goes with the inverse of the area.",
    ),
    4: Words(
        "A hose can be too narrow and too wide",
        "The falling hose of this loop is [3/4 in|bore]. Is [1-1/2 in|bore] better?",
        ("no: air may stay in it", "yes: less friction"),
        {
            "narrow": "falling hose [1/2 in|bore]",
            "wide": "falling hose [1 in|bore]",
            "widest": "falling hose [1-1/2 in|bore]",
        },
        "With [1-1/2 in|bore] the falling hose {air3}; with [3/4 in|bore] it {air0}.",
        "[1/2 in|bore]: {flow1}, {air1}. [3/4 in|bore]: {flow0}, {air0}. [1 in|bore]: {flow2},"
        " {air2}. [1-1/2 in|bore]: {flow3}, {air3}.",
        "A narrow hose has friction; that is one wall. A wide one has slow water, which leaves the"
        " air at the top; that is the other. Where air stays, the falling hose gives nothing back,"
        " and the pump pays for the whole height.",
        "The water in a [1 in|bore] hose runs [2 ft/s|velocity]. How fast does it run in a [1-1/2"
        " in|bore] hose, and is that more or less able to carry air down?",
        "[2 ft/s|velocity] × (1 ÷ 1.5)² = [0.889 ft/s|velocity]. Less, twice over: it is slower,"
        " and a wider hose needs more.",
    ),
    5: Words(
        "When to clean the strainer",
        "This loop is clean now and runs {flow0}. How much of the basket may be blocked before the"
        " unit gets less than the {need} that it needs?",
        ("about half of it", "60 to 90 % of it", "all of it but a crack"),
        {
            "quarter": "25 % blocked",
            "half": "50 % blocked",
            "most": "75 % blocked",
            "nearly": "90 % blocked",
        },
        "The flow: 25 % blocked {flow1}, 50 % {flow2}, 75 % {flow3}, 90 % {flow4}.",
        "The strainer takes {strainer0} clean, {strainer2} half blocked, {strainer4} at 90 %. The"
        " unit condenses at {condensing0} clean, at {condensing4} then.",
        "Through half the basket the water runs twice as fast, and loss grows with the square. So"
        " the first half costs little, and the last tenth costs everything: by the time it shows"
        " at the side it is late. Clean by a bucket and a watch, not by the calendar.",
        "Through a quarter of the basket the same water runs how many times as fast, and what"
        " becomes of the basket's loss?",
        "4 times as fast, 16 times the loss of the clean basket.",
    ),
    6: Words(
        "Strainer before or after the pump",
        "The strainer of this loop is 70 % blocked. If it sat after the pump instead of before it,"
        " what would change?",
        (
            "the flow: the pump pushes better than it sucks",
            "not the flow, but the pressure at the pump",
        ),
        {"after": "strainer after the pump"},
        "The flow is {flow0} before and {flow1} after. The gauge at the pump's inlet goes from"
        " {inlet0} to {inlet1}.",
        "The suction head that is available goes from {npsh0} to {npsh1}.",
        "Heads in a row add up in any order, so the flow stays. But a pump does not pull: the air"
        " pushes the water in, and what is lost before the pump is missing there. The strainer"
        " still belongs before the pump, to keep weed out of it: keep it clean.",
        "Which gauge falls first when the strainer before the pump blocks: the one at the pump's"
        " inlet, or the one at the unit?",
        "Both fall, but the one at the inlet by what the strainer takes; past the pump part of"
        " that is made up by the pump, which makes more head at less flow.",
    ),
    7: Words(
        "A higher unit",
        "The unit is moved up to [36 in|height] above the water; the discharge stays at [3"
        " in|height]. What becomes of the flow, once the line runs full?",
        ("it falls by more than 15 %", "it falls a little", "it stays as it was"),
        {
            "raised": "unit at [36 in|height]",
            "wide": "unit at [36 in|height], return hose [1-1/2 in|bore]",
        },
        "It was {flow0}, and is {flow1}.",
        "The head for priming goes from {start0} to {start1}. A wide return hose {air2}, and the"
        " flow is {flow2}.",
        "In a line that runs full the falling side gives back what the rising side took: only the"
        " discharge's height counts. Two things can spoil it: a pump too weak to fill the line,"
        " and a return hose so wide that air stays in it.",
        "The discharge is lowered by [12 in|height], and is still above the water. How much head"
        " does that save?",
        "[1 ft|head]: the whole change in height of the outlet, whatever the line does on the way.",
    ),
    8: Words(
        "Where and when to bleed",
        "This loop has two high points with a dip between them, and it runs only {flow0}. One"
        " bleed may be fitted. Where does it help?",
        ("at the first high point", "at the dip, the lowest point"),
        {"low": "a bleed at the dip", "high": "a bleed at the first high point"},
        "With a bleed at the dip the flow stays {flow1}; with one at the first high point it is"
        " {flow2}. Priming needs {start0} of the pump's {shutoff0} as it is, {start1} with the"
        " bleed at the dip, {start2} with the one at the high point.",
        "While the pump runs, a gauge at the first high point shows {high_gauge2} with the bleed"
        " there.",
        "Water runs down the far side of a high point without filling it, and the air that stays"
        " pushes back at the next rise. A bleed at the high point lets that air out; one in the"
        " dip lets out water. Open it while the line fills, and shut it when water comes: where"
        " the gauge would be below zero in the running line, an open bleed draws air in.",
        "A hose rises to [30 in|height], falls to [6 in|height], and rises to [28 in|height]. What"
        " head does priming need without a bleed, and with one at the first high point?",
        "Without: [28 in|height] + [30 in|height] − [6 in|height] = [52 in|height]. With: the"
        " larger of the two rises, [30 in|height].",
    ),
    9: Words(
        "Low volts on a DC and an AC pump",
        "Both pumps get too little voltage: the DC pump 10.5 V instead of 12 V, the AC pump 105 V"
        " instead of 115 V. Which one gives less water?",
        ("only the DC pump", "both: low volts slow any pump"),
        {
            "dc-low": "the DC pump at 10.5 V",
            "ac": "an AC pump at 115 V",
            "ac-low": "the AC pump at 105 V",
        },
        "The DC pump goes from {flow0} to {flow1}. The AC pump gives {flow2} at 115 V and {flow3}"
        " at 105 V.",
        "The DC pump's shut-off head goes from {shutoff0} to {shutoff1}, the AC pump's from"
        " {shutoff2} to {shutoff3}.",
        "A DC pump's speed goes with its voltage; flow goes with speed, head with its square. An"
        " AC pump's speed goes with the frequency. Low volts make it draw more current and run hot"
        " instead, so they are a danger to the motor, not to the flow. Measure volts at the pump,"
        " while it runs.",
        "A DC pump makes [12 ft|head] of shut-off head at 12 V. What does it make at 9 V?",
        "[12 ft|head] × (9 ÷ 12)² = [6.75 ft|head].",
    ),
    10: Words(
        "The gauge high or low",
        "The flow of this loop has dropped. Once it is a valve after the pump, half shut; once it"
        " is a blocked strainer before it. What does the gauge at the pump's outlet show?",
        ("low in both: low flow means low pressure", "high with the valve, low with the strainer"),
        {"valve": "outlet valve half shut", "strainer": "strainer 85 % blocked"},
        "It showed {gauge0}. With the valve half shut it shows {gauge1}, with the strainer blocked"
        " {gauge2}.",
        "The flow is {flow1} and {flow2}. The gauge at the inlet shows {inlet1} and {inlet2}.",
        "A high gauge with little flow: the trouble is after the gauge. A low gauge with little"
        " flow: it is before the gauge, or in the pump. Write down the gauge while all is clean;"
        " without that figure neither is high or low.",
        "The gauge at the pump's outlet shows less than when clean, and the one at its inlet shows"
        " less vacuum. Where is the trouble?",
        "In the pump or its supply: it moves less water, so less is lost before it. A blockage"
        " there would show as more vacuum.",
    ),
}
