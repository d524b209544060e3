"""Findings about the pump's supply."""

from loop.words.row import Row

SUPPLY: dict[str, Row] = {
    "supply-charging": Row(
        title="Enough water only while charging",
        levels=("warning",),
        message=(
            "{unit} has enough on {supply:voltage}, which a bank gives only while it charges; on "
            "{rated:voltage} it gets {flow:flow}, and only {low:flow|needed} of the "
            "{needed:flow|low} needed where pump and losses are at the poor end of their tolerance"
        ),
        fix="size the loop for the supply without the charger",
        several=(
            "{count:counted} units have enough only on {supply:voltage}, which a bank gives only "
            "while it charges; on {rated:voltage} the worst, {unit}, gets {flow:flow}, and only "
            "{low:flow.bare|needed} of the {needed:flow|low} needed where pump and losses are at "
            "the poor end of their tolerance"
        ),
        basis=("band", "dc supply"),
    ),
    "supply-sags": Row(
        title="Lowest supply",
        levels=("warning", "note"),
        message=(
            "on the lowest supply that the file states, {supply:voltage}, {unit} gets {flow:flow}, "
            "and only {low:flow|needed} of the {needed:flow|low} needed where pump and losses are "
            "at the poor end of their tolerance"
        ),
        fix="{power}fit a pump that gives as much on that supply",
        always=(
            "measure volts at the bank and at the pump, while it runs and the bank is at its "
            "lowest: thicker wire may be enough"
        ),
        basis=("band",),
        cases={
            "enough": {
                "message": (
                    "on the lowest supply that the file states, {supply:voltage}, {unit} gets "
                    "{flow:flow}, and {low:flow|needed} of the {needed:flow|low} needed where pump "
                    "and losses are at the poor end of their tolerance: enough"
                ),
                "fix": "measure volts at the pump while it runs and the bank is at its lowest",
                "always": "",
            },
        },
    ),
    "supply-low": Row(
        title="Supply low",
        levels=("warning", "note"),
        message=(
            "the pump has {supply:voltage|least}, and a lead-acid bank is empty at "
            "{least:voltage|supply}: it is charged too late, or wire and connections take the rest"
        ),
        fix="by a qualified electrician, {power}give the pump {rated:voltage}",
        always="measure volts at the bank and at the pump, while it runs",
        basis=("common practice",),
        cases={
            "empty": {
                "message": (
                    "the pump has {supply:voltage}, at which a lead-acid bank is empty: it is "
                    "charged too late, or wire and connections take the rest"
                ),
            },
            "wire": {
                "message": (
                    "the pump has {supply:voltage|full} of {full:voltage|supply}: wire and "
                    "connections should take 3%, and no more than 10%, or the bank is low"
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
            "by a qualified electrician, {power}give the pump its rated supply, or fit one for the "
            "supply that there is"
        ),
        basis=("dc supply",),
        cases={
            "slow": {
                "message": (
                    "{pump} is rated for {rated:voltage} and gets {supply:voltage}: it turns at "
                    "{speed:ratio} of its speed, and may not start"
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
                    "{supply:voltage} {frequency:frequency.1}: its motor bears either alone, and "
                    "may overheat of both together"
                ),
            },
            "drift": {
                "message": (
                    "{pump} is rated for {rated_frequency:frequency.1} and gets "
                    "{frequency:frequency.1}: its motor bears that, and its speed follows it"
                ),
            },
            "bank": {
                "message": (
                    "{pump} is rated for {rated:voltage}, and the boat's bank gives "
                    "{supply:voltage}"
                ),
                "fix": (
                    "by a qualified electrician, {power}fit a pump for the bank, or feed this one "
                    "through a converter, and state what that gives as the pump's supply"
                ),
            },
            "bank-stated": {
                "message": (
                    "{pump}'s supply is stated as {stated:voltage}, and the boat's bank as "
                    "{supply:voltage}: without a converter between them the pump has the bank's"
                ),
                "fix": (
                    "look whether there is a converter; without one, by a qualified electrician, "
                    "{power}fit a pump for the bank"
                ),
            },
            "range": {
                "message": (
                    "{pump} gets {supply:voltage|low}; its maker states {low:voltage} to "
                    "{high:voltage}"
                ),
                "fix": "by a qualified electrician, bring the supply inside what the maker states",
            },
        },
    ),
}
