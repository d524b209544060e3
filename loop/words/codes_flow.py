"""Findings about the flow: none, too little, too much, how it divides."""

from loop.words.row import Row

# What takes the most of the head: a part, a run of one bore, or the lift.
_TAKEN = (
    "[; {taken:ratio} of the head goes into {taker:name}]"
    "[; {taken:ratio} of the head goes into the {before:bore} line before the pump]"
    "[; {taken:ratio} of the head goes into the {after_pump:bore} line after the pump]"
    "[; {taken:ratio} of the head goes into the lift of {lift:height}]"
    "[; {taken:ratio} of the head is lost to air behind the high point at {air:height}]"
    "[; {taken:ratio} of the head is lost to air behind {airs:counted} high points, the highest at "
    "{highest:height}]"
    "[; the pump has {volts:voltage} of its {rated:voltage}]"
)
_NONE_OF = "{unit} gets none of the {needed:flow} that it needs: "
_OFF = (
    "with {off:list} shut off, {others+flows:flow}"
    "[, and the water runs {speed:velocity|limit} in {part:name}, over {limit:velocity|speed}]"
)
_ROUND = f"{_OFF}; with all branch valves shut, {{round:flow}} still flows through the bypass"
_SPARE = (
    "each then gets enough; {unit} has the least to spare, {after:flow} for a need of {needed:flow}"
)
_EVEN = "balanced, every unit gets at least {share:number.2} times its need, {total:flow} in all"

# Where not all that might cure it was tried, and where all was.
_UNTRIED = (
    "put right what else is found, then check again: not every hose size and pump was tried yet"
)
_IN_VAIN = (
    "no hose size, pump of the catalogue for {supply} or lower discharge is enough without harm "
    "elsewhere: reduce the losses of the run"
)

FLOW: dict[str, Row] = {
    "no-flow": Row(
        title="No water flows",
        levels=("danger",),
        message=(
            "no water flows: the lift is {lift:head|shutoff}[, {pull:head} of it the scoop's "
            "pull], and the pump's shut-off head is {shutoff:head|lift}; the pump overheats the "
            "water that stands in it"
        ),
        fix="check the pump's supply and its curve",
        basis=("pump curve",),
        cases={
            "air": {
                "message": (
                    "no water flows: it takes {needed:head|shutoff}[, {pull:head} of it the "
                    "scoop's pull], {air:head} of that for the air that stays behind high points, "
                    "and the pump's shut-off head is {shutoff:head|needed}; the pump overheats the "
                    "water that stands in it"
                ),
            },
            "shut": {
                "message": (
                    "no water flows with {parts:names} shut: the pump overheats the water that "
                    "stands in it"
                ),
                "fix": "open {parts:names} before the pump runs",
            },
        },
    ),
    "flow-short": Row(
        title="Too little flow",
        levels=("fault",),
        message=(
            "{unit} gets {flow:flow|needed} of the {needed:flow|flow} that it needs"
            "[, {short:ratio} too little] (band {low:flow} to {high:flow})"
            f"[; {{part:name}} is shut, and this water comes around it]{_TAKEN}"
        ),
        fix=_UNTRIED,
        then="{unit} then gets {after:flow}",
        several=(
            "{count:counted} units are short of water, the worst {unit} with "
            f"{{flow:flow.bare|needed}} of the {{needed:flow|flow}} that it needs{_TAKEN}"
        ),
        several_then=_SPARE,
        basis=("need", "band"),
        cases={
            "in-vain": {
                "fix": f"{_IN_VAIN}, or, {{power}}feed {{unit}} by another pump",
                "several_fix": f"{_IN_VAIN}, or, {{power}}divide the units between two pumps",
            },
            "shut": {
                "message": (
                    f"{_NONE_OF}{{part:name}} is shut"
                    "[, and {back:flow} runs back through it to another way out]"
                ),
                "fix": "open {part:name} if {unit} is to run",
                "several": "{count:counted} units get no water with {parts:names} shut",
                "several_fix": "open {parts:names} if they are to run",
            },
            "backwards": {
                "message": f"{_NONE_OF}{{back:flow}} runs backwards through it",
                "several": (
                    "{count:counted} units get none of the water that they need: it runs backwards "
                    "through them, {back:flow} through {unit}"
                ),
            },
        },
    ),
    "flow-marginal": Row(
        title="Flow with too little margin",
        levels=("warning",),
        message=(
            "{unit} gets {flow:flow}, but only {low:flow|needed} of the {needed:flow|low} needed "
            f"where pump and losses are at the poor end of their tolerance{_TAKEN}"
        ),
        fix=_UNTRIED,
        then="{unit} then gets {after:flow}",
        several=(
            "{count:counted} units have too little margin, the least {unit}: it gets {flow:flow}, "
            "but only {low:flow.bare|needed} of the {needed:flow|low} needed where pump and losses "
            f"are at the poor end of their tolerance{_TAKEN}"
        ),
        several_then=_SPARE,
        basis=("band",),
        cases={"in-vain": {"fix": _IN_VAIN}},
    ),
    "flow-excess": Row(
        title="More flow than needed",
        levels=("warning", "note"),
        message=(
            "{unit} gets {flow:flow}, {times:number.1} times its need of {needed:flow}: more "
            "power, noise and wear of the condenser's tube, but no more cooling"
        ),
        fix=(
            "leave it, or {power}fit a pump that gives less: throttled to {most:flow}, {unit}[ or "
            "{another}] could fall below its need"
        ),
        then="{unit} then gets {after:flow}",
        several=(
            "{count:counted} units get more than they need, {unit} the most with {flow:flow}, "
            "{times:number.1} times its need of {needed:flow}: more power, noise and wear of the "
            "condensers' tubes, but no more cooling"
        ),
        several_then="{unit}, then the furthest over its need, gets {after:flow}",
        basis=("flow per ton", "engineering estimate", "valve"),
        cases={
            "every": {
                "message": (
                    "every unit gets far more than it needs, {unit} {times:number.1} times its "
                    "need of {needed:flow}: more power, noise and wear of the condensers' tubes, "
                    "but no more cooling"
                ),
                "fix": (
                    "no smaller pump of the catalogue for {supply} gives every unit its need: "
                    "leave it, or "
                    "{power}fit a pump that gives less"
                ),
            },
            "balanced": {"fix": "balance the branches: see the finding about them"},
            "shared": {
                "fix": (
                    "other units need this flow: leave it, or {sea}give {unit} a bypass that "
                    "leaves it {most:flow}"
                ),
            },
        },
    ),
    "at-rest-short": Row(
        title="Too little flow at rest",
        levels=("fault", "warning"),
        message=(
            "{unit} gets enough under way, {flow:flow} at {speed:speed}, but only "
            "{rest:flow|needed} of the {needed:flow|rest} needed at the dock or at anchor"
        ),
        fix="size the loop for the boat at rest: the scoop's head is not there",
        then="{unit} then gets {after:flow} at rest",
        several=(
            "{count:counted} units get enough under way, but not at the dock or at anchor, the "
            "worst {unit} with {rest:flow.bare|needed} of the {needed:flow|rest} that it needs"
        ),
        several_then=f"at rest {_SPARE}",
        basis=("need", "at rest", "band"),
        cases={
            "marginal": {
                "message": (
                    "{unit} gets enough under way, but at the dock or at anchor only "
                    "{low:flow|needed} of the {needed:flow|low} needed where pump and losses are "
                    "at the poor end of their tolerance"
                ),
                "several": (
                    "{count:counted} units get enough under way, but have too little margin at the "
                    "dock or at anchor, the least {unit}: {low:flow.bare|needed} of the "
                    "{needed:flow|low} needed where pump and losses are at the poor end of their "
                    "tolerance"
                ),
            },
        },
    ),
    "beyond-curve": Row(
        title="Beyond the pump's curve",
        levels=("warning",),
        message=(
            "the operating point, {flow:flow|last}, is beyond the end of {pump}'s curve, "
            "{last:flow|flow}; treat this flow as a guess"
        ),
        fix="{power}fit a pump whose curve reaches {flow:flow.up}",
        basis=("pump curve", "valve"),
    ),
    "near-shutoff": Row(
        title="Pump nearly shut off",
        levels=("warning",),
        message=(
            "the pump moves {flow:flow}, {share:ratio} of the {most:flow} to which {pump}'s curve "
            "goes: so near to shut-off the water churns and warms in it, and wears it"
        ),
        fix="open what throttles it; or, {power}fit a pump for the flow that the units need",
        basis=("pump curve", "common practice"),
    ),
    "not-settled": Row(
        title="Flows not settled",
        levels=("warning",),
        message=(
            "the losses in the manifold's tees depend so strongly on how the water divides that "
            "the flows balance only to {residual:head.significant}: treat them as a guess"
        ),
        fix="{sea}fit a header at least as large as the pipe that feeds it",
        basis=("method",),
    ),
    "unbalanced": Row(
        title="Branches not balanced",
        levels=("warning", "note"),
        message=(
            "{greedy} gets {most:number.2} times its need, {poor} {least:number.2} times; " + _EVEN
        ),
        fix="throttle {greedy}'s branch in small steps, and check again",
        basis=("balance", "valve"),
        cases={
            "bypass": {
                "message": (
                    "{poor} gets {least:number.2} times its need, and a branch without a unit "
                    "takes the rest; " + _EVEN
                ),
                "fix": "throttle the branch without a unit in small steps, and check again",
            },
            "opens": {
                "fix": "open the valve of {poor}'s branch in small steps, and check again",
            },
        },
    ),
    "cannot-balance": Row(
        title="Too little water for all branches",
        levels=("warning",),
        message=(
            "no setting of the branch valves gives every unit its need: the poorest gets "
            "{share:ratio} of it at most"
        ),
        fix=_UNTRIED,
        basis=("balance", "band"),
        cases={
            "in-vain": {
                "fix": "reduce the losses of the run, or, {power}divide the units between two pumps"
            },
        },
    ),
    "branch-shut": Row(
        title="Flow with branches shut off",
        levels=("warning", "note"),
        message=_OFF,
        basis=("speed limits", "common practice"),
        cases={
            "dead": {
                "message": (
                    f"{_OFF}; with all shut the pump runs against a closed line and overheats its "
                    "water"
                ),
                "always": "keep one unit's valve open, or switch the pump with the units",
            },
            "bypass": {
                "message": _ROUND,
                "always": "keep the branch without a unit open",
            },
            # Where a unit is short of water, nobody is told to keep it open.
            "bypass-short": {
                "message": _ROUND,
                "fix": "see to the units' water first: see the findings about that",
            },
        },
    ),
}
