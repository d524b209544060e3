"""Options that several commands have: the boat of a call where there is no job file."""

from typing import Annotated

import typer

ToolsOption = Annotated[
    str | None, typer.Option("--tools", help='Tools at hand, as "bucket, thermometer".')
]
UnitOption = Annotated[
    str | None,
    typer.Option("--unit", help='No job file: the unit\'s cooling, as "12000 BTU/h".'),
]
BoreOption = Annotated[
    str | None, typer.Option("--bore", help="With --unit: bore of the hose, where known.")
]
LengthOption = Annotated[
    str | None, typer.Option("--length", help="With --unit: length of all hose, where known.")
]
PumpOption = Annotated[
    str | None, typer.Option("--pump", help="With --unit: the pump, a name of the catalogue.")
]
PumpHeightOption = Annotated[
    str | None, typer.Option("--pump-height", help='With --unit: the pump\'s height, as "-10 in".')
]
BleedOption = Annotated[
    bool, typer.Option("--bleed", help="With --unit: there is a bleed at the pump's outlet.")
]
SeaOption = Annotated[
    str | None, typer.Option("--sea", help="With --unit: the warmest sea the boat meets.")
]
DcOption = Annotated[bool, typer.Option("--dc", help="With --unit: the pump runs on 12 V.")]
