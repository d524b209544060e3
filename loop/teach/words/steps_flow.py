"""The words of an explanation's steps about water, need and flow, and what flow comes of them."""

from collections.abc import Mapping

from loop.teach.words.row import Row

_TEOS = "TEOS-10 table value (package gsw)"
_SALT = {"T_in": "temperature", "S": "the job: salinity, g/kg nearly"}


FLOW: Mapping[str, Row] = {
    "density": Row(
        "Density of the water",
        "ρ:kg/m³",
        _TEOS,
        "It turns head into pressure. Seawater is some 2.5 % heavier than fresh water.",
        _SALT,
        5,
    ),
    "heat capacity": Row(
        "Heat capacity of the water",
        "c_p:J/(kg K)",
        _TEOS,
        "The heat that warms one kilogram by one kelvin.",
        _SALT,
        5,
    ),
    "viscosity": Row(
        "Viscosity of the water",
        "μ:Pa s",
        "Sharqawy, Lienhard & Zubair (2010), eq. 22-23",
        "How thick the water is: warm water is thinner, and loses a little less.",
        _SALT,
        5,
    ),
    "kinematic": Row(
        "Viscosity over density",
        "ν:m²/s = μ / ρ",
        "definition",
        "Friction depends on it in this form.",
    ),
    "vapor": Row(
        "Vapor pressure of the water",
        "p_v:pressure",
        "Wagner & Pruss (2002), lowered by Raoult's law for salt",
        "At this absolute pressure the water boils, cold as it is: the suction must stay above it.",
        _SALT,
        5,
    ),
    "stated need": Row(
        "Needed flow",
        "Q_need:flow",
        "the unit's maker, as the job gives it",
        "The flow that the unit needs.",
    ),
    "tons": Row(
        "Size of the unit in tons",
        "N_ton:ton = q_cool / {ton}",
        "1 ton = 12,000 BTU/h = {ton} W",
        "The trade's measure of an air conditioner.",
        {"q_cool": "heat"},
    ),
    "need": Row(
        "Needed flow",
        "Q_need:flow = N_ton * Q_ton",
        "common practice: 180 gal/h a ton unless the job says otherwise",
        "With less the unit condenses hotter; with more, a little cooler, for more pump power.",
        {"Q_ton": "flow"},
    ),
    "heat": Row(
        "Heat that the water must carry away",
        "q:heat = q_cool * r",
        "common practice",
        "The water carries off the cabin's heat and the compressor's work.",
        {"q_cool": "heat", "r": "the job, or common practice"},
    ),
    "flow": Row(
        "Flow that the loop settles at",
        "Q:flow",
        "found by trial: the one flow at which the pump's head pays for every loss",
        "Guess a flow, add up the losses, compare with the pump, guess again. The steps below show"
        " that this one balances.",
        digits=6,
    ),
    "line flow": Row(
        "Flow of {line}",
        "Q:flow",
        "found by trial: the flows at which every way to the sea balances",
        "The branches share the flow so that the pump's head pays for each way to the sea.",
        digits=6,
    ),
    "backwards": Row(
        "Flow of {line}, which runs backwards",
        "Q_back:flow = -Q",
        "the same flow, in the direction in which it runs",
        "Below zero means from the end of the branch to its start: the water gets there through"
        " another branch.",
        digits=6,
    ),
    "edge": Row(
        "{which} edge of the flow at the {unit} unit",
        "{symbol}:flow",
        "found by trial: of {draws} loops drawn with the pump's flows ±{along} and heads ±{up}"
        " ({basis}), losses ±{loss}, hose bores ±{bore:bore} and barbs ±{barb} (engineering"
        " estimates), about 25 in 1,000 lie {side}",
        {
            "low": "Judge by this one: few boats built like this get less.",
            "high": "Few boats built like this get more.",
        },
    ),
    "half blocked": Row(
        "Flow at the {unit} unit with the strainer half blocked",
        "Q_half:flow",
        "found by trial, with the strainer's loss at {times} times the clean",
        "Half the basket, twice the speed through it, four times the basket's loss.",
    ),
    "clean at": Row(
        "Share of the strainer that may block before the {unit} unit falls short",
        "b:",
        "found by trial: where the flow comes down to the need",
        "Clean it well before that: it may block in one day.",
    ),
    "ratio": Row(
        "Flow over need at the {unit} unit",
        "r: = Q / Q_need",
        "definition",
        {
            "short": "Below 1: the unit is short of water, and condenses hotter than it should.",
            "edge": "Above 1, but pumps and hoses vary: at the low edge of the band it is short.",
            "enough": "Above 1, even at the low edge of the band: the unit gets enough water.",
        },
    ),
    "half loss": Row(
        "Flow with the loss of the {part} halved",
        "Q_half_loss:flow",
        "found by trial: the loop solved again with one part's loss halved",
        "Halving the loss of no other part brings more.",
    ),
    "stands": Row("Nothing flows here", "", "", "Water that stands loses no head."),
    "dry way": Row(
        "Nothing flows this way",
        "",
        "",
        "Water that stands loses no head: a valve is shut, or the pump cannot lift it to the"
        " outlet.",
    ),
    "other way": Row(
        "The water comes by another branch",
        "",
        "",
        "Part of this way it runs backwards, and what it loses there is counted as it runs.",
    ),
    "dry unit": Row(
        "No water, no cooling", "", "", "With no flow the unit trips on high pressure."
    ),
}
