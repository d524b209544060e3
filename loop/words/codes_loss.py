"""Findings about rated losses and bores that hardly any part of a loop has."""

from loop.words.row import Row


def _small(what: str, clean: str = "") -> str:
    """What is said of a loss that is not impossible, and smaller than such parts have."""
    return (
        f"at {{flow:flow}} {{part:name}} loses {{lost:pressure.significant}}{clean} by the figure "
        f"in the file; {what} hardly lose less than {{small:pressure.significant}}"
    )


LOSSES: dict[str, Row] = {
    "bore-doubtful": Row(
        title="Stated bore doubtful",
        levels=("warning",),
        message=(
            "{part:name} has a bore of {bore:bore} by the file, and the pump a port of "
            "{port:bore}: no hose is so much wider, and hardly any head is lost in one"
        ),
        fix=(
            "check the bore in the file, its unit and its point, and that of every part that takes "
            "it from defaults"
        ),
        basis=("engineering estimate",),
    ),
    "loss-doubtful": Row(
        title="Stated loss doubtful",
        levels=("warning", "note"),
        message=(
            "at {flow:flow} {part:name} loses {lost:pressure.significant} by the figure in the "
            "file; none that is made loses less than {least:pressure.significant}"
        ),
        fix=(
            "check its rated loss, and the flow at which it is rated, against the datasheet: a "
            "digit may be wrong"
        ),
        basis=("engineering estimate",),
        cases={
            "barbs": {
                "message": (
                    "the file gives {parts:names} no barbed ends (barbs = 0): with two each, as "
                    "hose has, {unit} may get only {low:flow|needed} of the {needed:flow|low} that "
                    "it needs"
                ),
                "fix": (
                    "check barbs in the file: for hose leave it out; 0 is for pipe with its ends "
                    "glued or screwed, and that says so: lining smooth plastic, or a roughness"
                ),
            },
            "small-condenser": {"message": _small("condensers of its cooling")},
            "small-strainer": {"message": _small("strainers of its bore", ", clean,")},
            "condenser": {
                "message": (
                    "at {flow:flow} {part:name} loses {lost:pressure|most} by the figure in the "
                    "file; condensers of its cooling hardly lose more than {most:pressure|lost}"
                ),
                "fix": (
                    "check its rated loss, and the flow at which it is rated, against the "
                    "datasheet: a point may have slipped; where it was measured, have the "
                    "condenser descaled and measure again"
                ),
            },
            "strainer": {
                "message": (
                    "at {flow:flow} {part:name} loses {lost:pressure|most}, clean, by the figure "
                    "in the file; strainers of its bore hardly lose more than {most:pressure|lost}"
                ),
                "fix": (
                    "check its rated loss, and the flow at which it is rated, against the "
                    "datasheet: a point may have slipped; where it was measured, {basket}clean the "
                    "basket and measure again"
                ),
            },
        },
    ),
}
