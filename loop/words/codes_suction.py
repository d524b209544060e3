"""Findings about the intake, the suction line and the pump's inlet."""

from loop.words.row import Row

_ATTITUDE = (
    "[heeled {heel:angle}, ][trimmed {trim:angle}, ][in waves of {waves:height}, ]"
    "[risen {light:height} when light, ]"
)

_OWN_INTAKE = "with the boat out of the water, fit an intake in the pump's own hull"

SUCTION: dict[str, Row] = {
    "intake-shallow": Row(
        title="Intake too shallow",
        levels=("danger", "warning"),
        message=(
            f"{_ATTITUDE}the intake is {{worst:height|needed}} deep; at less than "
            "{needed:height|worst} it draws air"
        ),
        fix=(
            "with the boat out of the water, bring the intake down {lower:height.up}[, or nearer "
            "the centerline, where a heel of {heel:angle} lifts it less]"
        ),
        basis=("submergence",),
        cases={
            "docked": {
                "message": (
                    "the intake is out of the water[, {above:height} above the waterline,] with "
                    "the boat upright at the dock: the pump runs dry"
                ),
            },
            "out": {
                "message": (f"{_ATTITUDE}the intake comes out of the water: the pump runs dry"),
            },
        },
    ),
    "intake-facing-aft": Row(
        title="Scoop faces aft",
        levels=("warning", "note"),
        message=(
            "the scoop faces aft: under way the water pulls at its mouth instead of pushing"
            "[, {lost:head} at {speed:speed}]"
        ),
        fix="with the boat out of the water, turn the scoop to face forward, or fit a flush grate",
        basis=("scoop",),
    ),
    "suction-hump": Row(
        title="High point in the suction line",
        levels=("warning",),
        message=(
            "the suction line has a high point at {at:spot}: it holds air, which the pump must "
            "pull past; {drop:height} of it stands in the falling leg"
        ),
        fix=("{sea}lead the suction line so that it rises all the way from the sea to the pump"),
        basis=("rising suction",),
        cases={
            "across": {
                "message": (
                    "the suction line crosses from hull to hull at {at:spot}: there it holds air, "
                    "which the pump must pull past at each start"
                ),
                "fix": f"{_OWN_INTAKE}, and lead the line so that it rises all the way",
            },
        },
    ),
    "suction-above-water": Row(
        title="High point above the waterline in the suction",
        levels=("danger",),
        message=(
            "the suction line has a high point at {at:spot}: it holds air that the sea cannot push "
            "out, and the pump, which does not prime itself, runs dry"
        ),
        fix=(
            "{sea}lead the suction line below the waterline, so that it rises "
            "all the way to the pump"
        ),
        basis=("rising suction",),
        cases={
            "across": {
                "message": (
                    "the suction line crosses from hull to hull at {at:spot}: there it holds air "
                    "that the sea cannot push out, and the pump, which does not prime itself, runs "
                    "dry"
                ),
                "fix": f"{_OWN_INTAKE}, or {{power}}fit a self-priming pump",
                "instead": _OWN_INTAKE,
            },
            "attitude": {
                "message": (
                    "the suction line has a high point at {at:spot}, and at the worst heel, trim "
                    "and load it is {above:height.up} above the water: it holds air that the sea "
                    "cannot push out, and the pump, which does not prime itself, runs dry"
                ),
            },
        },
    ),
    "suction-level": Row(
        title="Suction hose lies level",
        levels=("note",),
        message=(
            "{part:name} lies level for {length:length}: where it sags, or goes over a frame, air "
            "stays before the pump"
        ),
        fix="{sea}lead it so that it rises all the way to the pump, {rise:height.up} over that run",
        several=(
            "{count:counted} hoses before the pump lie level, {part:name} for {length:length}: "
            "where one sags, or goes over a frame, air stays before the pump"
        ),
        several_fix="{sea}lead them so that they rise all the way to the pump",
        basis=("common practice", "engineering estimate"),
    ),
    "pump-above-water": Row(
        title="Pump above the water",
        levels=("danger", "warning"),
        message=(
            "the pump stands {above:height.up} above the water and does not prime itself: once it "
            "holds air it pumps nothing"
        ),
        fix=(
            "{power}mount the pump below the waterline at the worst heel, trim and load, or fit a "
            "self-priming pump"
        ),
        basis=("common practice",),
        cases={
            "barely": {
                "message": (
                    "at the worst heel, trim and load the pump's port is {depth:height|least} "
                    "under the water, and less than {least:height|depth} leaves air in its "
                    "casing: it may not prime"
                ),
            },
            "lift": {
                "message": (
                    "the pump primes itself, but stands {above:height|least} above the water: over "
                    "{least:height|above} small ones often cannot empty the hose of its air"
                ),
                "fix": (
                    "{power}mount the pump no more than {least:height.down} above the waterline, "
                    "or make sure that its maker states a greater lift for priming"
                ),
            },
            "attitude": {
                "message": (
                    "at the worst heel, trim and load the pump stands {above:height.up} above the "
                    "water and does not prime itself: once it holds air it pumps nothing"
                ),
            },
        },
    ),
    "strainer-above-water": Row(
        title="Strainer above the water",
        levels=("warning",),
        message=(
            "{part:name} stands {above:height} above the waterline: it drains when the pump "
            "stops, and traps air under its lid"
        ),
        fix="{sea}mount it below the waterline at the lightest load",
        basis=("common practice",),
    ),
    "cavitation": Row(
        title="Pump cavitates",
        levels=("danger", "warning"),
        message=(
            "the pump has {available:head|required} of suction head (NPSH) and needs "
            "{required:head|available}, a ratio of {ratio:number.2} where {least:number.1} is "
            "asked. It cavitates: noise and impeller damage"
        ),
        fix=(
            "gain {more:head.up} on the suction side: {power}lower the pump, shorten the "
            "hose or fit the next size, clean the strainer"
        ),
        basis=("npsh", "vapor"),
        cases={
            "unknown": {
                "message": (
                    "the pump has {available:head|required} of suction head (NPSH); its file does "
                    "not say what it needs, and less than {required:head|available} is doubtful"
                ),
            },
        },
    ),
    "boiling": Row(
        title="Water boils",
        levels=("danger",),
        message=(
            "the pressure at {part:name} falls to {gauge:pressure}, at which this water boils: "
            "the loop cannot run as calculated, and the pump is damaged"
        ),
        fix=(
            "raise the pressure there: {power}lower the pump or the line, fit the next hose size "
            "before it, clean the strainer, or throttle after the pump"
        ),
        basis=("vapor",),
    ),
}
