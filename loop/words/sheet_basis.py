"""The basis of a job sheet's numbers: a statement, and its source or estimate."""

from loop.words.template import Sayings

_COMMON = "common practice"
_ESTIMATE = "engineering estimate"

# Statement and source.
BASIS: dict[str, tuple[str, str]] = {
    "water": ("Density and heat capacity of the water", "TEOS-10 (IOC, SCOR and IAPSO 2010)"),
    "viscosity": ("Viscosity", "Sharqawy, Lienhard & Zubair, Desalin. Water Treat. 16 (2010)"),
    "vapor": ("Vapor pressure", "Wagner & Pruss (2002), lowered for salt after Sharqawy (2010)"),
    "losses": (
        "Losses",
        "Darcy–Weisbach and Colebrook; fittings after Crane TP-410, by the fluids library",
    ),
    "pump": ("Pump's tolerance", "{source}"),
    "together": ("Tolerances together", "random loops (Monte Carlo), JCGM 101:2008"),
    "intake": ("Depth of the intake", "ANSI/HI 9.8"),
    "air": (
        "Air that stays or leaves",
        "Wisner, Mohsen & Kouwen (1975); Escarameia (2007); May, Allen & Nelson (2018)",
    ),
    "condensing": ("Condensing temperature", "effectiveness–NTU, Kays & London"),
    "tube-speed": (
        "Speed in copper-nickel tube",
        "Copper Development Association; Powell & Michels, CORROSION/2000 paper 627",
    ),
    "turned": ("Part-closed valves", "Weisbach's plug cock, as handbooks reprint it; from memory"),
    "seacocks": ("Seacocks and through-hulls", "ISO 9093 / ABYC H-27"),
    # Estimates and rules of the trade.
    "spread": (
        "Losses within ±{loss:ratio}, hose bore ±{bore:bore}, barbs ±{barb:ratio}", _ESTIMATE
    ),
    "pump-spread": ("Pump within ±{flow:ratio} of flow and ±{head:ratio} of head", "{source}"),
    "flow-per-ton": ("{flow:flow} of water per ton of cooling", _COMMON),
    "rejection": ("A unit rejects {times} times its cooling", _COMMON),
    "approach": (
        "Condensing {approach:temperature_difference} above the leaving water at the needed flow",
        _COMMON,
    ),
    "water-share": (
        "{share:ratio} of the condenser's thermal resistance on the water side", _ESTIMATE
    ),
    "steep": ("Air on legs steeper than about 22°", "extrapolated from gentler slopes"),
    "fitted": (
        "Losses × {loss}, pump × {pump}, condensers × {ua}", "fitted to readings of this boat"
    ),
    "barbs": ("Barbs of {share} times the hose's bore", _COMMON),
    "roughness": ("Roughness of the hose, from its lining", "middle of the tables' range"),
    "grate": ("Grate with twice the bore's area on its face", _COMMON),
    "scoop": ("Scoop recovers {share} of the boat's velocity head", _ESTIMATE),
    "dc-speed": ("Pump speed proportional to its voltage", "a first approximation"),
    "one-rating": ("Condenser's loss with flow to the 1.8", "turbulent flow in smooth tube"),
    "manifolds": ("Manifolds as tees in a row", "Crane TP-410"),
}  # fmt: skip

WHAT = Sayings(lambda: {name: what for name, (what, _) in BASIS.items()})
ON = Sayings(lambda: {name: on for name, (_, on) in BASIS.items()})
