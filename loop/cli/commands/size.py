"""Options of `loop size`."""

from typing import Annotated, Any

import typer

from loop.cli.options import ForceOption, JobPath, JsonOption, UnitsOption, runs, takes


def _bores(what: str) -> Any:
    return takes("SIZES", f"Bores to try {what}, separated by commas.")


@runs("loop.cli.size", draws=True)
def size(
    job: JobPath,
    units: UnitsOption = None,
    as_json: JsonOption = False,
    bores: Annotated[str | None, _bores("on both sides")] = None,
    suction_bores: Annotated[str | None, _bores("before the pump")] = None,
    pressure_bores: Annotated[str | None, _bores("after the pump")] = None,
    branch_bores: Annotated[str | None, _bores("in branches")] = None,
    barb_bores: Annotated[str | None, _bores("for the barbs")] = None,
    seacock_bores: Annotated[str | None, _bores("for the seacock and its intake")] = None,
    pumps: Annotated[
        str | None, takes("PUMPS", "Pumps to try: names or files, separated by commas.")
    ] = None,
    service_blocked: Annotated[
        str | None, takes("SHARE", 'How dirty the strainer may get: "50 %".')
    ] = None,
    service_scale: Annotated[
        str | None, takes("THICKNESS", 'Scale in the tubes: "0.2 mm".')
    ] = None,
    warmest_sea: Annotated[str | None, takes("TEMPERATURE", 'Warmest sea: "90 degF".')] = None,
    lowest_supply: Annotated[
        str | None, takes("VOLTS", 'Lowest supply of a DC pump: "11.5 V".')
    ] = None,
    confidence: Annotated[
        str | None, takes("SHARE", 'Chance required of every unit: "90 %".')
    ] = None,
    draws: Annotated[int, takes("N", "Monte Carlo samples per option.", min=1, max=100_000)] = 1000,
    seed: Annotated[int, takes("N", "Seed of the samples.", min=0)] = 1,
    figure: Annotated[str | None, takes("FILE", "Draw the answer as well.")] = None,
    write: Annotated[str | None, takes("FILE", "Write the job with the choice.")] = None,
    everything: Annotated[bool, typer.Option("--all", help="Check and list every option.")] = False,
    force: ForceOption = False,
) -> None:
    """Choose hose and pump: every combination at its worst service, with the odds.

    Values not given here come from the job's [sizing].

    Example:  loop size examples/kittiwake.toml --pressure-bores "5/8 in, 3/4 in, 1 in"
    """
