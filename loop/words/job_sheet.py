"""The sentences of the job sheet: headings, shopping list and card, and its start-up steps."""

from loop.words.sheet_steps import STEPS
from loop.words.template import Sayings

GLANCE: dict[str, str] = {
    "kind": "Seawater loop · job sheet",
    "page-title": "{title}: job sheet",
    "page-subject": "Seawater loop, job sheet",
    "verdict": "Verdict",
    "verdict-attention": (
        "Every unit should get the water it needs; fix each warning to be sure of it."
    ),
    "verdict-bad": "Not fit to run as found: fix each danger and fault first.",
    "as-found": "as found",
    "as-fixed": "as fixed",
    "of-state": " ({state})",
    "waits": (
        "Buy nothing and start nothing yet: a danger or fault is left for which no fix was found. "
        "Change the loop first (see the findings), then check it again."
    ),
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
    "drawn-one-high": "one high point",
    "drawn-several-high": "{count} high points",
    "drawn-one-low": "one low point",
    "drawn-several-low": "{count} low points",
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
    "foot": "Calculated by loop {version} from inputs {digest}.",
    "foot-warranty": "Figures are a help to a skilled fitter, not a warranty.",
    "by-hand-customer": "Customer",
    "by-hand-boat": "Boat",
    "by-hand-date": "Date",
    "by-hand-technician": "Technician",
    "foot-paper": "{title} · loop {version} · inputs {digest}",
    "foot-lost": "? stands for a character that is in none of this paper's typefaces",
    "foot-page": "Page {page}",
}

BUYING: dict[str, str] = {
    "buy-title": "To buy for this work",
    "whole-title": "Whole loop",
    "buy-continued": "{title}, continued",
    "buy-count": "Qty",
    "buy-what": "What",
    "buy-size": "Size",
    "buy-note": "Note",
    "buy-short": "Buy",
    "buy-all": "What, its size, and what for",
    "buy-measure": (
        "A loop yet to be built takes all of this; of one that is there it is what is in it, and "
        "what is proposed is marked. Hose: length measured, plus {allowance:ratio} for trimming "
        "(common practice), rounded up. Clamps: {clamps} per barb (common practice). The unit's "
        "own condenser and the wiring are not listed."
    ),
    "buy-hose-suction": "hose, suction",
    "buy-hose-pressure": "hose, pressure",
    "buy-hose": "{bore:bore}, {lining}",
    "buy-roughness": "bore roughness {mm} mm",
    "buy-proposed": "proposed[: {count}][; {note}]",
    "buy-hose-note": "{length:length} measured[; {wishes}]",
    "buy-suction-note": ("{length:length} measured; of a kind that does not collapse[; {wishes}]"),
    "buy-wish": "a check of the loop so built asks for {bore:bore} instead for {hoses}",
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
    "buy-flush": "flush grate[, face {area:area}]",
    "buy-scoop": "scoop facing {facing}[, grate face {area:area}]",
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
    "buy-pump-rated": "pump rated {head} at {flow}, or a little more",
    "buy-pump-ac": (
        "{supply:voltage.0} {frequency:frequency}, {primes}[; {count} in {arrangement}]"
    ),
    "buy-pump-dc": "{supply:voltage.0} DC, {primes}[; {count} in {arrangement}]",
    "buy-primes": "self-priming",
    "buy-does-not-prime": "not self-priming",
    "buy-new-adapter": "adapter",
    "buy-adapter": "{large:bore} to {small:bore}",
    "buy-adapter-note": "just before {places}, flat side up",
    "buy-new-valve-note": "{place}[, set {angle:angle} from open]",
    "buy-new-orifice": "orifice",
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
    "bleed-at-pump": "the bleed at the pump's outlet",
    "bleed-after": "the bleed just after {part}, {level}",
}

SAY = Sayings(STEPS | GLANCE | BUYING | CARD)
