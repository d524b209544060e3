"""The sentences of the job sheet: headings, start-up steps, cleaning, shopping list and card."""

from loop.words.template import Sayings

_SHUT_OTHERS = "until its stream comes"
_STIFF = "where a hose is too stiff for that, fit a valve"
_DRIPS = "Look for drips at every joint below the waterline; close it again if there is one."
_BELOW_ARE_FIXED = "fix that first (see the findings). The steps below are for the loop as fixed."

STEPS: dict[str, str] = {
    "start-suction": f"No water passes the high point before the pump: {_BELOW_ARE_FIXED}",
    "start-lift": (f"The pump cannot push water over the high points after it: {_BELOW_ARE_FIXED}"),
    "start-first": "First, {change}",
    "start-change": "{action} ({title}, {where}).",
    # Before the pump first runs.
    "rest-off": (
        "Pump and units off at the breaker[, {seacocks} shut].[ Shut or plug {drowned} too, "
        "{level}: the sea comes in there as well.] Look at every barb: two clamps, tight, and no "
        "hose kinked or flattened."
    ),
    "rest-up-to": "up to {level}",
    "rest-no-seacock": (
        "No seacock is listed before the pump: fit one, or take these steps ashore with the intake "
        "plugged."
    ),
    "rest-plugged": "the intake plugged",
    "rest-shut": "{seacocks} still shut",
    "rest-fit": "{sea}, first fit {bleeds}.",
    "rest-strainer": (
        "{sea}, fill {strainer} with water by hand to the brim and close its lid tight: it stands "
        "{level} and does not fill itself."
    ),
    "rest-strainer-below": (
        "{strainer} lies {level}: never open it to the sea. {sea}, fill it with water by hand to "
        "the brim and close its lid tight."
    ),
    "rest-wet-pump": (
        "Fill the pump's chamber with water: it stands {level}, and primes itself only when wet."
    ),
    "rest-dry-pump": (
        "Do not start the pump yet: it stands {level} and does not prime itself. Fix that first "
        "(see the findings)."
    ),
    "rest-open": f"Open {{seacock}} slowly, all the way, a hand on it. {_DRIPS}",
    "rest-open-to": (
        "Open {seacock} slowly, to {angle:number.0}° from open, as the card's readings expect, a "
        f"hand on it. {_DRIPS}"
    ),
    "rest-open-again": "Open {drowned} again.",
    "rest-flooded": "Wait a minute: the pump lies {level} and fills itself.",
    "rest-bleed": (
        "Pump still off, open {bleed}: below the water, the sea pushes the air out. Close it when "
        "water runs steadily."
    ),
    "rest-leave-shut": "Leave {valve} shut, as in the job.",
    "rest-set": "Set {valve} {angle:number.0}° from open.",
    "rest-all-open": "Open {valve} all the way.",
    # From the first start of the pump to the readings.
    "run-not": "Do not start the pump: no water would flow (see the findings).",
    "run-held-back": "{branch} does not prime while the others run: {always}.",
    "run-bleed-first": (
        "{bleed} draws air in once the stream runs. Open it before you start the pump, and close "
        "it as soon as water comes without bubbles. With the pump stopped the line drains, and "
        "nothing can be vented."
    ),
    "run-start": (
        "The pump must not run dry. Start it and watch {sign} within about {late:time}. If it does "
        "not, stop the pump, bleed again, then look for a high point that holds air."
    ),
    "run-discharge": "the discharge: the stream should show",
    "run-discharges": "every discharge: the stream should show",
    "run-gauge": (
        "the gauge at its outlet, since no stream is seen under the water: it should stand at the "
        "card's pressure"
    ),
    "run-streams": (
        "The branch that needs the least head to prime gives its stream first: {branches}. If one "
        "stays dry, {wet}[; {short} may well, see the findings]."
    ),
    "run-wet-valves": f"shut the others' valves {_SHUT_OTHERS}",
    "run-wet-hoses": f"pinch the others' hoses shut {_SHUT_OTHERS}; {_STIFF}",
    "run-wet-both": (
        f"shut the others' valves, and pinch the hoses that have none, {_SHUT_OTHERS}; {_STIFF}"
    ),
    "run-bleed-useless": "Leave {bleed} shut: where it sits it lets no air out (see findings).",
    "run-bleed": (
        "With the pump running, open {bleed} slowly; close it when water comes without bubbles."
    ),
    "run-read": (
        "With a steady stream, take the bucket time, the gauges and the watts. Stop the pump for a "
        "minute and start it again: the stream must come back by itself, without a bleed."
    ),
    "run-read-gauge": (
        "With a steady gauge reading, take the flow, the gauges and the watts. Stop the pump for a "
        "minute and start it again: the gauge reading must come back by itself, without a bleed."
    ),
    "run-unit": (
        "Switch the unit on. After {minutes} minutes take the temperatures, look at every joint "
        "again for drips, and keep this card with the boat."
    ),
    "run-units": (
        "Switch the units on. After {minutes} minutes take the temperatures, look at every joint "
        "again for drips, and keep this card with the boat."
    ),
    # When to clean the strainer.
    "clean-none": "No strainer is listed. Weed and shells go straight to the pump: fit one.",
    "clean-short": (
        "{unit} is short of flow with the strainer as it is in the job: every blocked hole makes "
        "it worse. Fix the loop first."
    ),
    "clean-never": "{unit} meets its need however much of the basket is blocked.",
    "clean-until": "{unit} meets its need until {share:ratio.down} of the basket is blocked",
    "clean-until-too": ", {unit} until {share:ratio.down}",
    "clean-by": (
        "{until}: clean it by {by:ratio.down}. Half blocked it gets {gets}; it needs {needs}."
    ),
    "clean-by-all": (
        "{until}: clean it by {by:ratio.down}. Half blocked they get {gets}; they need {needs}."
    ),
    "clean-now": "Clean it now if {ways}.",
    "clean-bucket": "a {bucket} bucket takes longer than {time} to fill[ ({places})]",
}

GLANCE: dict[str, str] = {
    "kind": "Seawater loop · job sheet",
    "page-title": "{title}: job sheet",
    "page-subject": "Seawater loop, job sheet",
    "verdict": "Verdict",
    "verdict-good": "Every unit gets the water it needs, at the poor end of the tolerances too.",
    "verdict-attention": (
        "Every unit should get the water it needs; fix each warning to be sure of it."
    ),
    "verdict-bad": "Not fit to run as found: fix each danger and fault first.",
    "units-caption": "Water for each unit",
    "units-name": "Unit",
    "units-need": "Needs",
    "units-flow": "Gets",
    "units-rest": "at rest {flow:flow}",
    "units-rise": "Warms by",
    "units-condensing": "Condenses at",
    "fact-water": "Water",
    "water": "{temperature:temperature}, practical salinity {salinity}",
    "water-fresh": "{temperature:temperature}, fresh",
    "fact-boat": "Boat",
    "boat-heel": "heel {value:angle}",
    "boat-trim": "trim {value:angle}",
    "boat-waves": "waves {value:height}",
    "boat-light": "{value:height} higher when light",
    "boat-speed": "at {value:speed}",
    "boat-at-rest": "at rest and upright",
    "fact-pump": "Pump",
    "pump": "{pump}: {flow:flow} at {head:head}",
    "fact-priming": "Priming",
    "priming": "needs {start:head}; shut-off head {shutoff:head}",
    "drawn-title": "The loop drawn",
    "drawn": (
        "The loop along its length against height over the waterline. {said} Bleed valves: "
        "{fitted} fitted, {proposed} proposed."
    ),
    "drawn-in-words": "The drawing in words: {text}",
    "drawn-way": "{way}: {top:height} at most, {end:height} at the end, {turns}.",
    "drawn-from": "From {intake:height} at the intake",
    "drawn-turns": "{high} high and {low} low points",
    "drawn-intake": "The intake is at {intake:height}.",
    "drawn-more": "And {count} branches more.",
    "findings-title": "Findings, and what to do",
    "findings-none": "None.",
    "findings-fix": "Fix:",
    "start-title": "Start-up and bleeding, in this order",
    "clean-title": "When to clean the strainer",
    "cautions-title": "Cautions",
    "sources-title": "Sources",
    "estimates-title": "Estimates",
    "inputs-title": "Inputs, to repeat this result",
    "inputs-pump": "The pump's file:",
    "inputs": "loop {version} · inputs {digest}",
    "foot": (
        "Calculated by loop {version} from inputs {digest}. Figures are a help to a skilled "
        "fitter, not a warranty."
    ),
    "foot-paper": "{title} · loop {version} · inputs {digest}",
    "foot-lost": "? stands for a character that is in none of this paper's typefaces",
    "foot-page": "Page {page}",
}

BUYING: dict[str, str] = {
    "buy-title": "What to buy",
    "buy-count": "Qty",
    "buy-what": "What",
    "buy-size": "Size",
    "buy-note": "Note",
    "buy-short": "Buy",
    "buy-all": "What, its size, and what for",
    "buy-measure": (
        "Hose: length measured, plus {allowance:ratio} for trimming (common practice), rounded up. "
        "Clamps: {clamps} per barb (common practice). The unit's own condenser and the wiring are "
        "not listed."
    ),
    "buy-hose-suction": "hose, suction",
    "buy-hose-pressure": "hose, pressure",
    "buy-hose": "{bore:bore}, {lining}",
    "buy-roughness": "bore roughness {mm} mm",
    "buy-hose-note": "{length:length} measured",
    "buy-suction-note": "{length:length} measured; of a kind that does not collapse",
    "buy-barbs": "barbed ends",
    "buy-clamps": "hose clamps",
    "buy-for-hose": "for {bore:bore} hose",
    "buy-barb-bore": "bore at least {bore:bore}",
    "buy-clamps-note": "{clamps} per barb",
    "buy-bore": "{bore:bore}",
    "buy-ports": "{bore:bore} ports",
    "buy-port": "{bore:bore} port",
    "buy-tee": "on a {bore:bore} tee",
    "buy-header": "{bore:bore} header",
    "buy-intake": "intake through-hull",
    "buy-flush": "flush grate",
    "buy-scoop": "scoop facing {facing}",
    "buy-seacock": "seacock or ball valve",
    "buy-valve": "ball valve",
    "buy-valve-set": "set {angle:number.0}° from open",
    "buy-strainer": "strainer",
    "buy-strainer-k": "K {k} or less, clean",
    "buy-strainer-drop": "{drop:pressure} or less at {flow:flow}, clean",
    "buy-manifold": "manifold",
    "buy-branches": "{count} branches",
    "buy-bleed": "bleed valve",
    "buy-elbow": "elbow, {angle:angle}",
    "buy-closed-tee": "tee, branch closed",
    "buy-discharge": "discharge through-hull",
    "buy-pump": "pump {name}",
    "buy-pump-ac": (
        "{supply:voltage.0} {frequency:frequency}, {primes}[; {count} in {arrangement}]"
    ),
    "buy-pump-dc": "{supply:voltage.0} DC, {primes}[; {count} in {arrangement}]",
    "buy-primes": "self-priming",
    "buy-does-not-prime": "not self-priming",
    "buy-new-bleed": "bleed valve, proposed",
    "buy-on-a-tee": "on a tee",
    "buy-new-adapter": "adapter, proposed",
    "buy-adapter": "{large:bore} to {small:bore}",
    "buy-adapter-note": "flat side up",
    "buy-new-valve": "ball valve, proposed",
    "buy-new-valve-note": "{place}, set {angle:angle} from open",
    "buy-new-orifice": "orifice, proposed",
    "buy-orifice": "K {k} on {bore:bore}",
    "buy-in-branch-of": "in the branch of {unit}",
    "buy-in-branch": "in the branch {branch}",
    "buy-after-pump": "after the pump",
}

CARD: dict[str, str] = {
    "card-title": "Commissioning card",
    "card-expect": "Expect",
    "card-healthy": "Healthy",
    "card-read": "Read",
    "card-waits-for-steps": (
        "The card waits until the first steps are done: then check the loop again."
    ),
    "card-waits": (
        "The card waits until the loop is fixed: see the findings, then check it again."
    ),
    "card-note": (
        "Read with the strainer clean and the sea as warm as stated; for each degree that the sea "
        "is warmer, expect the condensing temperature a degree higher. Healthy: the pump's, the "
        "losses' and the bores' tolerances through the same model, the pump's power within "
        "±{power:ratio}, a unit's heat within ±{heat:ratio} and its condenser's conductance within "
        "±{conductance:ratio}."
    ),
    "blank-date": "Date",
    "blank-boat": "Boat",
    "blank-reader": "Read by",
    "blank-sea": "Sea temperature",
    "blank-supply": "Supply at the pump",
    "card-pump": "Pump",
    "card-discharge": "Discharge",
    "card-unit": "Unit {unit}",
    "card-inlet": "Inlet pressure",
    "card-outlet": "Outlet pressure",
    "card-gauge": "gauge at the pump's height",
    "card-power": "Power",
    "card-wattmeter": "wattmeter, at {supply:voltage.0}",
    "card-flow": "Flow",
    "card-flow-meter": "clamp-on flow meter: no bucket fits under the water at {where}",
    "card-bucket": "Time to fill {bucket}",
    "card-bucket-how": "bucket and stopwatch",
    "card-bucket-at": "bucket and stopwatch, {where}",
    "card-need-met": "the need is met up to {time}",
    "card-need-not-met": "the need is not met[: it is {time} or less]",
    "card-span": "{low} to {high}",
    "card-or-more": "{low} or more",
    "card-over": "over {limit}",
    "card-water-in": "Water that comes in",
    "card-water-in-how": "thermometer, before the unit and behind {units}",
    "card-units-before": "the {count} before it",
    "card-rise": "Rise of the water",
    "card-rise-how": "thermometer, in and out",
    "card-condensing": "Condensing temperature",
    "card-condensing-how": "gauge or sensor, sea at {sea}",
    "card-watch": "watch at {limit:temperature}",
    "card-stop": "stop at {limit:temperature}",
    "bleed-proposed": "the bleed {place}",
    "bleed-fitted": "the fitted bleed",
    "bleed-at-pump": "at the pump's outlet",
    "bleed-after": "just after {part}, {level}",
    "bleed-in": "in {part}, {along} from its start, {level}",
}

SAY = Sayings(STEPS | GLANCE | BUYING | CARD)
