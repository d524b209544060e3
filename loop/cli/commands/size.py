"""Options of `loop size`."""

from typing import Annotated

import typer

from loop.cli.options import ForceOption, JobPath, JsonOption, UnitsOption, runs


def _bores(what: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(
        metavar="SIZES", help=f"Bores to try {what}, separated by commas.", show_default=False
    )
    return option


def _text(metavar: str, what: str) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(metavar=metavar, help=what, show_default=False)
    return option


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
        str | None, _text("PUMPS", "Pumps to try: names or files, separated by commas.")
    ] = None,
    service_blocked: Annotated[
        str | None, _text("SHARE", 'How dirty the strainer may get: "50 %".')
    ] = None,
    service_scale: Annotated[
        str | None, _text("THICKNESS", 'Scale in the tubes: "0.2 mm".')
    ] = None,
    warmest_sea: Annotated[str | None, _text("TEMPERATURE", 'Warmest sea: "90 degF".')] = None,
    lowest_supply: Annotated[
        str | None, _text("VOLTS", 'Lowest supply of a DC pump: "11.5 V".')
    ] = None,
    confidence: Annotated[
        str | None, _text("SHARE", 'Chance required of every unit: "90 %".')
    ] = None,
    draws: Annotated[
        int, typer.Option(metavar="N", min=1, max=100_000, help="Monte Carlo samples per option.")
    ] = 1000,
    seed: Annotated[int, typer.Option(metavar="N", min=0, help="Seed of the samples.")] = 1,
    figure: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Draw the answer as well.", show_default=False),
    ] = None,
    write: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="Write the job with the choice.", show_default=False),
    ] = None,
    everything: Annotated[bool, typer.Option("--all", help="List every option.")] = False,
    force: ForceOption = False,
) -> None:
    """Choose hose and pump: every combination at its worst service, with the odds.

    Values not given here come from the job's [sizing].

    Example:  loop size examples/kittiwake.toml --pressure-bores "5/8 in, 3/4 in, 1 in"
    """
