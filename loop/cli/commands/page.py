"""Options of `loop page`."""

from typing import Annotated

import typer

from loop.cli.options import runs, takes


@runs("loop.cli.page")
def page(
    folder: Annotated[
        str,
        typer.Argument(
            metavar="FOLDER", help="Folder of job files, or one job file.", show_default=False
        ),
    ] = ".",
    port: Annotated[
        int,
        takes(
            "N",
            "Port; the folder's own, or a free one, if left out.",
            min=0,
            max=65535,
            show_default=False,
        ),
    ] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Print the address; open nothing.")
    ] = False,
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Let a phone on the same network in, with a token."),
    ] = False,
    show: Annotated[
        bool,
        typer.Option(
            "--show",
            help="For a classroom wall: large; changes made there are not saved.",
        ),
    ] = False,
) -> None:
    """Open the page: change a loop and watch it answer.

    Example:  loop page examples
    """
