"""Strength of the outside checks: in which constants they would catch an error.

Every constant of parts, air and margins, of how air is swept from a falling leg and of what a pump
runs on, is changed by +10 % and by −10 %, and the rows are evaluated again.
``python -m tests.published.strength`` prints what is caught, by which row.
"""

from collections.abc import Sequence
from contextlib import ExitStack

from tests.constants import changed, numbers_of
from tests.published.rows import ROWS, Row

PACKAGES = ("parts", "air", "margins")
# Modules of other rooms with such constants: the physics of air that the solver needs, and what a
# pump runs on.
MODULES = ("hydraulics.clearing", "hydraulics.cavity", "pumps.supply")
FACTORS = (0.9, 1.1)

# Numerical settings, which change no answer that could be printed.
ARITHMETIC = (
    "_ROUNDING",
    "ROUNDING",
    "_TOLERANCE",
    "_ROUNDS",
    "_SPEED_MULTIPLES",
    "_COARSE_STEP",
)
# The program's own choices: how far it searches, what it treats as equal, how it asks. No book can
# print them; they are counted apart.
OWN = {
    "parts.pump.SLOWEST": "how slow a pump the affinity laws are asked for",
    "parts.pump.FASTEST": "how fast a pump the affinity laws are asked for",
    "air.air_paths.START_SPARE": "the spare that priming is to have",
    "air.bleeds._AT_OUTLET": "how near to the pump counts as at its outlet",
    "margins.heat.OWN_LIMITS": "from which condensing temperature a maker's limits are asked for",
    "margins.energy.COMPARED": "at which condensing temperatures the draw is set side by side",
    "margins.guesses._FACTORS": "how far a value marked as a guess is tried",
    "margins.guesses._STEPS": "how far a value marked as a guess is tried",
    "parts.intake._OVERGROWN": "how little of a grate must be open to be called grown over",
    "parts.step.SAME_SIZE": "how near to each other bores are one trade size",
    "parts.step.ADAPTER": "how far apart bores must be for an adapter to be spoken of",
    "margins.guesses._PUMP": "how far a pump marked as a guess is tried",
    "pumps.supply.MAX_DC": "up to how many volts what is not said to be DC is so",
    "pumps.supply._CORRECTABLE": "how far from its rating wire or a tap still mends a supply",
    "pumps.supply._NOMINAL_TOLERANCE": "how far a rating may be from the nominal voltage it means",
}
# Constants other than own choices without an outside value, or none that a tenth would miss: why.
WITHOUT = {
    "parts.hose.BARB_OVER_HOSE": "barbs on sale run from 0.67 to 0.85 of the hose: common practice",
    "parts.hose.BEND_BORES": "how a hose is led is the fitter's: common practice",
    "parts.hose.BARB_LENGTH": "engineering estimate; a tenth moves a barb's loss by under 1 %",
    "parts.intake.SCOOP": "engineering estimates: boundary layer and shape of the scoop rule",
    "parts.intake.FACE_OVER_BORE": "common practice; the shape of small grates is not published",
    "parts.scale.CONDUCTIVITY": "sources print 1 to 3 W/(m K) by how porous the scale is",
    "parts.scale.CLEAN_U": "engineering estimate: makers do not print it",
    "parts.scale.TUBE_BORE": "engineering estimate, where a job states no tube",
    "parts.strainer.BASKET_SHARE": "engineering estimate: makers print the whole loss",
    "hydraulics.cavity._LEVEL_LOSS": "Weber (1981) from memory; no measured bore was found to try",
    "hydraulics.cavity._LEVEL_POWER": "Weber (1981) from memory; no measured bore was found to try",
    "margins.heat.HOT_LIMIT": "engineering estimate: texts print hot days' temperatures, no bound",
    "margins.heat.WATER_SHARE": "engineering estimate: makers do not print it",
    "margins.suction.SINKAGE": "common practice: how far people who step aboard put a boat down",
    "margins.suction.NPSH_RATIO": "sources print 1.1 to 1.5 for water (1.35: Elsey; 1.1: HI 9.6.1)",
}


def share_caught() -> float:
    """Share of the constants, own choices excluded, that some row catches."""
    physical = [name for name in constants() if name not in OWN]
    return 1 - sum(name in WITHOUT for name in physical) / len(physical)


def constants() -> list[str]:
    """The constants to change, by module and name."""
    every = [name for package in PACKAGES for name in numbers_of(package)]
    others = [name for room in ("hydraulics", "pumps") for name in numbers_of(room)]
    every += [name for name in others if name.rpartition(".")[0] in MODULES]
    return [name for name in every if name.rpartition(".")[2] not in ARITHMETIC]


def catching(names: Sequence[str], factor: float) -> list[str]:
    """Ids of the rows that miss their printed value with these constants times `factor`."""
    with ExitStack() as all_changed:
        for name in names:
            all_changed.enter_context(changed(name, factor))
        return [row.id for row in ROWS if not _agrees(row)]


def is_caught(name: str) -> bool:
    """Whether any row catches a change; stops at the first."""
    for factor in FACTORS:
        with changed(name, factor):
            if not all(map(_agrees, ROWS)):
                return True
    return False


def _agrees(row: Row) -> bool:
    try:
        return Row(**{key: getattr(row, key) for key in row.__dataclass_fields__}).agrees
    except (ValueError, ArithmeticError):
        return False


def main() -> None:
    """Prints the constants, each with the rows that catch it."""
    caught = {
        name: list(dict.fromkeys(row for factor in FACTORS for row in catching([name], factor)))
        for name in constants()
    }
    for name, rows in caught.items():
        print(f"{name}: {', '.join(rows[:4]) if rows else '-'}")
    physical = [rows for name, rows in caught.items() if name not in OWN]
    count = sum(map(bool, physical))
    print(f"{count} of {len(physical)} caught: {count / len(physical):.0%}")
    print(f"besides, {len(OWN)} choices of the program's own")


if __name__ == "__main__":
    main()
