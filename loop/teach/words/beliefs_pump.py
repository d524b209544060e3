"""Beliefs about the pump: suction, gauge, supply; and about the warmth of the water."""

from collections.abc import Mapping

from loop.teach.words.belief import Belief, Said

_OPEN = (
    "The loop: {loop}. With the {valve} open it ran {before:flow}, and the gauge at the pump's"
    " outlet showed {gauge}."
)
_LESS_WATER = "A unit runs on {before:flow} and warms its water by {normal:temperature_difference}."

ON_PUMPS: Mapping[str, Belief] = {
    "suction": Belief(
        "The pump sucks as hard as it pushes.",
        {
            shape: Said(
                f"The loop: {{loop}}. The pump makes {{head:head}} of head at this flow. {asks}",
                "{right}. The pump does not pull: the air pushes the sea in. The gauge shows what"
                " the way in costs, {lost:head}, and the speed of the water, against the"
                " {depth:head} that the pump lies under water.",
                "{tempting} is the pump's whole head taken as suction. It tempts because the pump"
                " makes that much head; it makes it as a push at its outlet. At the inlet only the"
                " air's weight is at hand, {air:head.0} at the most, and where a pump asks for more"
                " the water boils in it.",
            )
            for shape, asks in {
                "vacuum": "How far below the air's pressure is the water at the pump's inlet (a"
                " vacuum gauge there)?",
                "gauge": "What does a gauge at the pump's inlet show?",
            }.items()
        },
    ),
    "gauge": Belief(
        "Low flow means low pressure.",
        {
            "now": Said(
                f"{_OPEN} Now the handle of the {{valve}} stands at {{angle}}, and the flow is"
                " {after:flow}. What does the gauge show?",
                "{right}. What is tight lies after the gauge, so the pump pushes harder against"
                " less flow: it moves up its curve. A gauge that falls with the flow says that the"
                " trouble is before the pump, or in it.",
                "{tempting} is the old pressure times what is left of the flow. It tempts because"
                " in a hose alone pressure and flow fall together; a pump does the opposite.",
            ),
            "flow": Said(
                f"{_OPEN} Somebody has turned the handle of the {{valve}} to {{angle}}, and the"
                " gauge shows {gauge_now}. What flow comes out of the side?",
                "{right}. The gauge rose because the valve after it is tight. The pump moved up its"
                " curve, and up there it gives less.",
                "{tempting} takes more pressure for more flow. It tempts because a harder push"
                " should move more water; here the gauge is high because the water cannot go.",
            ),
        },
    ),
    "voltage": Belief(
        "All pumps sag alike when the voltage is low.",
        {
            "ac": Said(
                "The loop: {loop}. The pump is an AC pump for {rated:voltage.0}. At that it gives"
                " {before:flow}. A long cord leaves it {supply:voltage}, at the same"
                " {hertz:frequency}. What flow comes out of the side?",
                "{right}. An AC pump's speed goes with the frequency, which a long cord does not"
                " change. The low volts make the motor draw more current and run hot: that is the"
                " harm.",
                "{tempting} is the flow times the share of the volts left. It tempts because it is"
                " nearly so for a DC pump.",
            ),
            "dc": Said(
                "The loop: {loop}. The pump is a DC pump for {rated:voltage.0}. At that it gives"
                " {before:flow}. A thin wire leaves it {supply:voltage}. What flow comes out of the"
                " side?",
                "{right}. A DC pump's speed goes with the volts at its terminals: {share:ratio} of"
                " the speed, and only {head_share:ratio} of the head.",
                "{tempting} is what it gives at full volts. It tempts because an AC pump on the"
                " dock hardly cares; a DC pump does.",
            ),
        },
    ),
    "cool-water": Belief(
        "Water that comes out warm shows that the unit works well.",
        {
            "rise": Said(
                f"{_LESS_WATER} A blocked grate leaves it {{after:flow}}, and the compressor keeps"
                " going. By how much does it warm the water now?",
                "{right}. The same heat goes into less water: flow and rise go opposite ways. The"
                " unit then condenses at {hot:temperature.1} instead of {cool:temperature.1}.",
                "{tempting} is the old rise times what is left of the flow. It tempts because less"
                " water seems to carry less; it carries the same heat, in less water.",
            ),
            "flow": Said(
                f"{_LESS_WATER} Today, at the same load, it warms the water by"
                " {now:temperature_difference}. What flow is left?",
                "{right}. The same heat in less water: the rise grew {times} times, so the flow"
                " fell as much. Two thermometers make a flow meter.",
                "{tempting} takes more warmth for more flow. It tempts because warm water over the"
                " side looks like a unit hard at work; it is a unit short of water.",
            ),
        },
    ),
}
