"""The sentences of a sizing: the choice, its reasons, alternatives, and how far it goes."""

from loop.words.template import Sayings

SIZING: dict[str, str] = {
    # An option.
    "option": (
        "{pump}, {suction:bore} suction, {pressure:bore} pressure[, {branches} branches]"
        "[, {seacock:bore} seacock][, {barbs:bore} barbs][, strainer {strainer}]"
    ),
    "option-as-is": "{option}, as it stands",
    "pumps-parallel": "{count} × {pump} side by side",
    "pumps-series": "{count} × {pump} in line",
    # The worst service.
    "service-sea": "sea at {sea:temperature}",
    "service-strainer": "strainer {blocked:ratio} blocked",
    "service-scale": "{scale} of scale in tubes of known bore",
    "service-supply": "supply at {supply:voltage}",
    # Why this choice.
    "choice-unit": (
        "{unit} gets {flow:flow} at the worst service and needs {needed:flow}; the chance that it "
        "gets enough is {chance}."
    ),
    "choice-units": (
        "Each of the {count} units gets its need at the worst service; {unit} has the least to "
        "spare, {flow:flow} against {needed:flow} needed; the chance that it gets enough is "
        "{chance}."
    ),
    "choice-power": (
        "The pump draws {power:power}; the pumps that pass draw {least:power} to {most:power}."
    ),
    "choice-as-it-stands": "The loop as it stands passes too: no hose or pump has to change.",
    "choice-put-right": (
        "Once that is fixed the loop passes as it stands: no hose or pump has to change."
    ),
    "choice-priming": (
        "Priming needs {start:head} of head; the pump's shut-off head is {shutoff:head}."
    ),
    "choice-as-new": "As new, with a clean strainer, a check of it still finds: {titles}.",
    "choice-fill-first": (
        "Fill {branches} first, with the other branches' valves shut: while those run, too little "
        "head is left to prime (loop check gives the angles)."
    ),
    "chance": "{percent}%",
    "chance-most": "over 99%",
    "chance-least": "under 1%",
    "chance-low": (
        "{unit} gets its flow, and stays within its limits, with a chance of {chance:ratio}; "
        "{asked:ratio} is required"
    ),
    "wall-smaller-suction": "Smaller suction hose fails at {bore:bore}: {reason}.",
    "wall-smaller-pressure": "Smaller pressure hose fails at {bore:bore}: {reason}.",
    "wall-larger-suction": "Larger suction hose fails at {bore:bore}: {reason}.",
    "wall-larger-pressure": "Larger pressure hose fails at {bore:bore}: {reason}.",
    "reason-first": "{reason}[ (and {more} more)]",
    "none-passes": "None of the {count} options tried passes.",
    "none-nearest": "The nearest is {option}: {reason}.",
    "none-reasons": "Reasons for failing: {counted}.",
    "none-seacock": (
        "All keep the existing through-hull and seacock; seacock_bores under [sizing] allows other "
        "sizes."
    ),
    "reason-chance": "chance too low",
    # The choice against another option.
    "against-fails": "{other} {better}, but fails: {reason}.",
    "against-margin": (
        "{other} {better}, but has {its:ratio} of the need to spare (the choice: {mine:ratio})."
    ),
    "against-power": "{other} {better}, but draws {its:power} (the choice: {mine:power}).",
    "against-price": "{other} {better}, but costs {its} (the choice: {mine}).",
    "against-bore": "{other} {better}, but needs hose of {its:bore} (the choice: {mine:bore}).",
    "better-cheaper": "is {less} cheaper",
    "better-smaller": "needs no hose over {bore:bore}",
    "better-draw": "draws {power:power} less in total",
    "better-quieter": "draws {power:power} less",
    "prefer": "Prefer it where {reasons}.",
    "prefer-or": ", or where ",
    "prefer-margin": (
        "the strainer is cleaned late or growth is heavy ({more:ratio} more of the need to spare)"
    ),
    "prefer-power": "the battery counts most ({less:power} less)",
    "prefer-price": "money counts most ({less} cheaper)",
    "prefer-bore": "room is tight (no hose over {bore:bore})",
    # How far the choice goes.
    "reach-run": "hose after the pump",
    "reach-lift": "units higher by",
    "reach-sea": "sea",
    "reach-blocked": "strainer blocked",
    "reach-supply": "supply",
    "reach-past": "past {limit}",
    # A pump for each unit; the total draw.
    "apart": (
        "{count} pumps draw {power:power} in total[, the choice {one:power}; each pump runs only "
        "while its unit does]."
    ),
    "energy-draw": (
        "Least total draw of those that pass: {option} (pump {power:power}[, {whole:power} in "
        "total] at the worst service)."
    ),
    "energy-pump": (
        "Least pump of those that pass: {option} (pump {power:power}[, {whole:power} in total] at "
        "the worst service)."
    ),
    "energy-best-flow": (
        "Beyond {flow:flow}, one more watt of a pump like {pump} saves less than a watt of "
        "compressor."
    ),
    # Mistakes in the request.
    "wrong-many": (
        "sizing: {count} combinations of pumps, strainers, seacocks and barbs; at most {most}: "
        "list fewer"
    ),
    "wrong-barbs": "sizing: every barb listed is larger than every hose; list smaller ones",
    "wrong-supply": (
        "sizing pumps: none of those listed runs on the boat's supply; list others, or that "
        'supply, as supplies = ["12 V DC"]'
    ),
    "wrong-draws": "draws: {value} is out of range; it must be 1 to {most}",
    "wrong-seed": "seed: {value} is out of range; it must be 0 or more",
    "short": "{unit} gets {share:ratio} of the flow it needs",
    # Ranges of the uncertain quantities.
    "range": "±{half:ratio}",
    "range-bore": "±1/32 in",
    "range-blocked": "±{points:number.0} points about the service",
    "range-sea": "±{half:temperature_difference} about the warmest",
    "range-ribbed": "{low} to {high} mm",
    "ribbed": "roughness of ribbed hose",
    "ribbed-shared": "all of it",
    "ribbed-basis": "range of the tables",
}

SAY = Sayings(SIZING)
