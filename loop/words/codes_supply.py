"""Findings about the pump's supply."""

from loop.words.row import Row

SUPPLY: dict[str, Row] = {
    "supply-charging": Row(
        title="Enough water only while charging",
        levels=("warning",),
        message=(
            "{unit} gets enough on {supply:voltage}, which a bank gives only while it charges; on "
            "{rated:voltage} it gets {flow:flow}, and only {low:flow|needed} of the "
            "{needed:flow|low} it needs if pump and losses are at the poor end of tolerance"
        ),
        fix="size the loop for the supply without the charger",
        several=(
            "{count:counted} units get enough only on {supply:voltage}, which a bank gives only "
            "while it charges; on {rated:voltage} the worst, {unit}, gets {flow:flow}, and only "
            "{low:flow.bare|needed} of the {needed:flow|low} it needs if pump and losses are at "
            "the poor end of tolerance"
        ),
        basis=("band", "dc supply"),
    ),
    "supply-sags": Row(
        title="Flow on the lowest supply",
        levels=("warning", "note"),
        message=(
            "on the lowest supply in the file, {supply:voltage}, {unit} gets {flow:flow}, and "
            "only {low:flow|needed} of the {needed:flow|low} it needs if pump and losses are at "
            "the poor end of tolerance"
        ),
        fix="{power}fit a pump that gives enough on that supply",
        always=(
            "measure volts at the bank and at the pump, with the pump running and the bank at its "
            "lowest: heavier wire may be enough"
        ),
        basis=("band",),
        cases={
            "enough": {
                "message": (
                    "on the lowest supply in the file, {supply:voltage}, {unit} gets {flow:flow}, "
                    "and {low:flow|needed} of the {needed:flow|low} it needs if pump and losses "
                    "are at the poor end of tolerance: enough"
                ),
                "fix": "measure volts at the pump, with it running and the bank at its lowest",
                "always": "",
            },
        },
    ),
    "supply-low": Row(
        title="Supply low",
        levels=("warning", "note"),
        message=(
            "the pump gets {supply:voltage|least}, and a lead-acid bank is flat at "
            "{least:voltage|supply}: it is charged too late, or wire and connections drop the rest"
        ),
        fix=(
            "{wiring}correct the supply (voltage, wire size, connections) so that the pump "
            "gets {rated:voltage}"
        ),
        always="measure volts at the bank and at the pump, with the pump running",
        basis=("common practice",),
        cases={
            "empty": {
                "message": (
                    "the pump gets {supply:voltage}, at which a lead-acid bank is flat: it is "
                    "charged too late, or wire and connections drop the rest"
                ),
            },
            "wire": {
                "message": (
                    "the pump gets {supply:voltage|full} of {full:voltage|supply}: the bank is "
                    "low, or wire and connections drop too much (3% is right, 10% is the most)"
                ),
            },
        },
    ),
    "supply-wrong": Row(
        title="Wrong supply",
        levels=("danger", "warning", "note"),
        message=(
            "{pump} is rated for {rated:voltage} and gets {supply:voltage}: the motor may stall "
            "and burn out"
        ),
        fix=(
            "{power}have a qualified electrician give the pump its rated supply, or fit one made "
            "for the boat's supply"
        ),
        basis=("dc supply",),
        cases={
            "slow": {
                "message": (
                    "{pump} is rated for {rated:voltage} and gets {supply:voltage}: it turns at "
                    "{speed:ratio} of its rated speed, and may not start"
                ),
            },
            "high": {
                "message": (
                    "{pump} is rated for {rated:voltage} and gets {supply:voltage}: its motor "
                    "burns out"
                ),
            },
            "both": {
                "message": (
                    "{pump} is rated for {rated:voltage} {rated_frequency:frequency} and gets "
                    "{supply:voltage} {frequency:frequency}: the motor burns out"
                ),
            },
            "frequency": {
                "message": (
                    "{pump} is rated for {rated_frequency:frequency} and gets "
                    "{frequency:frequency}: the motor overheats, or runs off its curve"
                ),
            },
            "sum": {
                "message": (
                    "{pump} is rated for {rated:voltage} {rated_frequency:frequency.1} and gets "
                    "{supply:voltage} {frequency:frequency.1}: its motor tolerates either alone, "
                    "but may overheat from both together"
                ),
            },
            "drift": {
                "message": (
                    "{pump} is rated for {rated_frequency:frequency.1} and gets "
                    "{frequency:frequency.1}: its motor tolerates that, and its speed follows the "
                    "frequency"
                ),
            },
            "bank": {
                "message": (
                    "{pump} is rated for {rated:voltage}, but the boat's bank gives "
                    "{supply:voltage}"
                ),
                "fix": (
                    "{power}have a qualified electrician fit a pump made for the bank's voltage, "
                    "or feed this one through a converter, and state its output as the pump's "
                    "supply"
                ),
            },
            "bank-stated": {
                "message": (
                    "{pump}'s supply is stated as {stated:voltage}, but the boat's bank as "
                    "{supply:voltage}: without a converter between them the pump gets the bank's"
                ),
                "fix": (
                    "look for a converter; if there is none, {power}have a qualified electrician "
                    "fit a pump made for the bank's voltage"
                ),
            },
            "range": {
                "message": (
                    "{pump} gets {supply:voltage|low}; its maker states {low:voltage} to "
                    "{high:voltage}"
                ),
                "fix": "{wiring}bring the supply within the maker's range",
            },
        },
    ),
}
