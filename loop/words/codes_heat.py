"""Findings about the condenser's heat and the discharge."""

from loop.words.row import Row

_WATER = (
    "in water of {inlet:temperature}[ (the sea's {sea:temperature}, warmed by {warmed_by:list})]"
    "[ with the sea at its warmest, {warmest:temperature}]"
)

HEAT: dict[str, Row] = {
    "condensing-high": Row(
        title="Condensing temperature too high",
        levels=("fault", "warning"),
        message=(
            f"{{unit}} condenses at {{condensing:temperature}} {_WATER}, at or over the job's "
            "{which} limit of {limit:temperature}"
        ),
        fix=(
            "in this water it condenses at {best:temperature} with all the flow that it needs: "
            "check the limit in the file against the maker's, and run the unit at part load while "
            "the sea is so warm. Its own cut-out is the maker's: never raise it"
        ),
        several=(
            "{count:counted} units condense at or over their limits, the worst {unit} at "
            f"{{condensing:temperature}} {_WATER}; its {{which}} limit is {{limit:temperature}}"
        ),
        several_fix=(
            "in this water the worst condenses at {best:temperature} with all the flow that it "
            "needs: check the limits in the file against the makers', and run the units at part "
            "load while the sea is so warm. Their own cut-outs are the makers': never raise them"
        ),
        basis=("heat",),
        cases={
            "trip": {
                "message": (
                    f"{{unit}} would condense over {{limit:temperature}}, where it trips, {_WATER}"
                ),
                "several": (
                    "{count:counted} units would condense over {limit:temperature}, where they "
                    f"trip, {{unit}} {_WATER}"
                ),
                "several_fix": (
                    "check in the file the sea's temperature, and the approach and the needed flow "
                    "of these units: with what they say they trip"
                ),
                "fix": (
                    "check in the file the sea's temperature, and the approach and the needed flow "
                    "of the unit: with what they say it trips"
                ),
            },
            "hot": {
                "message": (
                    f"{{unit}} condenses at {{condensing:temperature}} {_WATER}, over the "
                    "{limit:temperature} past which no unit should run on the hottest day"
                ),
                "several": (
                    "{count:counted} units condense over the {limit:temperature} past which none "
                    "should run on the hottest day, the worst {unit} at {condensing:temperature} "
                    f"{_WATER}"
                ),
                "several_fix": (
                    "check in the file the sea's temperature, and the approach and the heat "
                    "rejection of these units; where they are right, give them more water, or "
                    "state condensing_watch from their manuals"
                ),
                "fix": (
                    "check in the file the sea's temperature, and the approach and the heat "
                    "rejection of the unit; where they are right, give the unit more water, or "
                    "state condensing_watch from its manual"
                ),
            },
            "warmed": {
                "message": (
                    "{unit} condenses at {condensing:temperature} in water of {inlet:temperature} "
                    "(the sea's {sea:temperature}, warmed by {warmed_by:list}): higher than the "
                    "flow that it needs gives it straight from the sea, {limit:temperature}"
                ),
                "several": (
                    "{count:counted} units condense higher than the flow that they need gives them "
                    "straight from the sea, the worst {unit} at {condensing:temperature} in water "
                    "of {inlet:temperature} (the sea's {sea:temperature}, warmed by "
                    "{warmed_by:list})"
                ),
            },
            "trips": {
                "message": (
                    f"{{unit}} would condense over {{trips:temperature}}, where it trips, {_WATER}"
                    "; the job's {which} limit is {limit:temperature}"
                ),
                "several": (
                    "{count:counted} units would condense over {trips:temperature}, where they "
                    f"trip, {{unit}} {_WATER}; its {{which}} limit is {{limit:temperature}}"
                ),
            },
            "short": {
                "fix": (
                    "bring the flow up to the need, which makes it {best:temperature}; see the "
                    "finding about its flow"
                ),
                "several_fix": (
                    "bring the flows up to the need, which makes the worst {best:temperature}; see "
                    "the finding about the flow"
                ),
            },
            "alone": {
                "fix": (
                    "{sea}pipe {unit} side by side with {warmed_by:list}, in a branch of its own "
                    "from the pump: with as much water as now it then condenses at "
                    "{alone:temperature}"
                ),
                "several_fix": (
                    "{sea}pipe each side by side with the others, in a branch of its own from the "
                    "pump: with as much water as now {unit} then condenses at {alone:temperature}"
                ),
            },
        },
    ),
    "condenser-fouled": Row(
        title="Condenser fouled",
        levels=("warning",),
        message=(
            f"{{unit}} condenses at {{condensing:temperature}} {_WATER}, for its tube is scaled; "
            "clean, with the flow that it needs, it would at {clean:temperature} at most"
        ),
        fix="descale its condenser",
        several=(
            "{count:counted} units condense higher than they would clean with the flow that they "
            f"need, the worst {{unit}}: at {{condensing:temperature}} {_WATER}, where clean it "
            "would at {clean:temperature} at most"
        ),
        basis=("heat",),
        cases={
            "baseline": {
                "message": (
                    "by the baseline in the file the condenser moves {factor:number.2} times the "
                    f"heat of its rating: {{unit}} condenses at {{condensing:temperature}} {_WATER}"
                    "; a clean one, with the flow that it needs, at {clean:temperature} at most"
                ),
                "fix": (
                    "have its condenser descaled, take the readings again, and fit the baseline "
                    "anew"
                ),
            },
        },
    ),
    "condensing-low": Row(
        title="Condensing temperature too low",
        levels=("warning",),
        message=(
            f"{{unit}} would condense at {{condensing:temperature}} {_WATER}, less than "
            "{least:temperature_difference.0} over the {evaporating:temperature} at which its coil "
            "evaporates while it cools: no unit cools in such water"
        ),
        fix=(
            "check the sea's temperature in the file, and its unit, degF or degC. This program "
            "covers cooling only: in heating the coil freezes in such water"
        ),
        several=(
            "{count:counted} units would condense less than {least:temperature_difference.0} over "
            "the {evaporating:temperature} at which a coil evaporates while it cools, {unit} the "
            "lowest at "
            f"{{condensing:temperature}} {_WATER}: no unit cools in such water"
        ),
        basis=("heat", "engineering estimate"),
    ),
    "discharge-under-water": Row(
        title="Discharge under water",
        levels=("warning", "note"),
        message=(
            "{part:name} lies {depth:height} under the water: its stream cannot be seen, and the "
            "sea can come in through it"
        ),
        fix=(
            "with the boat out of the water, bring it up to {right:height} above the waterline "
            "(more where she heels further than stated); the hose before it must reach"
        ),
        several=(
            "{count:counted} discharges lie under the water, {part:name} the deepest by "
            "{depth:height}: their streams cannot be seen, and the sea can come in by them"
        ),
        several_fix=(
            "with the boat out of the water, bring them up to {right:height} above the waterline "
            "(more where she heels further than stated); the hoses before them must reach"
        ),
        basis=("common practice", "through-hull"),
        cases={
            "waterline": {
                "message": (
                    "{part:name} lies at the waterline: its stream cannot be seen, and the sea "
                    "can come in through it"
                ),
                "several": (
                    "{count:counted} discharges lie at the waterline: their streams cannot be "
                    "seen, and the sea can come in by them"
                ),
            },
        },
    ),
    "discharge-beside-intake": Row(
        title="Discharge beside the intake",
        levels=("warning",),
        message=(
            "{part:name} is {apart:length} from the intake, which takes in again the water that it "
            "warmed, and its bubbles"
        ),
        fix=(
            "with the boat out of the water, move one of them: {least:length.up} apart or more, "
            "the discharge aft of the intake"
        ),
        basis=("engineering estimate",),
    ),
    "discharge-high": Row(
        title="Discharge high",
        levels=("note",),
        message=(
            "{part:name} is {height:height} above the waterline: the pump lifts all the water so "
            "far before it falls"
        ),
        fix=(
            "{right:height} above the waterline keeps the stream in sight; {sea}bring it down[ "
            "only with the flow of {every_branch} in mind], and have a yard close the old hole"
        ),
        several=(
            "{count:counted} discharges are high above the waterline, {part:name} the highest with "
            "{height:height}: the pump lifts all the water so far before it falls"
        ),
        basis=("common practice",),
    ),
    "lifted-short": Row(
        title="Too little water while the outlet is lifted",
        levels=("warning", "note"),
        message=(
            "[heeled {heel:angle}, ][trimmed {trim:angle}, ]with {part:name} lifted {rise:height} "
            "higher over the water, {unit} gets {flow:flow} of the {needed:flow} that it needs"
        ),
        fix=(
            "run the units upright or heeled the other way; a discharge nearer the middle of the "
            "boat, or hose or a pump that leaves more flow to spare, ends that"
        ),
        basis=("geometry",),
        cases={
            "light": {
                "message": (
                    "lightly laden, with {part:name} {rise:height} higher over the water, {unit} "
                    "gets {flow:flow} of the {needed:flow} that it needs"
                ),
                "fix": (
                    "{sea}bring it lower down, or fit hose or a pump that leaves more flow to spare"
                ),
            },
        },
    ),
}
