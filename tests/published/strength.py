"""How strong the outside values are: which constants they would catch a mistake in.

Every constant of parts, air and margins is made 10 % larger, and 10 % smaller, and the rows are
asked again. ``python -m tests.published.strength`` prints what is caught, by which row.
"""

from tests.constants import changed, numbers_of
from tests.published.rows import ROWS, Row

PACKAGES = ("parts", "air", "margins")
_FACTORS = (0.9, 1.1)

# Numbers of the arithmetic, which change no answer that anybody could print.
ARITHMETIC = ("_ROUNDING", "ROUNDING", "_SAME", "_ROUNDS", "_FASTER")
# Why no outside value exists, or none that a tenth would miss.
WITHOUT = {
    "parts.friction.TURBULENT": "textbooks put the end of the transition between 2300 and 4000",
    "parts.hose.ROUGHNESS": "tables differ tenfold; a tenth moves a hose's loss by 3 % at most",
    "parts.hose.BARB_OVER_HOSE": "barbs on sale run from 0.67 to 0.85 of the hose: common practice",
    "parts.hose.BEND_BORES": "how a hose is led is the fitter's: common practice",
    "parts.hose.BARB_LENGTH": "engineering estimate; a tenth moves a barb's loss by under 1 %",
    "parts.intake.SCOOP": "engineering estimates: boundary layer and shape of the scoop rule",
    "parts.intake.FACE_OVER_BORE": "common practice; the shape of small grates is not published",
    "parts.pump.SLOWEST": "engineering estimate: how far the affinity laws are asked",
    "parts.pump.FASTEST": "engineering estimate: how far the affinity laws are asked",
    "parts.scale.CONDUCTIVITY": "sources print 1 to 3 W/(m K) by how porous the scale is",
    "parts.scale.CLEAN_TRANSFER": "engineering estimate: makers do not print it",
    "parts.scale.TUBE_BORE": "engineering estimate, where a job states no tube",
    "parts.strainer.BASKET_SHARE": "engineering estimate: makers print the whole loss",
    "air.air_paths.START_SPARE": "a margin of this program's own",
    "air.bleeds._AT_OUTLET": "how near to the pump counts as at its outlet: own choice",
    "hydraulics.clearing.TESTED_SLOPE": "the end of what was measured, which marks an answer",
    "margins.guesses._FACTORS": "engineering estimates: how far guesses are off",
    "margins.guesses._STEPS": "engineering estimates: how far guesses are off",
    "margins.guesses._PUMP": "engineering estimate: how far pumps are off their curves",
    "margins.supply.AC_VOLTAGE": "common practice; a supply is judged, no flow follows from it",
    "margins.supply.DC_LEAST": "the range of a boat's battery, from memory",
    "margins.supply.DC_MOST": "the range of a boat's battery, from memory",
    "margins.supply._NOMINAL": "the names of batteries, in volts",
    "margins.supply._MEANS": "engineering estimate: how far a rating is from its battery's name",
    "margins.supply._SAME_FREQUENCY": "engineering estimate: an inverter's own error",
    "margins.heat.WATER_SHARE": "engineering estimate: makers do not print it",
    "margins.suction.NPSH_RATIO": "a rule of the trade: 1.1 to 2 by kind of service",
}


def constants() -> list[str]:
    """The constants asked, by module and name."""
    every = [name for package in PACKAGES for name in numbers_of(package)]
    return [name for name in every if name.rpartition(".")[2] not in ARITHMETIC]


def catching(name: str) -> list[str]:
    """Ids of the rows that miss their printed value with this constant a tenth off."""
    found: list[str] = []
    for factor in _FACTORS:
        with changed(name, factor):
            found += [row.id for row in ROWS if row.id not in found and not _agrees(row)]
    return found


def _agrees(row: Row) -> bool:
    try:
        return Row(**{key: getattr(row, key) for key in row.__dataclass_fields__}).agrees
    except (ValueError, ArithmeticError):
        return False


def main() -> None:
    """Prints the constants, each with the rows that catch it."""
    caught = {name: catching(name) for name in constants()}
    for name, rows in caught.items():
        print(f"{name}: {', '.join(rows[:4]) if rows else '-'}")
    count = sum(bool(rows) for rows in caught.values())
    print(f"{count} of {len(caught)} caught: {count / len(caught):.0%}")


if __name__ == "__main__":
    main()
