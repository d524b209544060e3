"""Text of the figures: each one's first line, subject, caption and signs."""

from loop.words.template import Sayings

FIGURES: dict[str, str] = {
    # Air: where it stays, head for priming.
    "air-not-primed": (
        "{who} does not prime: it needs {head} of head, the pump has {shutoff}[; {bleeds}]"
    ),
    "air-branch": "Branch “{branch}”",
    "air-loop": "The loop",
    "air-bleeds": "bleeds at the high points fix that",
    "air-suction": "High point above the waterline in the suction: will not prime",
    "air-shallow": "The intake is {depth} too shallow at its worst",
    "air-stands": "Nothing flows, and air stays where it is",
    "air-none": "No air stays, and priming needs almost no head",
    "air-none-any": "No air stays in any branch, and priming needs almost no head",
    "air-priming": "No air stays; priming needs {head}, the pump has {shutoff}",
    "air-priming-any": ("No air stays; priming needs up to {head}, the pump has {shutoff}"),
    "air-before-pump": "A high point before the pump, at {height}, holds air",
    "air-stays": "Air stays behind {where}",
    "air-may-stay": "Air may stay behind {where}",
    "air-where": "the high point at {height}[ in “{branch}”]",
    "air-where-first": "{count} high points, the first at {height}[ in “{branch}”]",
    "air-stays-leg": "Air stays in the leg to the outlet, and costs {head} of the pump's head",
    "air-may-stay-leg": (
        "Air may stay in the leg to the outlet, and costs {head} of the pump's head"
    ),
    "air-vented-leg": (
        "The leg after the vented loop holds air, and costs {head} of the pump's head"
    ),
    "sign-vent": "{point},\nits vent lets air in",
    "sign-bleed-here": "fit a bleed here",
    "sign-bleed-outlet": "fit a bleed\nat the outlet",
    "sign-open-filling": ",\nopen it while the line fills",
    "sign-open-stopped": ",\nopen it with the pump stopped",
    "sign-bleed-brief": "fit a bleed",
    "sign-bleed": "bleed",
    "sign-low-point": "low point {height}",
    "sign-high-point": "high point {height}",
    "sign-leg-air": "{point}: air in\nthe leg after it",
    "sign-vented": "{point},\nhas its bleed",
    "sign-open-full": "{point}, the\nleg after it runs full",
    "sign-open-end": "{point},\nair leaves by the outlet",
    "sign-suction-air": "{point}:\n{drop} of air",
    "sign-locked": "{point}:\nair locks it",
    "sign-held": "{point}:\nair stays",
    "sign-may-stay": "{point}:\nair may stay",
    "sign-swept": "{point},\nswept clear",
    # Signs and axes that several figures share.
    "found": "as found",
    "waterline": "waterline",
    "needed": "needed {flow}",
    "axis-flow": "flow, {unit}",
    "axis-flow-share": "flow, % of each unit's need",
    "axis-head": "head, {unit}",
    "axis-height": "height above the waterline, {unit}",
    "hose-size": "{length} of {bore}",
    "other-unit": "the other unit",
    "other-units": "the other {count} units",
    "no-figure": "--figure: no figure {figure}; figures: {figures}",
    "not-a-figure": "{file}: a figure is a .png, .svg or .pdf file; end its name so",
    "no-branch": "{job}: no branch {branch}; branches: {branches}",
    "no-branch-at-all": "none: it is a single line",
    # Pump curve and system curve.
    "curves": "pump curve and system curve",
    "curves-caption": (
        "Blue: the pump's tolerance ({source}, ±{flow:ratio} flow, ±{head:ratio} head). Below: "
        "each unit in {count} loops like this one, with pump, losses (±{loss:ratio}), hose bore "
        "({bore}) and barbs (±{barb:ratio}) drawn at random; the last three are engineering "
        "estimates."
    ),
    "curves-shut": "Nothing flows: a valve is shut",
    "curves-none": "Nothing flows: the pump's shut-off head is {head} and the loop needs more",
    "curves-band": "{low} to {high} where {needed} is needed",
    "curves-shortest": "Of {count} units {unit} is shortest: {band}",
    "curves-nearest": "{unit} is nearest to its need: {band}",
    "once-primed": "Once primed, which air prevents: {said}",
    "curves-needs": "needs add up to\n{flow}",
    "curves-need": "needed\n{flow}",
    "curves-left": "{head} left over\nat the need",
    "curves-missing": "{head} missing\nat the need",
    "curves-point": "{flow}\nat {head}",
    "curves-loop": "the loop",
    "curves-loop-clean": "the loop,\nstrainer clean",
    "curves-loop-blocked": "the loop, strainer\n{share:ratio} blocked",
    "curves-blocked": "strainer\n{share:ratio} blocked",
    "curves-bore": "±1/32 in",
    "strips-axis": "flow of a unit over its need",
    "curves-flow": "flow through the pump, {unit}",
    "curves-all": "{which} of {count} loops meet its need",
    "curves-odds": "{share} in 100 loops meet its need",
    # Visits.
    "drift-none": "{job}: the figure drift needs [[visit]] tables; there are none",
    "drift": "{job}: flow through the pump, visit by visit",
    "drift-caption": (
        "Each mark is the flow that a visit's readings show, with its 90% band; the line is their "
        "trend, each visit weighed by its uncertainty, and the shaded fan the trends that the "
        "readings allow (90%). Thick on the line of the need: when the trend may reach it."
    ),
    "drift-down": "Down to {flow} on {date}, where {need} is needed",
    "drift-one-day": "One day's readings, {flow}, show no trend yet",
    "drift-below": "The flow falls below the need about {date} ({band})",
    "drift-from": "from {early} on",
    "drift-band": "{early} to {late}",
    "drift-slow": "The flow falls, but not below the need within ten years",
    "drift-steady": "The flow does not fall from visit to visit",
    # The total draw.
    "energy-none": (
        '{job}: the figure energy needs a draw stated, such as electrical = "620 W at 100 degF" '
        "in its [[condenser]]"
    ),
    "energy-trips": "{job}: every unit trips, whatever the pump",
    "energy": "total draw against flow, units at full stage",
    "energy-worst": "total draw against flow, units at full stage, worst service",
    "energy-now": "{power} W in total at full stage[, {hours:number.1} hours on the battery]",
    "energy-axis": "flow of the pump, {unit}",
    "energy-axis-draw": "draw, W",
    "energy-as-is": "as it is",
    "energy-stands": "as it stands",
    "energy-least": "least draw",
    "energy-least-passes": "least draw that passes",
    "energy-choice": "choice",
    "energy-runner-up": "runner-up",
    "energy-option": "{names}: {pump}",
    "energy-mark": "{name}:\n{flow}, {power} W",
    "energy-mark-listed": "{name}: {flow}, {power} W",
    "energy-units": "the units, at the source",
    "energy-pump": "the pump",
    "energy-unit-trips": "As it is, a unit trips; with more water it runs",
    "energy-best": "{now}: no other flow saves 1\u00a0% of it",
    "energy-less": "{now}; at {flow} it would be {power} W less",
    "energy-caption": (
        "A weak pump costs twice: the compressors' draw rises with the condensing temperature. "
        "Pumps of this quality, smaller and larger, on this loop. Compressor by constant "
        "second-law efficiency, an engineering estimate."
    ),
    "energy-sized": (
        "Line: the choice's hoses. Marks: options of the sizing, with pumps and hoses of their "
        "own; hollow ones pass too."
    ),
    "energy-supply": "All as drawn from the batteries, AC loads through the inverter.",
    # The strainer as it blocks.
    "fouling-none": ('{job}: the figure fouling needs a part of kind "strainer"; there is none'),
    "fouling": "flow and condensing temperature as the strainer blocks",
    "fouling-caption": (
        "With a share b of the basket blocked, water runs through the rest at 1/(1 − b) times the "
        "speed, and the basket's loss goes with the square; the housing's stays. With 0.7 of the "
        "clean loss in the basket, the strainer loses 0.3 + 0.7/(1 − b)² times as much at the same "
        "flow: little happens at first, and much at the end.[ {air}]"
    ),
    "fouling-air-caption": (
        "From {share:ratio} on the water is too slow to keep air out of {hoses}: the fall there is "
        "not recovered, and the flow drops."
    ),
    "fouling-air": "air begins to stay",
    "fouling-no-flow": "Nothing flows, whatever the strainer does",
    "fouling-short": "{unit} is short of water even with a clean strainer",
    "fouling-never": "The need is met until the strainer is all but shut",
    "fouling-until": (
        "The need is met up to {share:ratio.down} blocked; condensing at {temperature} by then"
    ),
    "fouling-sign": "short at {short:ratio.down}:\nclean by {clean:ratio.down}",
    "fouling-need": "the need",
    "fouling-sea": "sea {temperature}",
    "fouling-now": "now, {share:ratio}",
    "fouling-watch": "watch at {temperature}",
    "fouling-stop": "stop at {temperature}",
    "fouling-axis": "strainer blocked, %",
    "fouling-axis-condensing": "condensing at, {unit}",
    "over": "over {limit}",
    # Where the head goes.
    "heads": "where the head goes[, branch “{branch}”]",
    "heads-caption": (
        "Each step starts where the one above it ends; together they are the head that the pump "
        "makes. Light: before the pump; dark: after it."
    ),
    "heads-barbs": "Hatched: the barbed ends of a hose, the rest is friction and sweeps.",
    "heads-air": "Dotted: air in a falling hose, the fall not recovered.",
    "heads-largest": "Red: the largest.",
    "heads-lift": "Amber: the lift to the discharge, which flow does not change.",
    "heads-holds": "“Holds”: not lost but held back, where nothing flows.",
    "heads-backwards": "Leftward: parts through which the water runs backwards.",
    "heads-tees": "The loss of a manifold's tee counts with the first or last part of a branch.",
    "heads-axis": "head lost so far, {unit}",
    "heads-speed": "boat's speed at the intake",
    "heads-to-discharge": "lift to the discharge",
    "heads-standing": "standing water",
    "heads-row-air": "air in it",
    "heads-row-holds": "holds",
    "heads-row-lacks": "lacks",
    "heads-smaller": "{count} smaller parts",
    "heads-the": "The {part}",
    "heads-none": "Nothing flows: the pump holds {head} and no head is lost",
    "heads-lacks": "Nothing flows this way: it lacks {head}",
    "heads-holds-back": "{part} holds back {head} of the pump's {total}",
    "heads-air-takes": ("Air in {part} takes {head} of the pump's {total}[; barbed ends {barbs}]"),
    "heads-takes": "{part} takes {head} of the pump's {total}[; barbed ends {barbs}]",
    # The profile, the branches beside it, the numbers of parts.
    "profile-whole": (
        "Hoses are drawn to length, other parts spread out a little. In the hose: the deeper the "
        "green, the higher the pressure; amber where it is below atmospheric, so that a valve "
        "opened there draws air in; empty where air stays. Dashed at the intake: the sea's surface "
        "there at its worst; the bar: the depth it needs."
    ),
    "profile-brief": (
        "Deeper green: higher pressure; amber: below atmospheric; empty: air. Dashed at the "
        "intake: the sea's surface at its worst; the bar: the depth needed."
    ),
    "intake-needs": "needs {needed} of water,\n{has}",
    "intake-has-worst": "has {depth} at its worst",
    "intake-has": "has {depth} over it",
    "intake-bare": "comes {depth} out of it",
    "out-at": "out at {height}",
    "profile-narrow": "Deeper green: higher pressure; amber: below atmospheric.",
    "profile": "along the loop, from sea to sea",
    "profile-branch": "drawn along branch “{branch}”",
    "branches-one": (
        "The other branch from where it leaves the line above; heights on their own scale"
    ),
    "branches": (
        "The other branches, each from where it leaves the line above; heights on their own scale"
    ),
    "branch-out": "{flow}, out at {height}",
    "branch-joins": "{flow}, joins at {height}",
    "branch-backwards": "{flow} backwards",
    "branches-left": " Not drawn: {names}.",
    "numbers": " Numbers: the parts as in the job file.",
    "numbers-deep": (
        " Numbers: the parts as in the job file; {part}.{branch}.{inner} is part {part}, branch "
        "{branch}, its part {inner}."
    ),
    # The options of a sizing.
    "sizes": "{job}: the options of its sizing",
    "sizes-only": "{job}: the figure sizes needs the answer of a sizing",
    "sizes-axis": "flow to spare over the need, in all but unlikely cases, %",
    "sizes-axis-power": "pump's power, W",
    "sizes-axis-head": "pump's head at no flow, {unit}",
    "sizes-need": "just the need",
    "sizes-pumps": "{count} × {pump}",
    "sizes-choice": "choice",
    "sizes-runner-up": "runner-up",
    "sizes-after-pump": "hose after the pump, {unit}",
    "sizes-before-pump": "hose before the pump, {unit}",
    "sizes-passes": "passes",
    "sizes-passes-by": "passes, {chance}",
    "sizes-unsure": "chance too low",
    "sizes-fails": "fails",
    "sizes-caption": (
        "Every option at its worst service. Full marks pass, hollow ones fail; ringed are those "
        "that no other beats in every respect (flow, power, price, bore). Below: hose bores with "
        "{pump}: which pass, and why the others fail.[ {sure}][ {large}][ {fast}]"
    ),
    "sizes-told-sure": (
        "A percentage is how many such loops in 100 meet the need; it is given for the first "
        "options only, the others just pass."
    ),
    "sizes-told-large": "Light blue: the hose is so large that air stays in it.",
    "sizes-told-fast": "Larger hose passes more water, too much for the parts next to it.",
    "sizes-none": "None of {count} options passes",
    "sizes-fit": "Fit {option} hose, {chance} sure; {passing} of {count} options pass",
}
SAY = Sayings(FIGURES)
