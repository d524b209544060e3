"""Findings about the flow: none, too little, too much, how it splits."""

from loop.words.row import Row

# Named in the fix of another finding too.
_UNBALANCED = "Branches not balanced"

# The largest share of the head: a part, a run of one bore, the lift or air.
_TAKEN = (
    "[; {taker:name} takes {taken:ratio} of the head][; the {before:bore} line before the pump "
    "takes {taken:ratio} of the head][; the {after_pump:bore} line after the pump takes "
    "{taken:ratio} of the head][; the lift of {lift:height} takes {taken:ratio} of the head][; "
    "{taken:ratio} of the head is lost to air behind the high point at {air:height}][; "
    "{taken:ratio} of the head is lost to air behind {airs:counted} high points, the highest at "
    "{highest:height}][; the pump gets {volts:voltage} of its rated {rated:voltage}]"
)
_NONE_OF = "{unit} gets none of the {needed:flow} it needs: "
_OFF = (
    "with {off:list} shut off, {others+flows:flow}[, and the water in {part:name} runs at "
    "{speed:velocity|limit}, over its {limit:velocity|speed} limit]"
)
_ROUND = f"{_OFF}; with all branch valves shut, {{round:flow}} still flows through the bypass"
_SPARE = (
    "each unit then gets enough; {unit} has the least to spare, {after:flow} against "
    "{needed:flow} needed"
)
_EVEN = "balanced, every unit gets at least {share:number.2} times its need, {total:flow} in all"

# Fixes where some candidates were not tried, and where all were.
_UNTRIED = (
    "clear the other findings first, then check again: not every hose size and pump has been tried"
)
_IN_VAIN = (
    "no hose size, {supply} pump in the catalog or lower discharge gives enough without harm "
    "elsewhere: reduce the losses of the run"
)

FLOW: dict[str, Row] = {
    "no-flow": Row(
        title="No water flows",
        levels=("danger",),
        message=(
            "no water flows: the lift is {lift:head|shutoff}[, {pull:head} of it from pull at the "
            "scoop], but the pump's shut-off head is {shutoff:head|lift}; the pump overheats the "
            "water standing in it"
        ),
        fix="check the pump's supply and its curve",
        basis=("pump curve",),
        cases={
            "air": {
                "message": (
                    "no water flows: it takes {needed:head|shutoff}, {air:head} of it for air "
                    "trapped behind high points[ and {pull:head} for pull at the scoop]; the "
                    "pump's shut-off head is {shutoff:head|needed}, and it overheats the water "
                    "standing in it"
                ),
            },
            "shut": {
                "message": (
                    "no water flows with {parts:names} shut: the pump overheats the water "
                    "standing in it"
                ),
                "fix": "open {parts:names} before running the pump",
            },
        },
    ),
    "flow-short": Row(
        title="Too little flow",
        levels=("fault",),
        message=(
            "{unit} gets {flow:flow|needed} of the {needed:flow|flow} it needs[, {short:ratio} "
            "too little] (band {low:flow} to {high:flow})"
            f"[; {{part:name}} is shut, and this water comes around it]{_TAKEN}"
        ),
        fix=_UNTRIED,
        then="{unit} then gets {after:flow}",
        several=(
            "{count:counted} units are short of water, the worst {unit} with "
            f"{{flow:flow.bare|needed}} of the {{needed:flow|flow}} it needs{_TAKEN}"
        ),
        several_then=_SPARE,
        basis=("need", "band"),
        cases={
            "in-vain": {
                "fix": f"{_IN_VAIN}, or, {{power}}feed {{unit}} from a pump of its own",
                "several_fix": f"{_IN_VAIN}, or, {{power}}split the units between two pumps",
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
                    "{count:counted} units get none of the water they need: it runs backwards "
                    "through them, {back:flow} through {unit}"
                ),
            },
        },
    ),
    "flow-marginal": Row(
        title="Flow with too little margin",
        levels=("warning",),
        message=(
            "{unit} gets {flow:flow}, but only {low:flow|needed} of the {needed:flow|low} it "
            f"needs if pump and losses are at the poor end of tolerance{_TAKEN}"
        ),
        fix=_UNTRIED,
        then="{unit} then gets {after:flow}",
        several=(
            "{count:counted} units have too little margin, the least {unit}: it gets {flow:flow}, "
            "but only {low:flow.bare|needed} of the {needed:flow|low} it needs if pump and losses "
            f"are at the poor end of tolerance{_TAKEN}"
        ),
        several_then=_SPARE,
        basis=("band",),
        cases={"in-vain": {"fix": _IN_VAIN}},
    ),
    "flow-excess": Row(
        title="More flow than needed",
        levels=("warning", "note"),
        message=(
            "{unit} gets {flow:flow}, {times:number.1} times its need of {needed:flow}: that "
            "costs power, noise and wear of the condenser tube, and cools no better"
        ),
        fix=(
            "leave it, or {power}fit a pump that gives less: throttling to {most:flow} could "
            "leave {unit}[ or {another}] short"
        ),
        then="{unit} then gets {after:flow}",
        several=(
            "{count:counted} units get more than they need, {unit} the most with {flow:flow}, "
            "{times:number.1} times its need of {needed:flow}: that costs power, noise and wear "
            "of the condenser tubes, and cools no better"
        ),
        several_then="{unit}, then the furthest over its need, gets {after:flow}",
        basis=("flow per ton", "engineering estimate", "valve"),
        cases={
            "every": {
                "message": (
                    "every unit gets far more than it needs, {unit} {times:number.1} times its "
                    "need of {needed:flow}: that costs power, noise and wear of the condenser "
                    "tubes, and cools no better"
                ),
                "fix": (
                    "no smaller {supply} pump in the catalog gives every unit its need: leave it, "
                    "or {power}fit a pump that gives less"
                ),
            },
            "balanced": {"fix": f"balance the branches: see “{_UNBALANCED}”"},
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
        fix="size the loop for the boat at rest, without the scoop's head",
        then="{unit} then gets {after:flow} at rest",
        several=(
            "{count:counted} units get enough under way, but not at the dock or at anchor, the "
            "worst {unit} with {rest:flow.bare|needed} of the {needed:flow|rest} it needs"
        ),
        several_then=f"at rest {_SPARE}",
        basis=("need", "at rest", "band"),
        cases={
            "marginal": {
                "message": (
                    "{unit} gets enough under way, but at the dock or at anchor only "
                    "{low:flow|needed} of the {needed:flow|low} it needs if pump and losses are "
                    "at the poor end of tolerance"
                ),
                "several": (
                    "{count:counted} units get enough under way, but have too little margin at "
                    "the dock or at anchor, the least {unit}: {low:flow.bare|needed} of the "
                    "{needed:flow|low} it needs if pump and losses are at the poor end of "
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
            "the pump moves {flow:flow}, {share:ratio} of the {most:flow} at the end of {pump}'s "
            "curve: this near shut-off the water churns and heats in the pump, and wears it"
        ),
        fix="open whatever throttles it; or, {power}fit a pump for the flow the units need",
        basis=("pump curve", "common practice"),
    ),
    "not-settled": Row(
        title="Flows not settled",
        levels=("warning",),
        message=(
            "the losses in the manifold's tees depend so strongly on how the flow splits that the "
            "flows balance only to {residual:head.significant}: treat them as a guess"
        ),
        fix="{sea}fit a header at least as large as the pipe that feeds it",
        basis=("method",),
    ),
    "unbalanced": Row(
        title=_UNBALANCED,
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
            "no setting of the branch valves gives every unit its need: the one shortest of "
            "water gets at most {share:ratio} of it"
        ),
        fix=_UNTRIED,
        basis=("balance", "band"),
        cases={
            "in-vain": {
                "fix": "reduce the losses of the run, or, {power}split the units between two pumps"
            },
        },
    ),
    "branch-shut": Row(
        title="Flow with branches shut off",
        levels=("warning", "note"),
        message=_OFF,
        basis=("common practice",),
        cases={
            "dead": {
                "message": (
                    f"{_OFF}; with all branches shut the pump runs against a closed line and "
                    "overheats its water"
                ),
                "always": "keep one unit's valve open, or switch the pump off with the units",
            },
            "bypass": {
                "message": _ROUND,
                "always": "keep the branch without a unit open",
            },
            # Where a unit is short of water, do not advise keeping it open.
            "bypass-short": {
                "message": _ROUND,
                "fix": "get the units their water first: see the findings on flow",
            },
        },
    ),
}
