"""Findings about the condenser's heat and the discharge."""

from loop.words.row import Row

_WATER = (
    "in {inlet:temperature} water[ (sea {sea:temperature}, warmed by {warmed_by:list})][ with the "
    "sea at its warmest, {warmest:temperature}]"
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
            "in this water it condenses at {best:temperature} with all the flow it needs: check "
            "the limit in the file against the maker's, and run the unit at part load while the "
            "sea is this warm. Its own cut-out is the maker's: never raise it"
        ),
        several=(
            "{count:counted} units condense at or over their limits, the worst {unit} at "
            f"{{condensing:temperature}} {_WATER}; its {{which}} limit is {{limit:temperature}}"
        ),
        several_fix=(
            "in this water the worst condenses at {best:temperature} with all the flow it needs: "
            "check the limits in the file against the makers', and run the units at part load "
            "while the sea is this warm. Their own cut-outs are the makers': never raise them"
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
                    "check the sea temperature in the file, and the approach and needed flow of "
                    "these units: with those values they trip"
                ),
                "fix": (
                    "check the sea temperature in the file, and the unit's approach and needed "
                    "flow: with those values it trips"
                ),
            },
            "hot": {
                "message": (
                    f"{{unit}} condenses at {{condensing:temperature}} {_WATER}, over "
                    "{limit:temperature}, the most for any unit on the hottest day"
                ),
                "several": (
                    "{count:counted} units condense over {limit:temperature}, the most for any "
                    "unit on the hottest day, the worst {unit} at {condensing:temperature} "
                    f"{_WATER}"
                ),
                "several_fix": (
                    "check the sea temperature in the file, and the approach and heat rejection "
                    "of these units; if they are right, give the units more water, or state "
                    "condensing_watch from their manuals"
                ),
                "fix": (
                    "check the sea temperature in the file, and the unit's approach and heat "
                    "rejection; if they are right, give the unit more water, or state "
                    "condensing_watch from its manual"
                ),
            },
            "warmed": {
                "message": (
                    "{unit} condenses at {condensing:temperature} in {inlet:temperature} water "
                    "(sea {sea:temperature}, warmed by {warmed_by:list}): over the "
                    "{limit:temperature} it would have with its needed flow straight from the sea"
                ),
                "several": (
                    "{count:counted} units condense higher than they would with their needed flow "
                    "straight from the sea, the worst {unit} at {condensing:temperature} in "
                    "{inlet:temperature} water (sea {sea:temperature}, warmed by {warmed_by:list})"
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
                    "bring the flow up to the need: it then condenses at {best:temperature}; see "
                    "the finding on its flow"
                ),
                "several_fix": (
                    "bring the flows up to the need: the worst then condenses at "
                    "{best:temperature}; see the finding on flow"
                ),
            },
            "alone": {
                "fix": (
                    "{sea}pipe {unit} side by side with {warmed_by:list}, on a branch of its own "
                    "from the pump: with as much water as now it condenses at {alone:temperature}"
                ),
                "several_fix": (
                    "{sea}pipe each side by side with the others, on a branch of its own from the "
                    "pump: with as much water as now {unit} condenses at {alone:temperature}"
                ),
            },
        },
    ),
    "condenser-fouled": Row(
        title="Condenser fouled",
        levels=("warning",),
        message=(
            f"{{unit}} condenses at {{condensing:temperature}} {_WATER}, because its tube is "
            "scaled; "
            "clean, with the flow it needs, it would condense at {clean:temperature} at most"
        ),
        fix="have its condenser descaled",
        several=(
            "{count:counted} units condense higher than they would clean, with the flow they "
            f"need, the worst {{unit}}: at {{condensing:temperature}} {_WATER}, where clean it "
            "would condense at {clean:temperature} at most"
        ),
        basis=("heat",),
        cases={
            "baseline": {
                "message": (
                    "by the baseline in the file the condenser moves {factor:number.2} times its "
                    f"rated heat: {{unit}} condenses at {{condensing:temperature}} {_WATER}"
                    "; a clean one, with the flow it needs, at {clean:temperature} at most"
                ),
                "fix": (
                    "have its condenser descaled, take the readings again, and fit a new baseline"
                ),
            },
        },
    ),
    "limit-unstated": Row(
        title="Maker's limit not stated",
        levels=("warning",),
        message=(
            f"{{unit}} condenses at {{condensing:temperature}} {_WATER}; over "
            "{limit:temperature} its maker's limits decide whether it runs on, and the file states "
            "none"
        ),
        fix=(
            "read in its manual how high {unit} may condense, or how warm its water may be, and "
            "state condensing_watch and condensing_stop in the file; until then watch the unit "
            "while the sea is this warm. Its own cut-out is the maker's: never raise it"
        ),
        several=(
            "{count:counted} units condense over {limit:temperature}, the worst {unit} at "
            f"{{condensing:temperature}} {_WATER}; over that their makers' limits decide whether "
            "they run on, and the file states none"
        ),
        several_fix=(
            "read in their manuals how high they may condense, or how warm their water may be, "
            "and state condensing_watch and condensing_stop in the file; until then watch the "
            "units while the sea is this warm. Their own cut-outs are the makers': never raise them"
        ),
        basis=("heat", "engineering estimate"),
    ),
    "condensing-low": Row(
        title="Condensing temperature too low",
        levels=("warning",),
        message=(
            f"{{unit}} would condense at {{condensing:temperature}} {_WATER}, less than "
            "{least:temperature_difference.0} above the {evaporating:temperature} at which its "
            "coil evaporates while cooling: no unit cools in water this cold"
        ),
        fix=(
            "check the sea temperature in the file, and its unit, degF or degC. This program "
            "covers cooling only: in heating the coil freezes in water this cold"
        ),
        several=(
            "{count:counted} units would condense less than {least:temperature_difference.0} "
            "above the {evaporating:temperature} at which a coil evaporates while cooling, {unit} "
            "the lowest at "
            f"{{condensing:temperature}} {_WATER}: no unit cools in water this cold"
        ),
        basis=("heat", "engineering estimate"),
    ),
    "discharge-under-water": Row(
        title="Discharge under water",
        levels=("warning", "note"),
        message=(
            "{part:name} is {depth:height} under the water: its stream cannot be seen, and the "
            "sea can come in through it"
        ),
        fix=(
            "with the boat out of the water, raise it to {right:height} above the waterline (more "
            "if she heels further than stated); the hose before it must reach"
        ),
        several=(
            "{count:counted} discharges are under the water, {part:name} the deepest by "
            "{depth:height}: their streams cannot be seen, and the sea can come in through them"
        ),
        several_fix=(
            "with the boat out of the water, raise them to {right:height} above the waterline "
            "(more if she heels further than stated); the hoses before them must reach"
        ),
        basis=("common practice", "through-hull"),
        cases={
            "waterline": {
                "message": (
                    "{part:name} is at the waterline: its stream cannot be seen, and the sea can "
                    "come in through it"
                ),
                "several": (
                    "{count:counted} discharges are at the waterline: their streams cannot be "
                    "seen, and the sea can come in through them"
                ),
            },
        },
    ),
    "discharge-beside-intake": Row(
        title="Discharge next to the intake",
        levels=("warning",),
        message=(
            "{part:name} is {apart:length} from the intake, which draws the warmed water and its "
            "bubbles back in"
        ),
        fix=(
            "with the boat out of the water, move one of them, to {least:length.up} apart or more "
            "with the discharge aft of the intake"
        ),
        basis=("engineering estimate",),
    ),
    "discharge-high": Row(
        title="Discharge high",
        levels=("note",),
        message=(
            "{part:name} is {height:height} above the waterline: the pump lifts all the water "
            "that high before it falls"
        ),
        fix=(
            "{right:height} above the waterline keeps the stream in sight; {hole}lower it[, but "
            "keep the flow of {every_branch} in mind], and have a yard close the old hole"
        ),
        several=(
            "{count:counted} discharges are high above the waterline, {part:name} the highest at "
            "{height:height}: the pump lifts all the water that high before it falls"
        ),
        several_fix=(
            "{right:height} above the waterline keeps the streams in sight; {holes}lower them[, "
            "but keep the flow of {every_branch} in mind], and have a yard close the old holes"
        ),
        basis=("common practice",),
    ),
    "lifted-short": Row(
        title="Too little water while the outlet is lifted",
        levels=("warning", "note"),
        message=(
            "[heeled {heel:angle}, ][trimmed {trim:angle}, ]with {part:name} lifted {rise:height} "
            "higher above the water, {unit} gets {flow:flow} of the {needed:flow} it needs"
        ),
        fix=(
            "run the units with the boat upright or heeled the other way; the lasting fix is a "
            "discharge nearer the middle of the boat, or hose or a pump with more flow to spare"
        ),
        basis=("geometry",),
        cases={
            "light": {
                "message": (
                    "when light, with {part:name} {rise:height} higher above the water, {unit} "
                    "gets {flow:flow} of the {needed:flow} it needs"
                ),
                "fix": (
                    "{hole}lower it, and have a yard close the old hole, or fit hose or a pump "
                    "with more flow to spare"
                ),
            },
        },
    ),
}
