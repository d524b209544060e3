"""Options of `loop page`."""

from typing import Annotated

import typer

from loop.cli.options import runs


@runs("loop.cli.page")
def page(
    folder: Annotated[
        str,
        typer.Argument(
            metavar="[FOLDER]", help="Where the job files are, or one of them.", show_default=False
        ),
    ] = ".",
    port: Annotated[
        int,
        typer.Option(
            "--port",
            min=0,
            max=65535,
            help="Port; the folder's own, or a free one, where left out.",
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
            help="For the wall of a classroom: large; what is moved there changes no file.",
        ),
    ] = False,
) -> None:
    """Open the page: change a loop and watch it answer.

    Example:  loop page examples
    """
