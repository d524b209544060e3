"""The words of an explanation's steps about parts: what each loses, and what that means."""

from collections.abc import Mapping

from loop.teach.words.row import Row

CRANE = "Crane TP-410"
IN_A_ROW = "losses in a row add up"
_FASTER = (
    "At one flow, a bore 1.4 times as wide halves the speed: area goes with the bore's square."
)


def _velocity(where: str, symbol: str = "V") -> Row:
    return Row(
        f"Velocity{where}",
        f"{symbol}:velocity = 4 * Q / (π * D**2)",
        "flow over the area of the bore",
        _FASTER,
        {"D": "bore"},
    )


PARTS: Mapping[str, Row] = {
    "velocity": _velocity(""),
    "velocity in the barb": _velocity(" in the barb"),
    "velocity in the port": _velocity(" in the port"),
    "velocity in the header": _velocity(" in the header", "V_c"),
    "crane factor": Row(
        "Crane's friction factor for this size of fitting",
        "f_T:",
        f"{CRANE} table, as fitted by fluids.ft_Crane, bore {{mm}} mm",
        "Crane gives a fitting's loss as a length of pipe; this turns it into a K.",
    ),
    "head": Row(
        "Head lost",
        "h:head = K * V**2 / (2 * g)",
        "K velocity heads (Darcy-Weisbach form)",
        {
            "intake": "What it costs to draw the sea in; weed on the grate multiplies it.",
            "seacock": "Fully open and full bore it costs next to nothing; nearly shut it chokes"
            " the loop.",
            "hose": "It grows with about the square of the flow.",
            "strainer": "It grows as the basket fills, and cleaning brings it back.",
            "tee": "Small alone; count how many there are.",
            "bleed": "Small alone; count how many there are.",
            "elbow": "Small alone; count how many there are.",
            "check valve": "It must open on the flow's own force, and stays in the way.",
            "vented loop": "It breaks the siphon: what the water falls behind it is not given"
            " back.",
            "discharge": "The stream over the side carries this head away.",
            "fitting": "What the maker of the fitting says it costs.",
        },
    ),
    "rated": Row(
        "Rated loss as a head",
        "h_r:head = Δp_r / (ρ * g)",
        "p = ρ g h",
        "A gauge shows pressure, a pump's curve head: this turns one into the other.",
        {"Δp_r": "pressure"},
    ),
    "rated head": Row(
        "Head lost",
        "h:head = h_r * (Q / Q_r)**n",
        "datasheet, moved to this flow by the power law",
        {
            "strainer": "It grows as the basket fills, and cleaning brings it back.",
            "fitting": "What the maker of the fitting says it costs, at this loop's flow.",
            "condenser": "Narrow passages carry heat better, and cost head.",
            "condenser most": "No part of this loop takes more: narrow passages carry heat better,"
            " and cost head.",
        },
        {"Q_r": "flow", "n": "{exponent}"},
    ),
    "with tees": Row(
        "Head lost, with the manifold's tees",
        "h_all:head",
        IN_A_ROW,
        "The tee at a branch's end counts with the part next to it.",
    ),
    "backwards head": Row(
        "Head lost{tees}, in a line that runs backwards",
        "h_all:head",
        f"{IN_A_ROW}; against the flow a loss is a gain",
        "The water comes in at the line's far end, so the head rises from its start to its end.",
    ),
    "exponent": Row(
        "Exponent through the two rated points",
        "n: = ln(Δp_2 / Δp_1) / ln(Q_2 / Q_1)",
        "power law through two points",
        "Near 2, twice the flow costs four times the head; near 1.8, three and a half times.",
        {"Δp_2": "pressure", "Δp_1": "pressure", "Q_2": "flow", "Q_1": "flow"},
    ),
    "tube speed": Row(
        "Speed in the condenser's tube",
        "V_t:velocity = 4 * Q / (N * π * (d - 2 * t)**2)",
        "limits {least} to {most} m/s: Copper Development Association",
        {
            "fast": "Too fast for copper-nickel: the water wears off the film that protects the"
            " tube.",
            "slow": "Slow: silt and growth can settle in the tube.",
            "right": "Fast enough to carry silt, slow enough to spare the copper-nickel.",
        },
        {"d": "bore", "N": "the job: tubes side by side", "t": "m; the job: scale"},
    ),
    "grate": Row(
        "K of the grate, on the speed in front of it",
        "K_g: = (0.5 * (1 - a) + (1 - a**2)) / a**2",
        "Blevins (1984), as fluids.filters.square_edge_grill",
        "The less of the grate is open, the faster the water goes through it.",
        {"a": "the job, or half by common practice"},
    ),
    "bore area": Row(
        "Area of the bore",
        "A:area = π / 4 * D**2",
        "circle",
        "Speed goes with area, not with diameter.",
        {"D": "bore"},
    ),
    "grate area": Row(
        "Area of the grate's face",
        "A_g:area = {times} * A",
        "common practice, where the job gives none",
        "Measure yours and put it in the job.",
    ),
    "intake": Row(
        "K of the intake",
        "K: = K_e + K_g * (A / A_g)**2",
        "Rennels & Hudson (2012), as in fluids",
        "A bigger grate face slows the water in it.",
        {"K_e": "table: sharp-edged entrance", "A_g": "area"},
    ),
    "port": Row(
        "Port over bore",
        "β: = d / D",
        "definition",
        "A full-port valve costs next to nothing; a reduced one does not.",
        {"d": "bore", "D": "bore"},
    ),
    "seacock": Row(
        "K of the ball valve",
        "K: = 3 * f_T",
        f"{CRANE}: ball valve, 3 f_T",
        "With the handle along the line it costs little; 40° from open, many times that.",
        {"K_t": "Weisbach's table, handle {angle}° from open"},
    ),
    "check valve": Row(
        "K of the check valve",
        "K: = 100 * f_T",
        f"{CRANE}: check valve",
        "As much as five tees: fit one only where it is needed.",
    ),
    "run of a tee": Row(
        "K of the {kind}",
        "K: = {run} * f_T",
        f"{CRANE}: {{kind}}",
        "Straight through; several times what an open full-port valve costs.",
    ),
    "elbow": Row(
        "K of the elbow",
        "K: = N * f_T * (16 + 14 * (α - 45) / 45)",
        f"{CRANE}: elbow",
        "Crane's table: 16 f_T at 45°, 30 at 90°, 50 at 180°; straight lines between.",
        {"α": "°; the job"},
    ),
    "vented loop": Row(
        "K of the vented loop",
        "K: = {turn} * f_T",
        f"{CRANE}: return bend of close pattern",
        "Water turns all the way round in it.",
    ),
    "flow coefficient": Row(
        "K from the flow coefficient",
        "K: = 1.6e9 * D**4 / C**2",
        "IEC 60534-2-1, as in fluids",
        "A flow coefficient is the flow that a stated pressure drives: 1 psi, or 1 bar.",
        {"D": "bore", "C_v": "gal/min at 1 psi; the job", "K_v": "m³/h at 1 bar; the job"},
    ),
}
