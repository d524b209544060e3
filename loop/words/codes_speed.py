"""Findings about the water's speed, and steps of bore."""

from loop.words.row import Row

_RUNS = "the water runs {speed:velocity|limit}, "

SPEED: dict[str, Row] = {
    "suction-fast": Row(
        title="Suction hose too fast",
        levels=("warning",),
        message=(
            f"{_RUNS}over {{limit:velocity|speed}} for a suction hose: its loss takes from the "
            "little head there is before the pump"
        ),
        fix="{sea}fit the next hose size, and check again: wider hose holds air more easily",
        several=(
            "in {count:counted} suction hoses the water runs over {limit:velocity|speed}, fastest "
            "in {here:name} with {speed:velocity|limit}: their loss takes from the little head "
            "there is before the pump"
        ),
        basis=("common practice",),
    ),
    "hose-fast": Row(
        title="Hose too fast",
        levels=("warning",),
        message=(
            f"{_RUNS}over {{limit:velocity|speed}} for a pressure hose: loss and noise grow with "
            "the square of the speed"
        ),
        fix="{sea}fit the next hose size, and check again: wider hose holds air more easily",
        several=(
            "in {count:counted} pressure hoses the water runs over {limit:velocity|speed}, fastest "
            "in {here:name} with {speed:velocity|limit}: loss and noise grow with the square of "
            "the speed"
        ),
        basis=("common practice",),
    ),
    "inlet-fast": Row(
        title="Seacock or through-hull too fast",
        levels=("warning",),
        message=(
            f"{_RUNS}over {{limit:velocity|speed}} for a through-hull or seacock before the pump: "
            "its loss takes from what little head the suction has"
        ),
        fix="with the boat out of the water, fit a through-hull and seacock of the next size",
        several=(
            "in {parts:names} the water runs over {limit:velocity|speed}, fastest in {here:name} "
            "with {speed:velocity|limit}: their loss takes from what little head the suction has"
        ),
        basis=("common practice",),
        cases={
            "grate": {
                "message": (
                    "the water runs {speed:velocity|limit} through the openings of the grate, over "
                    "{limit:velocity|speed} for an inlet before the pump: its loss takes from what "
                    "little head the suction has"
                ),
                "fix": "with the boat out of the water, fit a grate that is more open",
            },
        },
    ),
    "hose-slow": Row(
        title="Hose slow",
        levels=("note",),
        message=f"{_RUNS}under {{limit:velocity|speed}}: air and silt settle there",
        fix="keep the hose rising all the way, so that no air can gather",
        several=(
            "in {count:counted} hoses the water runs under {limit:velocity|speed}, slowest in "
            "{here:name} with {speed:velocity|limit}: air and silt settle there"
        ),
        basis=("common practice",),
    ),
    "tube-fast": Row(
        title="Condenser tube too fast",
        levels=("warning",),
        message=(
            "the water runs {speed:velocity|limit} in the tube of {part:name}, over "
            "{limit:velocity|speed}: it wears copper-nickel away"
        ),
        fix=(
            "throttled to {most:flow} the unit has no margin: it needs a tube of {bore:bore.up} "
            "or more, or tubes side by side"
        ),
        several=(
            "in the tubes of {count:counted} condensers the water runs over "
            "{limit:velocity|speed}, fastest in {part:name} with {speed:velocity|limit}: it wears "
            "copper-nickel away"
        ),
        basis=("copper-nickel", "valve"),
        cases={
            "narrow": {
                "fix": (
                    "the need itself, {needed:flow}, is too fast for this tube: it needs a tube "
                    "of {bore:bore.up} or more, or tubes side by side"
                ),
            },
        },
    ),
    "tube-slow": Row(
        title="Condenser tube slow",
        levels=("note",),
        message=(
            "the water runs {speed:velocity|limit} in the tube of {part:name}, under "
            "{limit:velocity|speed}: silt and growth settle there"
        ),
        fix="{enough:flow.up} or more keeps it clean; with less, flush it more often",
        several=(
            "in the tubes of {count:counted} condensers the water runs under "
            "{limit:velocity|speed}, slowest in {part:name} with {speed:velocity|limit}: silt and "
            "growth settle there"
        ),
        basis=("copper-nickel",),
        cases={
            "excess": {
                "fix": (
                    "flush it more often: {enough:flow.up}, which would keep it clean, is more "
                    "than the unit has use for"
                ),
            },
        },
    ),
    "bore-step": Row(
        title="Step of bore",
        levels=("note",),
        message=(
            "the bore changes from {bore:bore} to {to:bore} where this part begins"
            "[, which takes {lost:head} of the pump's head]"
        ),
        fix=(
            "{sea}fit an adapter {bore:bore} to {to:bore}, flat side up so that it holds no air, "
            "or one bore throughout"
        ),
        basis=("common practice", "step"),
    ),
}
