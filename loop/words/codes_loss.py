"""Findings about rated losses and bores that hardly any real part has."""

from loop.words.row import Row


def _small(what: str, clean: str = "") -> str:
    """Message for a loss that is possible but smaller than parts of this kind have."""
    return (
        f"by the file {{part:name}} loses {{lost:pressure.significant}}{clean} at {{flow:flow}}; "
        f"{what} rarely lose less than {{small:pressure.significant}}"
    )


LOSSES: dict[str, Row] = {
    "bore-doubtful": Row(
        title="Stated bore doubtful",
        levels=("warning",),
        message=(
            "the file gives {part:name} a bore of {bore:bore}, and the pump a port of "
            "{port:bore}: no hose is that much wider, and one that wide loses hardly any head"
        ),
        fix=(
            "check the bore in the file, its unit and decimal point, and that of every part that "
            "takes it from defaults"
        ),
        basis=("engineering estimate",),
    ),
    "loss-doubtful": Row(
        title="Stated loss doubtful",
        levels=("warning", "note"),
        message=(
            "by the file {part:name} loses {lost:pressure.significant} at {flow:flow}; none on "
            "the market loses less than {least:pressure.significant}"
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
                    "hose has, {unit} may get only {low:flow|needed} of the {needed:flow|low} it "
                    "needs"
                ),
                "fix": (
                    "check barbs in the file: leave it out for hose; 0 is for pipe with glued or "
                    "threaded ends, which also states its lining, smooth plastic, or a roughness"
                ),
            },
            "small-condenser": {"message": _small("condensers of its capacity")},
            "small-strainer": {"message": _small("strainers of its bore", ", clean,")},
            "condenser": {
                "message": (
                    "by the file {part:name} loses {lost:pressure|most} at {flow:flow}; "
                    "condensers of its capacity rarely lose more than {most:pressure|lost}"
                ),
                "fix": (
                    "check its rated loss, and the flow at which it is rated, against the "
                    "datasheet: a decimal point may have slipped; if it was measured, have the "
                    "condenser descaled and measure again"
                ),
            },
            "strainer": {
                "message": (
                    "by the file {part:name} loses {lost:pressure|most}, clean, at {flow:flow}; "
                    "strainers of its bore rarely lose more than {most:pressure|lost}"
                ),
                "fix": (
                    "check its rated loss, and the flow at which it is rated, against the "
                    "datasheet: a decimal point may have slipped; if it was measured, "
                    "{basket}clean the basket and measure again"
                ),
            },
        },
    ),
}
