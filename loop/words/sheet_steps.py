"""The start-up steps of the job sheet, and when to clean the strainer."""

_SHUT_OTHERS = "until its stream shows"
_STIFF = (
    "if a hose is too stiff for that, stop the pump, shut the sea out as before, and fit a valve"
)
_DRIPS = "Look for drips at every joint below the waterline; close it again if you find one."
_BELOW_ARE_FIXED = "fix that first (see the findings). The steps below are for the loop as fixed."

STEPS: dict[str, str] = {
    "start-suction": f"No water passes the high point before the pump: {_BELOW_ARE_FIXED}",
    "start-lift": (f"The pump cannot push water over the high points after it: {_BELOW_ARE_FIXED}"),
    "start-first": "First, {change}",
    "start-next": "Then, {change}",
    "start-change": "{action} ({title}, {where}).",
    # Before the pump first runs.
    "rest-off": (
        "Pump and units off at the breaker[, {seacocks} shut].[ Shut or plug {drowned} too, "
        "{level}: the sea comes in there as well.][ Shut or plug {washed} too: heel, waves or "
        "people stepping aboard may bring the sea there.] Check every barb: two clamps, tight, and "
        "no hose kinked or flattened."
    ),
    "rest-up-to": "up to {level}",
    "rest-no-seacock": (
        "No seacock is listed before the pump: have one fitted ashore, or do these steps ashore "
        "with the intake plugged."
    ),
    "rest-plugged": "with the intake plugged",
    "rest-shut": "with {seacocks} still shut",
    "rest-fit-valves": "{fit}, to hold branches back at start-up.",
    "rest-strainer": (
        "{sea}, fill {strainer} with water by hand to the brim and close its lid tight: it is "
        "{level} and does not fill itself."
    ),
    "rest-strainer-below": (
        "{strainer} is {level}: never open it to the sea. {sea}, fill it with water by hand to the "
        "brim and close its lid tight."
    ),
    "rest-wet-pump": (
        "Fill the pump's chamber with water: it is {level}, and primes itself only when wet."
    ),
    "rest-dry-pump": (
        "Do not start the pump yet: it is {level} and not self-priming. Fix that first (see the "
        "findings)."
    ),
    "rest-open": f"Open {{seacock}} slowly, all the way, keeping a hand on it. {_DRIPS}",
    "rest-open-to": (
        "Open {seacock} slowly, to {angle:number.0}° from open, as the card's readings expect, "
        "keeping a "
        f"hand on it. {_DRIPS}"
    ),
    "rest-open-again": "Open {outlets} again.",
    "rest-flooded": "Wait a minute: the pump is {level} and fills itself.",
    "rest-bleed": (
        "With the pump still off, a rag around the bleed and the pump's wiring kept dry, open "
        "{bleed} slowly: it is below the water, so the sea pushes the air out. Close it when water "
        "runs steadily."
    ),
    "rest-leave-shut": "Leave {valve} shut, as in the job.",
    "rest-set": "Set {valve} {angle:number.0}° from open.",
    "rest-all-open": "Open {valve} all the way.",
    # From the first start of the pump to the readings.
    "run-not": "Do not start the pump: no water would flow (see the findings).",
    "run-held-back": "{branch} does not prime while the others run: {order}.",
    "run-bleed-first": (
        "{bleed} draws air in once water runs overboard. Open it, a rag around it, just before you "
        "start the pump, and close it as soon as water comes without bubbles. After that leave it "
        "shut, pump running or stopped: it lets air in."
    ),
    "run-start": (
        "The pump must not run dry. Start it and watch {sign} within about {late:time}. If it does "
        "not, stop the pump, bleed again, then look for a high point that holds air."
    ),
    "run-discharge": "the discharge: the stream should show",
    "run-discharges": "every discharge: the stream should show",
    "run-gauge": (
        "the gauge at its outlet, since the stream is under water: it should reach the card's "
        "pressure"
    ),
    "run-streams": (
        "The branch that needs the least head to prime streams first: {branches}. If one stays "
        "dry, {wet}[; see the findings for {short}]."
    ),
    "run-wet-valves": f"shut the others' valves {_SHUT_OTHERS}",
    "run-wet-hoses": f"pinch the others' hoses shut {_SHUT_OTHERS}; {_STIFF}",
    "run-wet-both": (
        f"shut the others' valves, and pinch the hoses that have none, {_SHUT_OTHERS}; {_STIFF}"
    ),
    "run-bleed-useless": "Leave {bleed} shut: where it sits it lets no air out (see findings).",
    "run-bleed-by-hand": (
        "Do not open {bleed}: the line there drains each time the pump stops, and the card's "
        "readings are for a start without it."
    ),
    "run-bleed": (
        "With the pump running, a rag around the bleed and the pump's wiring kept dry, open "
        "{bleed} slowly; close it when water comes without bubbles."
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
        "Switch the unit on. After {minutes} minutes take the temperatures, check every joint "
        "again for drips, and keep this card with the boat."
    ),
    "run-units": (
        "Switch the units on. After {minutes} minutes take the temperatures, check every joint "
        "again for drips, and keep this card with the boat."
    ),
    # When to clean the strainer.
    "clean-none": "No strainer is listed. Weed and shells go straight to the pump: fit one.",
    "clean-short": (
        "{unit} is short of flow with the strainer as it is in the job: every blocked hole makes "
        "it worse. Fix the loop first."
    ),
    "clean-never": "{unit} gets enough however much of the basket is blocked.",
    "clean-until": "{unit} gets enough until {share:ratio.down} of the basket is blocked",
    "clean-until-too": ", {unit} until {share:ratio.down}",
    "clean-by": (
        "{until}: clean it by {by:ratio.down}. Half blocked it gets {gets}; it needs {needs}."
    ),
    "clean-by-first": (
        "Of the {count} units {unit} runs short first, with {share:ratio.down} of the basket "
        "blocked: clean it by {by:ratio.down}. Half blocked {unit} gets {gets:flow}; it needs "
        "{needs:flow}."
    ),
    "clean-by-all": (
        "{until}: clean it by {by:ratio.down}. Half blocked they get {gets}; they need {needs}."
    ),
    "clean-now": "Clean it now if {ways}.",
    "clean-bucket": "a {bucket} bucket takes longer than {time} to fill[ ({places})]",
}
