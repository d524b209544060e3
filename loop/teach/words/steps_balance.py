"""The words of an explanation's steps about the balance, and the pressures before the pump."""

from collections.abc import Mapping

from loop.teach.words.row import Row
from loop.teach.words.steps_parts import IN_A_ROW

BALANCE: Mapping[str, Row] = {
    "scoop": Row(
        "Head that the boat's speed adds at the intake",
        "H_scoop:head = c * V_b**2 / (2 * g)",
        "engineering estimate",
        {
            "gains": "At rest it is nothing: do not count on it.",
            "loses": "Below zero: an intake that faces aft is sucked at under way.",
        },
        {"V_b": "speed", "c": "engineering estimate: facing {facing}"},
    ),
    "static": Row(
        "Static head",
        "H_static:head = max(z_out, 0)",
        "the jet leaves at its own height; under water, at the sea's pressure",
        {
            "rises": "The lift that stays however small the flow.",
            "full": "The lift that stays however small the flow. The high points on the way cost"
            " nothing more: the water behind them gives their height back.",
            "air": "The lift that stays however small the flow. Behind a high point on this way the"
            " leg holds air, and its fall is lost too: that stands with the hose's own loss.",
        },
        {"z_out": "height"},
    ),
    "lost": Row(
        "Head lost on the way, all parts together",
        "h_lost:head",
        f"{IN_A_ROW}; h_n is the loss of part n",
        "The largest losses are where there is something to gain.",
    ),
    "left": Row(
        "Head left for the losses",
        "h_left:head",
        "energy equation (Bernoulli), from sea to sea",
        "The same as what is lost: at this flow, and no other, the loop balances.",
    ),
    "inlet head": Row(
        "Total head at the pump's inlet",
        "H_in:head",
        "the sea's head less every loss up to here",
        "Only what is lost before the pump can make it cavitate.",
    ),
    "outlet head": Row(
        "Total head at the pump's outlet",
        "H_out:head = H_in + H_pump",
        "the pump adds its head",
        "It is spent on the way from here to the sea.",
    ),
    "gauge": Row(
        "Gauge pressure at the pump's {end}",
        "p:pressure = ρ * g * (H - z - V**2 / (2 * g))",
        "Bernoulli",
        {
            "vacuum": "What a gauge there shows: below zero, so a loose clamp draws air in instead"
            " of dripping.",
            "pressure": "What a gauge there shows: above zero, so a loose clamp drips.",
            "outlet": "What a gauge there shows: write it down while all is clean, to compare with"
            " later.",
        },
        {"z": "height"},
    ),
    "npsh": Row(
        "Suction head available (NPSH)",
        "NPSH:head = (p_a - p_v) / (ρ * g) + H_in - z_p",
        "Crane TP-410; any pump textbook",
        "How far the water is from boiling in the pump.",
        {"p_a": "Pa; standard atmosphere", "z_p": "height"},
    ),
    "npsh needed": Row(
        "Suction head that the pump requires (NPSH required)",
        "NPSH_need:head = n**2 * NPSH_r",
        "affinity laws; {ratio} times it: common practice",
        {
            "enough": "At the inlet there is {ratio} times this or more: the pump does not"
            " cavitate.",
            "near": "At the inlet there is less than {ratio} times this: too near to boiling.",
            "short": "At the inlet there is less than this: the water boils in the pump, with noise"
            " and damage.",
        },
    ),
    "depth": Row(
        "Depth of the intake at worst",
        "S:height",
        "heel, trim, half a wave, and a light hull",
        "Heel lifts an intake that is off the centerline.",
        {
            "z": "height",
            "y": "length",
            "x": "length",
            "w": "height",
            "r": "height",
            "α": "angle",
            "β": "angle",
        },
    ),
    "depth needed": Row(
        "Depth that keeps air out",
        "S_need:height = D * (1 + {vortex} * V / sqrt(g * D))",
        "ANSI/HI 9.8",
        {
            "deep": "The intake is at least this deep: no whirl draws air down into it.",
            "shallow": "The intake is not this deep: a whirl can draw air down into it.",
        },
        {"D": "bore"},
    ),
}
