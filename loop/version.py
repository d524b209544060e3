"""The program's version, looked up in the installation only when shown."""

UNINSTALLED = "uninstalled"


def program_version() -> str:
    """The installed version; "uninstalled" if the program runs from source."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("seawater-loop")
    except PackageNotFoundError:
        return UNINSTALLED
