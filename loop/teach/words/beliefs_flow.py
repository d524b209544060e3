"""Beliefs about flow: hoses and their ends, the box, the strainer, branches, a meter."""

from collections.abc import Mapping

from loop.teach.words.belief import Belief, Said, alike

_BIGGER = Said(
    "The loop: {loop}. It runs {before:flow}. The {hose} is changed from {old:bore} to {new:bore}."
    " {asked}",
    "{right}. The {hose} took {share:ratio} of the pump's head, and no more than that can be saved;"
    " the rest of the loop is as narrow as before.",
    "{tempting} is the old flow times the gain in area of this one hose. It tempts because a wide"
    " hose can carry that much; the pump and the rest of the loop do not bring it.",
)

ON_FLOW: Mapping[str, Belief] = {
    "bigger-hose": Belief(
        "A bigger hose is always better.",
        {
            "flow": _BIGGER,
            "bucket": _BIGGER,
            "holds-air": Said(
                "The loop: {loop}. From the high point the {hose} falls at {slope:angle}. It can be"
                " fitted in any of these sizes. Which is the largest in which the running water"
                " surely carries the air down?",
                "{right}: there the water runs {speed:velocity.2}, and above {limit:velocity.2} it"
                " carries the air down. One size larger it runs {slower:velocity.2} where"
                " {larger_limit:velocity.2} is needed, so air may stay.",
                "{tempting} has the least friction, which is why it tempts. Its water is also the"
                " slowest, {slowest:velocity.2}, and slow water leaves the air at the top.",
            ),
        },
    ),
    "box-number": alike(
        "The number on the pump's box is the flow that you get.",
        "flow bucket",
        "The box of the pump says {box:flow}. The loop: {loop}. {asked}",
        "{right}. The box's number is the flow with nothing to push against. This loop takes"
        " {head:head} of head, and against that head the pump gives this much.",
        "{tempting} is the box's number. It tempts because it is printed on the pump; it holds"
        " only for a pump that lies open in a bucket.",
    ),
    "long-hose": alike(
        "The long hose is to blame.",
        "part",
        "The loop: {loop}. Which of these takes the most of the pump's head?",
        "{right} takes {most:head.2}. The {long} takes {less:head.2}: length counts, but one narrow"
        " or blocked place outweighs many feet of hose.",
        "{tempting} is the longest hose, which is why it tempts. It takes {less:head.2}; {right}"
        " takes {most:head.2}.",
    ),
    "ends": Belief(
        "Barbed ends do not matter.",
        {
            "head": Said(
                "The loop: {loop}. The barbs have {ratio:ratio} of their hose's bore. At"
                " {flow:flow}, how much head does the {hose} take, with its {ends} barbed ends?",
                "{right}. Its length alone takes {friction:head.2}; its ends add"
                " {ends_head:head.2}, because all the water must squeeze through every barb.",
                "{tempting} is the loss of the hose's length, without its ends. It tempts because"
                " friction tables list hose by the foot and leave the ends out.",
            ),
            "barbed": Said(
                "The loop: {loop}. As described, with full-bore ends, it runs {before:flow}. The"
                " hoses are fitted again with {each} common barbs each, for ends and joiners,"
                " {ratio:ratio} of the bore. What flow comes out of the side?",
                "{right}. Each barb costs about as much as {worth:length} of the hose, and there"
                " are {count} of them.",
                "{tempting} is the flow without the barbs. It tempts because an end is so short;"
                " but it is also the narrowest place that the water passes.",
            ),
        },
    ),
    "strainer-full": alike(
        "A strainer matters only when it is full.",
        "flow bucket",
        "The loop: {loop}. Clean, it ran {before:flow}. Now {blocked:ratio} of the basket is"
        " blocked. {asked}",
        "{right}. The strainer took {clean:head.2} clean and takes {dirty:head.2} now: through what"
        " is left of the basket the same water would run {times} times as fast, and loss grows with"
        " the square.",
        "{tempting} is what it gave with a clean basket. It tempts because water still gets"
        " through; it gets through faster, and that costs head.",
    ),
    "second-unit": alike(
        "The second unit gets what the first one leaves.",
        "more less",
        "One pump feeds two units side by side: {loop}. The pump gives {whole:flow} in all; the"
        " {first} unit needs {need:flow}. How much flows through the {second} unit?",
        "{right}. No unit is served first: the branches share so that each loses the same head. The"
        " {first} unit gets {got:flow}, whatever it needs.",
        "{tempting} is the pump's flow less the first unit's need. It tempts because we count needs"
        " in that order; the water knows nothing of needs.",
    ),
    "used-up": Belief(
        "Water is used up on the way.",
        {
            "out": Said(
                "The loop: {loop}. A flow meter at the pump shows {known:flow}. The {part} takes"
                " {share:ratio} of the pump's head. What flow comes out of the side?",
                "{right}. What goes in comes out: head is used up on the way, and water is not.",
                "{tempting} takes the {part}'s share of the head off the flow. It tempts because"
                " the pressure does fall on the way; the flow does not.",
            ),
            "in": Said(
                "The loop: {loop}. At the discharge a bucket shows {known:flow}. The {part} takes"
                " {share:ratio} of the pump's head. What flow goes through the pump?",
                "{right}. One line, one flow, at every place of it: head is used up on the way, and"
                " water is not. A bucket at the discharge measures the pump.",
                "{tempting} adds to the flow what the {part} takes of the head. It tempts because"
                " the pressure does fall on the way; the flow does not.",
            ),
        },
    ),
}
