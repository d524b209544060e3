"""The words of an explanation's steps about hoses: friction, sweeps, barbs, air in a leg."""

from collections.abc import Mapping

from loop.teach.words.row import Row
from loop.teach.words.steps_parts import IN_A_ROW

_RENNELS = "Rennels & Hudson, Pipe Flow (2012), as in the package fluids"


HOSE: Mapping[str, Row] = {
    "reynolds": Row(
        "Reynolds number",
        "Re: = V * D / ν",
        "definition",
        {
            "turbulent": "Above 3000 the flow is turbulent, as it is in nearly every loop.",
            "between": "Between about 2000 and 3000 the flow may do either: slide in layers, or"
            " swirl.",
            "laminar": "Below about 2000 the water slides in layers.",
        },
        {"D": "bore"},
    ),
    "laminar factor": Row(
        "Friction factor, laminar",
        "f: = 64 / Re",
        "Hagen-Poiseuille",
        "In so slow a flow the wall's roughness does not matter.",
    ),
    "factor": Row(
        "Friction factor{at}",
        "f: = (1 / (2 * log10(ε / (3.7 * D) + 2.51 / (Re * sqrt(f)))))**2",
        "Colebrook (1939), solved by Clamond's method in the package fluids",
        "f is on both sides: start from 0.03, put each answer in again, stop when it stays.",
        {
            "D": "bore",
            "ε": "m; {lining}",
            "f": "the answer itself, put in to be checked",
            "Re": "where turbulence is taken as established",
        },
    ),
    "factor share": Row(
        "How far between laminar and turbulent",
        "s: = ln(Re / {laminar}) / ln({turbulent} / {laminar})",
        "straight line in logarithms",
        "Between the two laws the flow may do either; the program joins them.",
    ),
    "factor between": Row(
        "Friction factor between the two laws",
        "f: = (64 / {laminar})**(1 - s) * f_t**s",
        "straight line in logarithms",
        "An estimate: the flow may change between two states.",
    ),
    "film": Row(
        "Head lost, with air in the falling leg",
        "h_air:head = (1 - s) * h + z_fall",
        "May, Allen & Nelson (2018): the head lost is close to the pocket's height",
        "Water that falls through air gives nothing back: there is no siphon here.",
        {
            "s": "the job: share of the hose that holds air",
            "z_fall": "m; the job: fall of that share",
        },
    ),
    "hose friction": Row(
        "K of the hose's friction",
        "K_f: = f * L / D",
        "Darcy-Weisbach",
        "K counts losses in velocity heads; friction grows with length.",
        {"L": "length", "D": "bore"},
    ),
    "sweep": Row(
        "K of a sweep",
        "K_s: = f * α * r + (0.1 + 2.4 * f) * sin(α / 2)"
        " + 6.6 * f * (sqrt(sin(α / 2)) + sin(α / 2)) / r**(4 * α / π)",
        _RENNELS,
        "A wide sweep costs little; a tight one as much as an elbow.",
        {"α": "angle", "r": "{radius}"},
    ),
    "sweeps": Row(
        "K of all such sweeps",
        "K_s: = N * K_1",
        IN_A_ROW,
        "Each sweep costs as much again.",
    ),
    "barb bore": Row(
        "Bore of the barbs",
        "d:bore = {share} * D",
        "common practice, where the job gives none",
        "Measure a barb: it is the narrowest place of the hose.",
        {"D": "bore"},
    ),
    "barb over hose": Row(
        "Barb's bore over hose's bore",
        "β: = d / D",
        "definition",
        "All the water goes through every barb, however wide the hose is.",
        {"d": "bore", "D": "bore"},
    ),
    "jet": Row(
        "How much the jet narrows past the edge",
        "λ: = 1 + 0.622 * (1 - 0.215 * β**2 - 0.785 * β**5)",
        _RENNELS,
        "Water overshoots a sharp edge, so the jet is narrower than the hole.",
    ),
    "into the barb": Row(
        "K of going into the barb",
        "K_in: = 0.0696 * (1 - β**5) * λ**2 + (λ - 1)**2",
        _RENNELS,
        "In velocity heads of the water in the barb.",
    ),
    "out of the barb": Row(
        "K of coming out of the barb",
        "K_out: = (1 - β**2)**2",
        "Borda-Carnot, any textbook",
        "Coming out, the jet's extra speed is lost.",
    ),
    "barbs": Row(
        "K of the barbed ends, on the hose's speed",
        "K_b: = N * (K_in + K_out + {long} * f) / β**4",
        "a barb is {long} bores long (common practice); K moves with the bore's 4th power",
        "At 0.8 of the hose's bore a barb costs about one velocity head: count the ends.",
    ),
    "hose": Row(
        "K of the hose, all together",
        "K:",
        IN_A_ROW,
        {
            "barbs": "Of this hose the barbed ends cost the most: fewer or full-bore ends save"
            " most.",
            "sweeps": "Of this hose the sweeps cost the most: a straighter run saves most.",
            "length": "Of this hose the length costs the most: a shorter run saves most, or a"
            " wider bore that the water still sweeps clear of air.",
        },
    ),
}
