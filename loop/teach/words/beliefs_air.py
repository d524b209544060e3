"""Beliefs about air: a high unit, where and when to bleed, a stronger pump."""

from collections.abc import Mapping

from loop.teach.words.belief import Belief, Said, alike

_FALLS = (
    "The loop: {loop}. Air may stay in the {hose}, which falls at {slope:angle} from the high point"
)

ON_AIR: Mapping[str, Belief] = {
    "higher-unit": alike(
        "A higher unit always means less flow.",
        "flow bucket",
        "The loop: {loop}. It runs {before:flow}. The unit is moved up to {high:height.0} above the"
        " waterline, on the same hoses; the discharge stays where it is, and the line is bled and"
        " runs full. {asked}",
        "{right}. In a line that runs full the falling side gives back what the rising side took,"
        " so only the discharge's height counts. Priming does take more: {start:head} of the pump's"
        " {shutoff:head}.",
        "{tempting} is the flow if the water had to be let out up there. It tempts because the"
        " pump does lift the water that high; the water then falls again and pulls the rest along."
        " Only a falling leg that holds air gives nothing back.",
    ),
    "bleed-place": alike(
        "Bleed at the lowest point, where the pump is.",
        "place",
        "Heights along the pressure side, in the water's order: {way}. There is a bleed at the"
        " pump{there}. At which of these does one more bleed let out air that would stay?",
        "A bleed {right}: that is a high point with lower ones on both sides, and the water is too"
        " slow to carry the air down from it: {speed:velocity.2}, where {limit:velocity.2} is"
        " needed."
        " Open it while the line fills, and shut it when water comes.",
        "A bleed {tempting} would sit the lowest. It tempts because that is where one drains a"
        " line; air rises, so a valve there lets out water.",
    ),
    "bleed-when": alike(
        "A bleed can be opened at any time: a pumped line is under pressure.",
        "height",
        "The loop: {loop}. The pump runs, the line is full, and the pump makes {head:head} of head."
        " Up to what height above the waterline does the pressure at the top of the {hose} stay"
        " above zero, so that a bleed there lets air out?",
        "{right}. By the top of the {hose} the losses and the speed of the water take {lost:head}"
        " of the pump's head, and only what is left holds the water up. The high point at"
        " {here:height.0} is {so}",
        "{tempting} is the pump's whole head as a height. It tempts because a pump fills the line"
        " with pressure; much of it is spent by then, on the way there.",
    ),
    "more-pump": Belief(
        "A stronger pump cures air.",
        {
            "speed": Said(
                f"{_FALLS}: the water runs {{now:velocity.2}} there. The pump is changed for a"
                " {pump}. How fast must the water run in that hose to surely carry the air down?",
                "{right}, by the bore and the slope alone. The {pump} brings {tempting} there: air"
                " may still stay. A bleed at the high point, or a narrower hose, is the cure.",
                "{tempting} is what the {pump} brings. It tempts because more flow does push"
                " harder; in so wide a hose it is still too slow.",
            ),
            "bore": Said(
                f"{_FALLS}. With this pump, which is the largest size for that hose in which the"
                " running water surely carries the air down?",
                "{right}. There the water runs {speed:velocity.2}, where above {limit:velocity.2}"
                " it carries the air down; one size up it would run {slower:velocity.2}, which is"
                " too slow.",
                "{tempting} is the hose as it is, with hope set on the pump. It tempts because the"
                " pump is the part that one can see working; in this hose its water is too slow.",
            ),
        },
    ),
}
