"""The program's version, asked of the installation only where it is shown."""

UNINSTALLED = "uninstalled"


def program_version() -> str:
    """The version that is installed; "uninstalled" where the program runs from its source."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("seawater-loop")
    except PackageNotFoundError:
        return UNINSTALLED
