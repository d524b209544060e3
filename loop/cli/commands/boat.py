"""Options of several commands: readings, and the boat of a call without a job file."""

import inspect
from collections.abc import Callable
from typing import Annotated, Any

import typer

from loop.cli.options import takes

ToolsOption = Annotated[str | None, takes("TOOLS", 'Tools at hand, such as "bucket, thermometer".')]
ReadingsWords = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="READINGS", help='Readings file (TOML), or each such as "flow=150 gal/h".'
    ),
]
ReadingOption = Annotated[
    list[str] | None,
    takes("READING", 'One reading, such as "flow=150 gal/h"; may be repeated.', "--reading", "-r"),
]
JobOrNone = Annotated[
    str | None, typer.Argument(metavar="JOB", help="Job file (TOML).", show_default=False)
]
# Text options: name, what to write there, help.
_BOAT = (
    ("unit", "COOLING", 'No job file: the unit\'s cooling, such as "12000 BTU/h".'),
    ("bore", "BORE", "With --unit: bore of the hose, if known."),
    ("length", "LENGTH", "With --unit: length of all hose, if known."),
    ("pump", "PUMP", 'With --unit: the pump: a name, or a nameplate, such as "350 gal/h, 12 ft".'),
    ("pump-height", "HEIGHT", 'With --unit: the pump\'s height, such as "-10 in".'),
    ("sea", "TEMPERATURE", "With --unit: the warmest sea the boat meets."),
    ("supply", "SUPPLY", 'With --unit: what the pump runs on: "230 V 50 Hz", "24 V"; else 115 V.'),
)
_YES_OR_NO = {
    "bleed": "With --unit: there is a bleed at the pump's outlet.",
    "dc": 'With --unit: the same as --supply "12 V".',
}


def with_boat(command: Callable[..., None]) -> Callable[..., None]:
    """The command with these options after its own, passed by name."""
    options = [
        *(_option(name, str | None, None, told, written) for name, written, told in _BOAT),
        *(_option(name, bool, False, told) for name, told in _YES_OR_NO.items()),
    ]
    signature = inspect.signature(command)
    own = signature.parameters.values()
    command.__signature__ = signature.replace(parameters=[*own, *options])  # type: ignore[attr-defined]
    command.__annotations__ |= {one.name: one.annotation for one in options}
    return command


def _option(
    name: str, kind: Any, usual: object, told: str, written: str | None = None
) -> inspect.Parameter:
    return inspect.Parameter(
        name.replace("-", "_"),
        inspect.Parameter.POSITIONAL_OR_KEYWORD,
        default=usual,
        annotation=Annotated[kind, typer.Option(f"--{name}", metavar=written, help=told)],
    )
