"""Findings about parts that are missing or in the wrong place."""

from loop.words.row import Row

_TAKEN_CAPPED = (
    "the file does not say what is on the side outlet of {part:name}: it is assumed capped"
)
_TAKEN_CAPPED_ALL = (
    "the file does not say what is on the side outlets of {parts:names}: they are assumed capped"
)
_OWN_OUTLET = "give what is joined to it an outlet of its own"
_CAPPED = 'write side = "capped" in the file'

ORDER: dict[str, Row] = {
    "strainer-missing": Row(
        title="Strainer missing",
        levels=("warning",),
        message="no strainer before the pump: weed and shells go into the pump and the condenser",
        fix="{sea}fit a strainer before the pump, and allow for its loss",
        basis=("common practice",),
    ),
    "strainer-margin": Row(
        title="When to clean the strainer",
        levels=("note",),
        message=(
            "the flow of {unit} falls to the required {needed:flow} with the strainer "
            "{clean_at:ratio.down} blocked; half blocked, {unit} gets {half:flow}"
        ),
        fix="{basket}clean the basket once {clean_before:ratio.down} of it is blocked",
        basis=("basket",),
        cases={
            "none": {
                "message": (
                    "there is no margin for a dirty strainer: with a tenth of the basket blocked "
                    "{unit} gets less than the {needed:flow} it needs; half blocked, {half:flow}"
                ),
                "fix": (
                    "{basket}clean the basket as soon as there is anything in it; more flow gives "
                    "it margin: see the finding on {unit}"
                ),
            },
        },
    ),
    "strainer-due": Row(
        title="Strainer due for cleaning",
        levels=("warning",),
        message=(
            "{part:name} is {blocked:ratio} blocked, and due for cleaning at "
            "{clean_before:ratio.down}: with {clean_at:ratio.down} blocked {unit} gets no more "
            "than the required {needed:flow}"
        ),
        fix="{basket}clean the basket",
        basis=("basket",),
    ),
    "strainer-after-pump": Row(
        title="Strainer after the pump",
        levels=("warning",),
        message="{part:name} comes after the pump, which it does not protect",
        fix="{sea}fit it before the pump, below the waterline",
        several="{parts:names} come after the pump, which they do not protect",
        several_fix="{sea}fit one before the pump, below the waterline",
        basis=("common practice",),
    ),
    "hose-short": Row(
        title="Hose too short",
        levels=("warning",),
        message=(
            "{part:name} is {length:height} long by the file: the barbs at its two ends would meet "
            "in it"
        ),
        fix="check its length and unit in the file",
        basis=("engineering estimate",),
    ),
    "hose-kinked": Row(
        title="Hose bent too tight",
        levels=("warning",),
        message=(
            "{part:name} is bent at a radius of {radius:height}, {times:number.1} times its bore: "
            "hose bent that tight kinks or flattens"
        ),
        fix=("{sea}route it in bends of {least:height.up} radius or more, or fit elbows instead"),
        basis=("engineering estimate",),
        cases={
            "short": {
                "message": (
                    "{part:name} is so short that its bends have a radius of {radius:height}, "
                    "{times:number.1} times its bore: hose bent that tight kinks or flattens"
                ),
            },
        },
    ),
    "part-order": Row(
        title="Part in the wrong place",
        levels=("danger", "warning", "note"),
        message=(
            "{part:name} is before the pump, which is not self-priming: its flap traps air and "
            "takes from the suction head"
        ),
        fix="{sea}take it out, or move it after the pump",
        basis=("common practice",),
        cases={
            "pumps-in-line": {
                "message": (
                    "{count:number.0} pumps in line draw on one intake: when one stops, all the "
                    "water is drawn through it"
                ),
                "fix": "switch them together, or {power}fit one pump with their combined head",
                "instead": "switch them together",
            },
            "pumps-side-by-side": {
                "message": (
                    "{count:number.0} pumps side by side: when one stops, the others push their "
                    "water back through it, and the units get little"
                ),
                "fix": "switch them together, or {sea}fit a check valve at the outlet of each",
                "instead": "switch them together, or {sea}fit a check valve at the outlet of each",
            },
            "shut-in": {
                "message": (
                    "{part:name} holds {column:height} of water over the pump, which stands above "
                    "the sea and primes itself: it cannot blow its air out against that"
                ),
                "fix": "{sea}take it out",
            },
            "vent-in-suction": {
                "message": (
                    "{part:name} is before the pump, which draws air in through it and may move "
                    "no water"
                ),
                "fix": (
                    "{sea}take it out; a line that ends under the water takes its vented loop "
                    "after the pump"
                ),
            },
            "vent-in-suction-low": {
                "message": (
                    "{part:name} is before the pump[ and {depth:height} under the water]: its vent "
                    "lets the sea in, and the pump may draw air through it"
                ),
                "fix": (
                    "{sea}take it out; a line that ends under the water takes its vented loop "
                    "after the pump"
                ),
            },
            "vent-low": {
                "message": (
                    "{part:name} is not above the water[, but {depth:height} under it]: it breaks "
                    "no siphon there, and its vent lets the sea in"
                ),
                "fix": (
                    "{sea}route the line up, and fit it {least:height.up} or more above the "
                    "waterline"
                ),
            },
            "vent-heeled": {
                "message": (
                    "at the worst heel and trim {part:name}, {height:height} above the waterline "
                    "upright, is [{depth:height} ]under the sea outside: it breaks no siphon "
                    "there, and its vent lets the sea in"
                ),
                "fix": (
                    "{sea}route the line up, and fit it {least:height.up} or more above the "
                    "waterline, or nearer the middle of the boat"
                ),
            },
            "vent-near-heeled": {
                "message": (
                    "{part:name} is {height:height|least} above the waterline: at the worst heel "
                    "and trim the sea outside comes within {room:height} of its vent"
                ),
                "fix": (
                    "{sea}route the line up, and fit it {least:height.up} or more above the "
                    "waterline, or nearer the middle of the boat"
                ),
            },
            "vent-waves": {
                "message": (
                    "{part:name} is {height:height|least} above the waterline: waves of "
                    "{waves:height} come over its vent, which may let the sea in"
                ),
                "fix": (
                    "{sea}route the line up, and fit it {least:height.up} or more above the "
                    "waterline"
                ),
            },
            "vent-near": {
                "message": (
                    "{part:name} is only {height:height|least} above the waterline: heel or load "
                    "may put it under, where it breaks no siphon and lets the sea in"
                ),
                "fix": (
                    "{sea}route the line up, and fit it {least:height.up} or more above the "
                    "waterline"
                ),
            },
            "unit-in-suction": {
                "message": (
                    "{part:name} is before the pump, which has to draw the water through it: its "
                    "loss takes from the suction head"
                ),
                "fix": "{sea}move it after the pump",
            },
        },
    ),
    "tee-open": Row(
        title="Side outlet of a tee",
        levels=("warning", "note"),
        message=(
            "the file does not say what is on the side outlet of {part:name}: water drawn there "
            "comes in through the same intake, and is not counted"
        ),
        fix=(
            f"if it is capped, {_CAPPED}; if something draws from it, with the boat out of the "
            "water, give that a through-hull and seacock of its own"
        ),
        several=(
            "the file does not say what is on the side outlets of {parts:names}: water drawn "
            "there comes in through the same intake, and is not counted"
        ),
        several_fix=(
            f"if they are capped, {_CAPPED}; if something draws from one, with the boat out of the "
            "water, give that a through-hull and seacock of its own"
        ),
        basis=("common practice",),
        cases={
            "used": {
                "message": (
                    "something draws from {part:name}: its water comes in through the same "
                    "intake, and is not counted, so less will flow than calculated here"
                ),
                "fix": (
                    "with the boat out of the water, cap the tee, and give what draws from it a "
                    "through-hull and seacock of its own"
                ),
                "several": (
                    "something draws from {parts:names}: its water comes in through the same "
                    "intake, and is not counted, so less will flow than calculated here"
                ),
                "several_fix": (
                    "with the boat out of the water, cap the tees, and give what draws from them "
                    "a through-hull and seacock of its own"
                ),
            },
            "after": {
                "message": _TAKEN_CAPPED,
                "fix": (
                    f"if it is, {_CAPPED}; if something draws from it, that water is missing at "
                    "the units"
                ),
                "several": _TAKEN_CAPPED_ALL,
                "several_fix": (
                    f"if they are, {_CAPPED}; if something draws from one, that water is missing "
                    "at the units"
                ),
            },
            "after-used": {
                "message": (
                    "something draws from {part:name}, after the pump: its water is missing at "
                    "the units, and is not counted, so they get less than calculated here"
                ),
                "fix": "{sea}cap the tee, and give what draws from it a pump of its own",
                "several": (
                    "something draws from {parts:names}, after the pump: its water is missing at "
                    "the units, and is not counted, so they get less than calculated here"
                ),
                "several_fix": "{sea}cap the tees, and give what draws from them a pump of its own",
            },
            "drain": {
                "message": _TAKEN_CAPPED,
                "fix": f"if it is, {_CAPPED}; if something is joined to it, {_OWN_OUTLET}",
                "several": _TAKEN_CAPPED_ALL,
                "several_fix": (
                    f"if they are, {_CAPPED}; if something is joined to one, {_OWN_OUTLET}"
                ),
            },
            "drain-used": {
                "message": (
                    "something is joined to {part:name}, after the units: it takes nothing from "
                    "them, but shares their outlet, and the water of one may back up into the "
                    "other"
                ),
                "fix": f"{{sea}}cap the tee; {_OWN_OUTLET}",
                "several": (
                    "something is joined to {parts:names}, after the units: it takes nothing from "
                    "them, but shares their outlet, and the water of one may back up into the "
                    "other"
                ),
                "several_fix": f"{{sea}}cap the tees; {_OWN_OUTLET}",
            },
        },
    ),
}
