"""Findings about seacocks: missing, or shut in part."""

from loop.words.row import Row

_LOOK = (
    "check its hose and clamps each season; the lasting fix is a seacock there, or a higher outlet"
)
_LOOK_AT_ALL = (
    "check their hoses and clamps each season; the lasting fix is seacocks there, or higher outlets"
)

SEACOCKS: dict[str, Row] = {
    "seacock-off-hull": Row(
        title="Seacock not on the through-hull",
        levels=("warning", "note"),
        message=(
            "{first:name} holds {part:name} on the through-hull: if it breaks, the sea comes in "
            "and no seacock stops it"
        ),
        fix="with the boat out of the water, fit the seacock on the through-hull itself",
        basis=("through-hull",),
        cases={
            "fitting": {
                "instead": (
                    "if {first:name} is built into the hull, like a sea chest, leave it out of "
                    "the file: it counts as the intake"
                ),
            },
            "strong": {
                "message": (
                    "{first:name} holds {part:name} on the through-hull: it must be as strong as "
                    "both, and of the same metal"
                ),
                "fix": (
                    "check it each season; with the boat out of the water, fit the seacock on the "
                    "through-hull itself if it is plastic or brass, or moves by hand"
                ),
            },
        },
    ),
    "seacock-missing": Row(
        title="Seacock missing",
        levels=("danger", "warning", "note"),
        message=(
            "no seacock between the intake and the pump: if anything fails, the sea comes in and "
            "nothing stops it"
        ),
        fix="with the boat out of the water, fit a seacock on the through-hull",
        basis=("through-hull",),
        cases={
            "discharge": {
                "message": (
                    "{part:name} is {depth:height} under the water[ at the worst heel and trim, "
                    "{upright:height} upright,] and has no seacock: if its hose fails, the sea "
                    "comes in and nothing stops it"
                ),
                "several": (
                    "{count:counted} discharges without a seacock are under the water, "
                    "{part:name} the deepest by {depth:height}[ at the worst heel and trim, "
                    "{upright:height} upright]: if a hose fails, the sea comes in and nothing "
                    "stops it"
                ),
            },
            "heeled": {
                "message": (
                    "{part:name} dips {depth:height} under the water at the worst heel and trim, "
                    "and has no seacock: if its hose fails, the sea comes in and nothing stops it"
                ),
                "several": (
                    "{count:counted} discharges without a seacock dip under the water at the "
                    "worst heel and trim, {part:name} the deepest by {depth:height}: if a hose "
                    "fails, the sea comes in and nothing stops it"
                ),
            },
            "waves": {
                "message": (
                    "waves of {waves:height} put {part:name} {depth:height} under the water, and "
                    "it has no seacock: if its hose fails, the sea comes in with each wave"
                ),
                "several": (
                    "waves of {waves:height} put {count:counted} discharges without a seacock "
                    "under the water, {part:name} the deepest by {depth:height}: if a hose fails, "
                    "the sea comes in with each wave"
                ),
            },
            "stepped": {
                "message": (
                    "people stepping aboard bring a boat down {moved:height}, which puts "
                    "{part:name} {depth:height} under the water, and it has no seacock: if its "
                    "hose fails, the sea comes in"
                ),
                "several": (
                    "people stepping aboard bring a boat down {moved:height}, which puts "
                    "{count:counted} discharges without a seacock under the water, {part:name} "
                    "the deepest by {depth:height}: if a hose fails, the sea comes in"
                ),
            },
            "heeled-near": {
                "message": (
                    "with people aboard, who bring a boat down {moved:height}, {part:name} dips "
                    "{depth:height} under the water at the worst heel and trim, and has no "
                    "seacock: if its hose fails, the sea comes in"
                ),
                "several": (
                    "with people aboard, who bring a boat down {moved:height}, {count:counted} "
                    "discharges without a seacock dip under the water at the worst heel and trim, "
                    "{part:name} the deepest by {depth:height}: if a hose fails, the sea comes in"
                ),
            },
            "heeled-stepped": {
                "message": (
                    "people stepping aboard bring a boat down {moved:height}, which puts "
                    "{part:name}, without a seacock, {depth:height} under the water at the worst "
                    "heel and trim"
                ),
                "fix": _LOOK,
                "several": (
                    "people stepping aboard bring a boat down {moved:height}, which puts "
                    "{count:counted} discharges without a seacock under the water at the worst "
                    "heel and trim, {part:name} the deepest by {depth:height}"
                ),
                "several_fix": _LOOK_AT_ALL,
            },
            "heeled-waves": {
                "message": (
                    "at the worst heel and trim, waves of {waves:height} reach {depth:height} "
                    "above {part:name}, which has no seacock"
                ),
                "fix": _LOOK,
                "several": (
                    "at the worst heel and trim, waves of {waves:height} reach above "
                    "{count:counted} discharges that have no seacock, {depth:height} above "
                    "{part:name}"
                ),
                "several_fix": _LOOK_AT_ALL,
            },
            "far-outlet": {
                "message": (
                    "{cock:name} is not on the through-hull of {part:name}, which comes "
                    "{depth:height} under the water[ in waves of {waves:height}][ as people "
                    "stepping aboard bring a boat down {moved:height}]: if {first:name} fails, "
                    "the sea comes in and no seacock stops it"
                ),
                "several": (
                    "the seacocks of {count:counted} discharges that come under the water are not "
                    "on their through-hulls, {part:name} the deepest by {depth:height}: if a hose "
                    "between fails, the sea comes in and no seacock stops it"
                ),
            },
            "far-heeled": {
                "message": (
                    "{cock:name} is not on the through-hull of {part:name}, which dips "
                    "{depth:height} under the water at the worst heel and trim[ in waves of "
                    "{waves:height}][ as people aboard bring a boat down {moved:height}]: if "
                    "{first:name} fails, the sea comes in and no seacock stops it"
                ),
                "several": (
                    "the seacocks of {count:counted} discharges that dip under the water at the "
                    "worst heel and trim are not on their through-hulls, {part:name} the deepest "
                    "by {depth:height}: if a hose between fails, the sea comes in and no seacock "
                    "stops it"
                ),
            },
            "far": {
                "message": (
                    "{part:name} is not on the through-hull: if {first:name} fails, the sea comes "
                    "in and no seacock stops it"
                ),
                "fix": ("with the boat out of the water, fit a seacock on the through-hull itself"),
            },
        },
    ),
    "discharge-kept-out": Row(
        title="Discharge under water, sea kept out",
        levels=("note",),
        message=(
            "{part:name} is[ {depth:height}] under the water: its stream cannot be seen. Its "
            "seacock and the vented loop before it keep the sea out"
        ),
        fix=(
            "check the vent each season, since salt clogs it, and shut the seacock when you leave "
            "the boat"
        ),
        several=(
            "{count:counted} discharges are under the water, {part:name} the deepest by "
            "{depth:height}: their streams cannot be seen. Seacocks and vented loops keep the sea "
            "out"
        ),
        several_fix=(
            "check the vents each season, since salt clogs them, and shut the seacocks when you "
            "leave the boat"
        ),
        basis=("common practice", "through-hull"),
    ),
    "discharge-dips": Row(
        title="Discharge dips under water",
        levels=("note",),
        message=(
            "{part:name} dips {depth:height} under the water at the worst heel and trim, and no "
            "siphon break is high enough before it: if a hose fails then, or a strainer is "
            "opened, the sea comes in"
        ),
        fix=(
            "before she gets under way, with the pump switched off at its breaker, shut "
            "{cock:name}, and open it before the pump runs again; the lasting fix is a vented "
            "loop after the unit, {least:height.up} above the waterline or higher"
        ),
        several=(
            "{count:counted} discharges dip under the water at the worst heel and trim, "
            "{part:name} the deepest by {depth:height}, and no siphon break is high enough before "
            "them: if a hose fails then, or a strainer is opened, the sea comes in"
        ),
        several_fix=(
            "before she gets under way, with the pump switched off at its breaker, shut their "
            "seacocks, and open them before the pump runs again; the lasting fix is vented "
            "loops after the units, {least:height.up} above the waterline or higher"
        ),
        basis=("common practice", "through-hull"),
    ),
    "seacock-part-shut": Row(
        title="Seacock part shut",
        levels=("warning", "note"),
        message=(
            "{part:name} is {angle:angle} from open[ and takes {taken:head} of the pump's "
            "{head:head}]: a seacock belongs fully open or fully shut. Throttling before the pump "
            "invites air and cavitation, and the handle is easily bumped"
        ),
        fix=(
            "open {part:name} fully; if that is too much water, throttle after the pump, or "
            "{power}fit a smaller pump"
        ),
        basis=("common practice", "valve"),
        cases={
            "above": {
                "message": (
                    "{part:name}, at an outlet above the water, is {angle:angle} from open[ and "
                    "takes {taken:head} of the pump's {head:head}][; open, it passes "
                    "{opened:flow|flow} instead of {flow:flow|opened}]"
                ),
                "fix": (
                    "open {part:name} fully, unless it is set there to throttle: then mark the "
                    "handle"
                ),
            },
            "outlet": {
                "message": (
                    "{part:name} is {angle:angle} from open[ and takes {taken:head} of the pump's "
                    "{head:head}]: it must shut when needed, and a handle left part shut sticks "
                    "or gets moved"
                ),
                "fix": "open {part:name} fully, and throttle, where needed, with a separate valve",
            },
        },
    ),
}
