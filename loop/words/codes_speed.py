"""Findings about the water's speed, and steps in bore."""

from loop.words.row import Row

_RUNS = "the water runs at {speed:velocity|limit}, "

_WAITS = (
    "Every unit gets enough and the suction head is ample, so it can wait for the next haul-out"
)

SPEED: dict[str, Row] = {
    "suction-fast": Row(
        title="Water too fast in a suction hose",
        levels=("warning",),
        message=(
            f"{_RUNS}over the {{limit:velocity|speed}} limit for suction hose: its loss takes from "
            "the little head there is before the pump"
        ),
        fix="{sea}fit the next larger hose, and check again: larger hose holds air more easily",
        several=(
            "in {count:counted} suction hoses the water runs over {limit:velocity|speed}, fastest "
            "in {here:name} at {speed:velocity|limit}: their loss takes from the little head "
            "there is before the pump"
        ),
        basis=("common practice",),
    ),
    "hose-fast": Row(
        title="Water too fast in a hose",
        levels=("warning",),
        message=(
            f"{_RUNS}over the {{limit:velocity|speed}} limit for pressure hose: loss and noise "
            "grow with the square of the speed"
        ),
        fix="{sea}fit the next larger hose, and check again: larger hose holds air more easily",
        several=(
            "in {count:counted} pressure hoses the water runs over {limit:velocity|speed}, "
            "fastest in {here:name} at {speed:velocity|limit}: loss and noise grow with the "
            "square of the speed"
        ),
        basis=("common practice",),
    ),
    "inlet-fast": Row(
        title="Water too fast in a seacock or through-hull",
        levels=("warning", "note"),
        message=(
            f"{_RUNS}over the {{limit:velocity|speed}} limit for a through-hull or seacock before "
            "the pump: its loss takes from the little head there is before the pump"
        ),
        fix=(
            "with the boat out of the water, fit a through-hull and seacock of the next larger size"
        ),
        several=(
            "in {parts:names} the water runs over {limit:velocity|speed}, fastest in {here:name} "
            "at {speed:velocity|limit}: their loss takes from the little head there is before the "
            "pump"
        ),
        basis=("common practice",),
        cases={
            "grate": {
                "message": (
                    "the water runs at {speed:velocity|limit} through the openings of the grate, "
                    "over the {limit:velocity|speed} limit for an inlet before the pump: its loss "
                    "takes from the little head there is before the pump"
                ),
                "fix": "with the boat out of the water, fit a grate with more open area",
            },
            "ample": {
                "message": (
                    f"{_RUNS}over the {{limit:velocity|speed}} limit for a through-hull or seacock "
                    f"before the pump. {_WAITS}"
                ),
                "several": (
                    "in {parts:names} the water runs over {limit:velocity|speed}, fastest in "
                    f"{{here:name}} at {{speed:velocity|limit}}. {_WAITS}"
                ),
            },
            "grate-ample": {
                "message": (
                    "the water runs at {speed:velocity|limit} through the openings of the grate, "
                    f"over the {{limit:velocity|speed}} limit for an inlet before the pump. "
                    f"{_WAITS}"
                ),
            },
        },
    ),
    "hose-slow": Row(
        title="Water slow in a hose",
        levels=("note",),
        message=f"{_RUNS}under {{limit:velocity|speed}}: air collects and silt settles there",
        fix="keep the hose rising all the way, so that no air can collect",
        several=(
            "in {count:counted} hoses the water runs under {limit:velocity|speed}, slowest in "
            "{here:name} at {speed:velocity|limit}: air collects and silt settles there"
        ),
        basis=("common practice",),
    ),
    "tube-fast": Row(
        title="Water too fast in a condenser tube",
        levels=("warning",),
        message=(
            "the water runs at {speed:velocity|limit} in the tube of {part:name}, over "
            "{limit:velocity|speed}: that erodes copper-nickel"
        ),
        fix=(
            "throttled to {most:flow} the unit would have no margin: it needs a tube of "
            "{bore:bore.up} or more, or tubes side by side"
        ),
        several=(
            "in the tubes of {count:counted} condensers the water runs over "
            "{limit:velocity|speed}, fastest in {part:name} at {speed:velocity|limit}: that "
            "erodes copper-nickel"
        ),
        basis=("copper-nickel", "valve"),
        cases={
            "narrow": {
                "fix": (
                    "even the required {needed:flow} is too fast for this tube: it needs a tube "
                    "of {bore:bore.up} or more, or tubes side by side"
                ),
            },
        },
    ),
    "tube-slow": Row(
        title="Water slow in a condenser tube",
        levels=("note",),
        message=(
            "the water runs at {speed:velocity|limit} in the tube of {part:name}, under "
            "{limit:velocity|speed}: silt and growth settle there"
        ),
        fix="{enough:flow.up} or more keeps it clean; with less, flush it more often",
        several=(
            "in the tubes of {count:counted} condensers the water runs under "
            "{limit:velocity|speed}, slowest in {part:name} at {speed:velocity|limit}: silt and "
            "growth settle there"
        ),
        basis=("copper-nickel",),
        cases={
            "excess": {
                "fix": (
                    "flush it more often: {enough:flow.up}, which would keep it clean, is more "
                    "than the unit can use"
                ),
            },
        },
    ),
    "bore-step": Row(
        title="Step in bore",
        levels=("note",),
        message=(
            "the bore changes from {bore:bore} to {to:bore} at the start of this part[, which "
            "costs {lost:head} of the pump's head]"
        ),
        fix=(
            "{sea}fit an adapter {bore:bore} to {to:bore}, flat side up so that it holds no air, "
            "or use one bore throughout"
        ),
        basis=("common practice", "step"),
    ),
}
