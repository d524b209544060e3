"""The sentences of `loop check`'s report: its first lines, each unit, the pump, its tables."""

from loop.words.template import Sayings

_DRIVEN = "The scoop's head drives {flow:flow} through"
_PRIMING = "priming needs {priming:head}. Suction head (NPSH) {npsh:head}"

CHECK_REPORT: dict[str, str] = {
    "good": "Every unit gets enough water. No problems found.",
    "good-unsaid": (
        "Every unit gets enough water. No problems found, but the file does not state {unsaid}."
    ),
    "more-below": "And {count} more below.",
    "more-in-check": "loop check gives {count} more.",
    "fix": "Fix:",
    "source": "Source: {source} ({code})",
    "findings": "Findings",
    "notes": "Notes",
    "cautions": "Cautions",
    "places": "{count} places",
    # One unit, or a table of several.
    "need": " ({band}), {needed} needed: ",
    "just-enough": "just enough",
    "warms": (
        "The water warms {rise:temperature_difference}; condensing near "
        "{condensing:temperature}, an estimate"
    ),
    "trips": "Condensing over {limit:temperature}: it trips first",
    "over": "over {limit}",
    "at-rest": "At rest, without the scoop's head: {flows}",
    "at-best": "With the falling leg full: {flows}",
    "at-best-several": "With the falling legs full: {flows}",
    "half-blocked": "With the strainer half blocked: {flow:flow}",
    "arriving": "Water reaches {unit} at {temperature}, warmed by {by:list}",
    "arriving-round": "Water reaches {unit} at {temperature}: some of its own recirculates",
    "estimated": "* condensing temperature, an estimate",
    "head-unit": "Unit",
    "head-flow": "flow",
    "head-need": "need",
    "head-band": "may be",
    "head-warms": "warms",
    "head-condensing": "cond.*",
    "head-half-blocked": "strainer half\nblocked, {unit}",
    # Draw of pump and units.
    "draw": (
        "Draw at {stage} stage: {power:power} in all[, {share:ratio} of it the pump]"
        "[; {current:current}, {hours:number.1} hours]"
    ),
    "power-estimated": "The pump's power is an estimate: its file states none.",
    "draw-left-out": "Not included: {units}, with no draw stated.",
    # The parts in the water's order.
    "parts-title": "Where the head goes, from the sea to the sea",
    "parts-share": "Share: percent of the pump's head[ {scoop}][ {along}]. Lift takes the rest.",
    "parts-film": "{part}*",
    "parts-film-note": (
        "* Holds air: the water runs down as a film, and the fall is not recovered[, which is "
        "{parts}]."
    ),
    "parts-film-takes": "{head:head} of the loss of {part}",
    "parts-scoop": "and the scoop's",
    "parts-along": "along its own branch",
    "joined": "· joined again",
    "left-half-blocked": "flow with the strainer half blocked",
    "narrow": "Left out to fit the width: {heads}.",
    "head-part": "Part",
    "head-height": "height",
    "head-speed": "speed",
    "head-lost": "lost",
    "head-gauge": "gauge",
    "head-share": "share",
    # The pump, one or several side by side or in line.
    "pump-title": "Pump",
    "pump-one": (
        "{pump} gives {head:head} at {flow:flow}, {share:ratio} of the {shutoff:head} at shut-off; "
        "priming needs {priming:head}.[ Power {power:power}.] Suction head (NPSH) "
        "{npsh:head}[; it needs {needed:head}]."
    ),
    "pump-several": (
        "{pump} give {head:head} at {flow:flow}, {share:ratio} of the {shutoff:head} at shut-off; "
        "priming needs {priming:head}.[ Power {power:power} in all.] Suction head (NPSH) "
        "{npsh:head}[; each needs {needed:head}]."
    ),
    # Beyond the pump's largest flow the scoop drives the water.
    "driven-one": (
        f"{_DRIVEN} {{pump}}, which then takes about {{head:head}} of it; it gives "
        f"{{shutoff:head}} at shut-off; {_PRIMING}[; it needs {{needed:head}}]."
    ),
    "driven-several": (
        f"{_DRIVEN} {{pump}}, which then take about {{head:head}} of it; they give "
        f"{{shutoff:head}} at shut-off; {_PRIMING}[; each needs {{needed:head}}]."
    ),
}
SAY = Sayings(CHECK_REPORT)
