"""Findings about the intake, the suction line and the pump's inlet."""

from loop.words.row import Row

_ATTITUDE = (
    "[heeled {heel:angle}, ][trimmed {trim:angle}, ][in waves of {waves:height}, ][riding "
    "{light:height} higher when light, ]"
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
            "with the boat out of the water, move the intake {lower:height.up} lower[, or nearer "
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
            "the scoop faces aft: under way the water pulls at its mouth instead of pushing into "
            "it[, {lost:head} at {speed:speed}]"
        ),
        fix="with the boat out of the water, turn the scoop to face forward, or fit a flush grate",
        basis=("scoop",),
    ),
    "suction-hump": Row(
        title="High point in the suction line",
        levels=("warning",),
        message=(
            "the suction line has a high point at {at:spot}: it holds air, which the pump must "
            "pull past; {drop:height} of that air is in the falling leg"
        ),
        fix=("{sea}route the suction line so that it rises all the way from the sea to the pump"),
        basis=("rising suction",),
        cases={
            "across": {
                "message": (
                    "the suction line crosses from hull to hull at {at:spot}: there it holds air, "
                    "which the pump must pull past at each start"
                ),
                "fix": f"{_OWN_INTAKE}, and route the line so that it rises all the way",
            },
        },
    ),
    "suction-above-water": Row(
        title="High point above the waterline in the suction",
        levels=("danger",),
        message=(
            "the suction line has a high point at {at:spot}: it holds air that the sea cannot "
            "push out, and the pump, which is not self-priming, runs dry"
        ),
        fix="{sea}route the suction line below the waterline, rising all the way to the pump",
        basis=("rising suction",),
        cases={
            "across": {
                "message": (
                    "the suction line crosses from hull to hull at {at:spot}: there it holds air "
                    "that the sea cannot push out, and the pump, which is not self-priming, runs "
                    "dry"
                ),
                "fix": f"{_OWN_INTAKE}, or {{power}}fit a self-priming pump",
                "instead": _OWN_INTAKE,
            },
            "attitude": {
                "message": (
                    "the suction line has a high point at {at:spot}, and at the worst heel, trim "
                    "and load it is {above:height.up} above the water: it holds air that the sea "
                    "cannot push out, and the pump, which is not self-priming, runs dry"
                ),
            },
        },
    ),
    "suction-level": Row(
        title="Suction hose runs level",
        levels=("note",),
        message=(
            "{part:name} runs level for {length:length}: where it sags or crosses a frame, air "
            "stays before the pump"
        ),
        fix="{sea}route it to rise all the way to the pump, {rise:height.up} over that run",
        several=(
            "{count:counted} hoses before the pump run level, {part:name} for {length:length}: "
            "where one sags or crosses a frame, air stays before the pump"
        ),
        several_fix="{sea}route them to rise all the way to the pump",
        basis=("common practice", "engineering estimate"),
    ),
    "pump-above-water": Row(
        title="Pump above the water",
        levels=("danger", "warning"),
        message=(
            "the pump is {above:height.up} above the water and is not self-priming: once "
            "air-bound it pumps nothing"
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
                    "under the water; less than {least:height|depth} leaves air in its casing, "
                    "and it may not prime"
                ),
            },
            "lift": {
                "message": (
                    "the pump is self-priming, but {above:height|least} above the water: over "
                    "{least:height|above}, small pumps often cannot clear the hose of air"
                ),
                "fix": (
                    "{power}mount the pump no more than {least:height.down} above the waterline, "
                    "or make sure that its maker states a higher priming lift"
                ),
            },
            "attitude": {
                "message": (
                    "at the worst heel, trim and load the pump is {above:height.up} above the "
                    "water and is not self-priming: once air-bound it pumps nothing"
                ),
            },
        },
    ),
    "strainer-above-water": Row(
        title="Strainer above the water",
        levels=("warning",),
        message=(
            "{part:name} is {above:height} above the waterline: it drains when the pump stops, "
            "and traps air under its lid"
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
            "required. It cavitates: noise and impeller damage"
        ),
        fix=(
            "gain {more:head.up} on the suction side: {power}lower the pump, shorten the hose or "
            "fit the next larger size, or clean the strainer"
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
            "raise the pressure there: {power}lower the pump or the line, fit the next larger "
            "hose before it, clean the strainer, or throttle after the pump"
        ),
        basis=("vapor",),
    ),
}
