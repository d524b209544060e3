"""Findings about what nobody has measured: nameplates, and values that were guessed."""

from loop.words.row import Row

_BAND = (
    "only {pump}'s nameplate is known: its curve is estimated from the usual shape of small "
    "centrifugal pumps, and the band is wider"
)

_OFF = (
    "the file does not say how far {part:name} is off the centerline; beyond {room:length.down}[ "
    "(it may be {likely:length}, an estimate)], the heel of {angle:angle} "
)
_ALONG = (
    "the file does not say how far fore or aft {part:name} is; beyond {room:length.down} from the "
    "middle[ (it may be {likely:length}, an estimate)], the trim of {angle:angle} "
)


def _how_to_get(way: str, fix: str) -> dict[str, dict[str, str]]:
    """Fixes for a guess that is settled in one way, and for one that affects heat only."""
    return {
        way: {"fix": f"{fix}: it would narrow the band most"},
        f"{way}-heat": {"fix": f"{fix}, and take it out of the list of guesses in the file"},
    }


GUESSES: dict[str, Row] = {
    "pump-nameplate": Row(
        title="Pump known by its nameplate",
        levels=("note",),
        message=_BAND,
        fix="get the maker's curve, or measure the flow once the loop runs",
        basis=("nameplate",),
        cases={
            "estimated": {"message": f"{_BAND}; its {{estimated}} is estimated from its power"},
        },
    ),
    "pump-doubtful": Row(
        title="Pump's figures doubtful",
        levels=("warning", "note"),
        message=(
            "by {pump}'s file {efficiency:ratio} of its electrical power goes into the water; no "
            "pump of its kind and size reaches {most:ratio}: a unit or a digit is wrong"
        ),
        fix="check flow, head and power in the pump's file, and their units, against the datasheet",
        basis=("engineering estimate",),
        cases={
            "port": {
                "message": (
                    "by {pump}'s file {flow:flow} comes out of its {port:bore} port with a "
                    "velocity head of {velocity_head:head}, more than its shut-off head of "
                    "{shutoff:head}: a unit or a digit is wrong"
                ),
                "fix": (
                    "check flow, head and port in the pump's file, and their units, against the "
                    "datasheet"
                ),
            },
            "wasteful": {
                "message": (
                    "by {pump}'s file only {efficiency:ratio.significant} of its electrical power "
                    "goes into the water, less than the {least:ratio} of the poorest small pump"
                ),
            },
        },
    ),
    "baseline-doubtful": Row(
        title="Baseline doubtful",
        levels=("warning",),
        message=(
            "by the baseline in the file the losses are {factor:number.2} times those of the "
            "datasheets: no clean loop is that far off, and every figure here rests on it"
        ),
        fix=(
            "compare the file with the boat, take the readings again on the clean loop, and fit a "
            "new baseline; or take the [fitted] table out of the file"
        ),
        basis=("engineering estimate",),
        cases={
            "pump": {
                "message": (
                    "by the baseline in the file the pump runs at {factor:number.2} times its "
                    "curve: no sound pump is that far off, and every figure here rests on it"
                ),
            },
            "ua": {
                "message": (
                    "by the baseline in the file the condenser moves {factor:number.2} times its "
                    "rated heat: no clean one is that far off, and the temperatures here rest on "
                    "it"
                ),
            },
        },
    ),
    "need-doubtful": Row(
        title="Stated need doubtful",
        levels=("warning",),
        message=(
            "{unit}'s stated need is {needed:flow}, and it may get only {low:flow|least}; common "
            "practice for the heat it rejects is {least:flow|low} or more"
        ),
        fix=(
            "check the needed flow, cooling and heat rejection of {unit} against its manual; "
            "without the maker's figure, state {least:flow.up} or more as flow_needed, and check "
            "again"
        ),
        several=(
            "the stated needs of {count:counted} units are doubtful, {unit}'s the most: it is "
            "{needed:flow}, and it may get only {low:flow|least}; common practice for the heat it "
            "rejects is {least:flow|low} or more"
        ),
        several_fix=(
            "check the needed flow, cooling and heat rejection of these units against their "
            "manuals; without the maker's figure, state common practice as flow_needed "
            "({least:flow.up} or more for {unit}), and check again"
        ),
        basis=("flow per ton",),
        cases={
            "twice": {
                "message": (
                    "{unit}'s need is stated twice: its flow_needed, {needed:flow}, counts; by its "
                    "flow_per_ton it is {other:flow}, and it may get only {low:flow|other}"
                ),
                "fix": "check both against {unit}'s manual, and leave the wrong one out",
                "several": "",
            },
            "small": {
                "message": (
                    "{unit}'s stated need is {needed:flow}, at which it trips: common practice "
                    "for the heat it rejects is {least:flow} or more"
                ),
                "several": (
                    "the stated needs of {count:counted} units are doubtful, {unit}'s the most: "
                    "it is {needed:flow}, where common practice for the heat it rejects is "
                    "{least:flow} or more"
                ),
            },
            "high": {
                "several": (
                    "{count:counted} units have stated needs beyond any unit of their capacity, "
                    "{unit} the furthest: {needed:flow}, where {most:flow} is the most"
                ),
                "several_fix": (
                    "check the needed flow and cooling of these units against their manuals"
                ),
                "message": (
                    "{unit}'s stated need is {needed:flow}; no unit of its capacity needs as much "
                    "as {most:flow}"
                ),
                "fix": "check the needed flow and cooling of {unit} against its manual",
            },
            "pump": {
                "several": (
                    "{count:counted} units each need far more than the {end:flow} at the end of "
                    "{pump}'s curve, {unit} the most: {needed:flow} for {cooling:heat}"
                ),
                "several_fix": (
                    "check the cooling of these units and its unit of measure in the file against "
                    "their plates, and the pump's name"
                ),
                "message": (
                    "{unit} needs {needed:flow} for its {cooling:heat}, but {pump} moves no more "
                    "than {end:flow} at the end of its curve: a unit or a digit may be wrong"
                ),
                "fix": (
                    "check the cooling of {unit} and its unit of measure in the file against its "
                    "plate, and the pump's name"
                ),
            },
            "rated": {
                "message": (
                    "{unit} needs {needed:flow}, and the loss of its condenser is rated at "
                    "{rated:flow}: its cooling may be another figure of its plate, such "
                    "as its electrical power, or its need may be too small"
                ),
                "fix": (
                    "check the cooling and the need of {unit} in the file against its plate and "
                    "manual, and the flow at which its condenser's loss is rated"
                ),
                "several": "",
            },
            "digit": {
                "several": (
                    "{count:counted} units get many times what their cooling needs, {unit} the "
                    "most: {times:number.0} times {needed:flow}; digits may be missing"
                ),
                "several_fix": "check the cooling of these units in the file against their plates",
                "message": (
                    "{unit} gets {times:number.0} times the {needed:flow} that its cooling needs: "
                    "a digit may be missing"
                ),
                "fix": "check the cooling of {unit} in the file against its plate",
            },
        },
    ),
    "approach-doubtful": Row(
        title="Stated approach doubtful",
        levels=("warning",),
        message=(
            "{unit}'s approach is stated as {approach:temperature_difference}; a clean condenser "
            "comes within {most:temperature_difference.0} of its leaving water, and one that does "
            "not is scaled"
        ),
        fix=(
            "check it against the maker's data, at the needed flow; if it was measured, have the "
            "condenser descaled and measure again"
        ),
        basis=("engineering estimate",),
        cases={
            "near": {
                "message": (
                    "{unit}'s approach is stated as {approach:temperature_difference}; no "
                    "condenser made for boats comes nearer to its leaving water than "
                    "{least:temperature_difference.0}"
                ),
                "fix": "check it against the maker's data, at the needed flow",
            },
        },
    ),
    "place-unstated": Row(
        title="Place not stated",
        levels=("warning", "note"),
        message=f"{_OFF}lifts it out of the water",
        fix=(
            "measure from the centerline to {parts:names}, and state it as off_centre in the file"
        ),
        basis=("geometry", "engineering estimate"),
        cases={
            "trim": {
                "message": f"{_ALONG}lifts it out of the water",
                "fix": (
                    "measure from the middle of the waterline, fore and aft, to {parts:names}, "
                    "and state it as fore_aft in the file"
                ),
            },
            "intake": {"message": f"{_OFF}lifts it to where it draws air"},
            "trim-intake": {"message": f"{_ALONG}lifts it to where it draws air"},
            "discharge": {"message": f"{_OFF}dips it under the water, and it needs a seacock"},
            "trim-discharge": {
                "message": f"{_ALONG}dips it under the water, and it needs a seacock"
            },
            "vent": {"message": f"{_OFF}brings the sea too near its vent"},
            "trim-vent": {"message": f"{_ALONG}brings the sea too near its vent"},
        },
    ),
    "rise-unstated": Row(
        title="Rise at speed not stated",
        levels=("warning",),
        message=(
            "the file does not say how far the hull rises at {speed:speed.0}: lifted "
            "{room:height} more, the intake draws air, and planing may lift it by an estimated "
            "{lifted:height}"
        ),
        fix=(
            "measure at speed how far the hull rises at the intake, and state it in the file "
            "(light_rise); until then switch the units off before she planes"
        ),
        basis=("submergence", "engineering estimate"),
        cases={
            "shallow": {
                "message": (
                    "the file does not say how far the hull rises at {speed:speed.0}: planing may "
                    "lift the intake, too shallow without it, by an estimated {lifted:height} more"
                ),
            },
        },
    ),
    "guessed": Row(
        title="Guessed values",
        levels=("warning", "note"),
        message="guesses: {guesses:list}[, and {more:number.0} more]",
        fix="measure the {first}",
        basis=("guess",),
        cases={
            "short": {
                "message": (
                    "guesses: {guesses:list}[, and {more:number.0} more]; if they are off, a unit "
                    "may get only {share:ratio} of its need"
                ),
            },
            "height": {
                "message": (
                    "guesses: {guesses:list}[, and {more:number.0} more]; with the {first} a "
                    "little off, a part is too high or too low"
                ),
                "fix": "measure the {first}, and take it out of the list of guesses in the file",
            },
            **_how_to_get("measure", "measure the {first}"),
            **_how_to_get("plate", "read the {first} off the unit's plate"),
            **_how_to_get("type", "read the type off the pump's plate, and get its curve"),
            **_how_to_get("datasheet", "take the {first} from its datasheet"),
            **_how_to_get("look", "check the {first}"),
        },
    ),
}
