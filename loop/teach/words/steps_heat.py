"""The words of an explanation's steps about heat and air."""

from collections.abc import Mapping

from loop.teach.words.row import Row

_KAYS = "effectiveness-NTU, Kays & London, Compact Heat Exchangers"
_FITTED = "fitted to this boat's own readings"


HEAT: Mapping[str, Row] = {
    "stream": Row(
        "Heat that the stream carries per kelvin",
        "w:W/K = ρ * Q * c_p",
        "mass flow times heat capacity",
        "How much heat warms the stream by one kelvin.",
    ),
    "needed stream": Row(
        "The same at the needed flow",
        "w_r:W/K = ρ * Q * c_p",
        "mass flow times heat capacity",
        "How much heat warms that stream by one kelvin.",
    ),
    "given off": Row(
        "Heat that the unit gives to the water",
        "q:heat = q_cool + P",
        "heat balance; draw and condensing temperature are found together",
        "The hotter it condenses the more it draws, and all of it goes overboard.",
        {
            "q_cool": "W; the job",
            "P": "W; the draw that the job states, at the condensing temperature below",
        },
    ),
    "rise": Row(
        "How much the water warms",
        "ΔT:temperature_difference = q / w",
        "heat balance",
        "Two thermometers show this: with the same heat, half the flow doubles it.",
    ),
    "outlet": Row(
        "Temperature of the water {going}",
        "T_out:temperature = T_in + ΔT",
        "definition",
        {
            "trips": "No stream gets this hot: the unit trips first.",
            "next": "Strap a thermometer to the outlet's metal: the next unit gets water this"
            " warm.",
            "overboard": "Hold a thermometer in the stream.",
        },
    ),
    "inlet": Row(
        "Temperature of the water that comes in",
        "T_in:temperature = T_come",
        "heat balance along the way of the water",
        "The sea's, warmed by {added:temperature_difference} on its way through {units}: this unit"
        " condenses that much hotter.",
    ),
    "mixed": Row(
        "Temperature where streams meet",
        "T_mix:temperature",
        "heat balance",
        "Each stream counts by its flow.",
    ),
    "needed rise": Row(
        "Rise at the needed flow",
        "ΔT_r:temperature_difference = q / w_r",
        "heat balance",
        "Near 10 °F (5.6 K) at the trade's usual flow: a number to remember.",
    ),
    "needed ntu": Row(
        "Transfer units at the needed flow",
        "NTU_r: = ln(1 + ΔT_r / a)",
        f"{_KAYS}; a is condensing minus leaving water",
        "The larger, the closer the leaving water comes to the condensing temperature.",
        {"a": "temperature_difference"},
    ),
    "rated ua": Row(
        "Heat that a clean condenser passes per kelvin",
        "UA_r:W/K = NTU_r * w_r",
        "definition of NTU",
        "Scale and slime make this smaller, and the unit condenses hotter.",
        {"F": _FITTED},
    ),
    "ua": Row(
        "Heat that it passes per kelvin at this flow",
        "UA:W/K = UA_r / (v * (Q / Q_need)**(-m) + 1 - v)",
        "film ~ velocity^{power} (Dittus-Boelter form, any heat-transfer textbook)",
        "Faster water takes heat from the wall better, but only part of the resistance is there.",
        {
            "v": "engineering estimate: water's share of the resistance",
            "m": "turbulent flow in a tube",
            "s": "scale: its thickness over its conductivity, times U",
        },
    ),
    "ntu": Row(
        "Transfer units at this flow",
        "NTU: = UA / w",
        _KAYS,
        "The larger, the nearer the leaving water comes to the refrigerant.",
    ),
    "condensing": Row(
        "Condensing temperature",
        "T_c:temperature = T_in + ΔT / (1 - exp(-NTU))",
        _KAYS,
        {
            "runs": "What the refrigerant gauge's temperature scale should show; read it, and leave"
            " the circuit itself to a licensed technician.",
            "trips": "No unit runs on past {limit:temperature}: this only says that it trips.",
        },
    ),
    "priming": Row(
        "Head for priming (filling the empty line)",
        "H_start:head",
        "z: height of each rise; d: drop behind a high point without a bleed, whose air stays and"
        " pushes back. May, Allen & Nelson (2018)",
        {
            "fills": "The pump's shut-off head{lowest} is {held:head}, which leaves"
            " {spare:ratio} or more to spare: the pump fills the line by itself.",
            "close": "The pump's shut-off head{lowest} is {held:head}, which leaves less than"
            " {spare:ratio} to spare: some days it may not fill the line.",
            "cannot": "The pump's shut-off head{lowest} is {held:head}: it cannot prime this way.",
            "beside": "Alone, the pump fills this way. While {others} {run}, only {left:head} is"
            " left at the header, and priming it needs {needed:head}: it stays dry until they are"
            " throttled.",
        },
        {"z": "height", "d": "height; high point less the low point behind it"},
    ),
    "froude": Row(
        "Froude number behind the high point at the {part}",
        "Fr: = V / sqrt(g * D)",
        "definition",
        "Whether the water is fast enough to carry the air down with it.",
        {"V": "m/s; velocity on the falling leg", "D": "bore"},
    ),
    "first limit": Row(
        "Froude number that carries the air down, by one source",
        "Fr_1: = {a} + {b} * sqrt(sin(θ))",
        "Wisner, Mohsen & Kouwen (1975)",
        {
            "steep": "Measured on gentler slopes than this one: an extrapolation.",
            "gentle": "Measured on slopes like this one, in larger pipes.",
        },
        {"θ": "rad; from the job's heights and lengths"},
    ),
    "second limit": Row(
        "Froude number that carries the air down, by another",
        "Fr_2: = {a} + {b} * sqrt(sin(θ))",
        "Escarameia (2007); {a} from memory",
        {
            "swept": "Above both: the running water carries the air away.",
            "may stay": "Between the two: air that is there may go or stay.",
            "held": "Below both: air that is there stays.",
            "vented": "Not above both: the running water may leave air there, and the bleed lets it"
            " out when it is opened.",
            "draws": "Not above both: the running water may leave air there. The bleed lets it out"
            " only as loop check says: opened while the pump runs it draws air in.",
            "open full": "Not above both, and the leg ends in the open: as the loop starts it runs"
            " full all the same.",
            "open air": "Not above both, and the leg ends in the open: as the loop starts it holds"
            " air.",
        },
        {"θ": "rad; from the job's heights and lengths"},
    ),
}
