"""The sentences of a diagnosis: its headline, its reasons, its notes, its mistakes."""

from loop.words.template import Sayings

# Said by the program and by the phone card; then what each of them says alone.
BOTH: dict[str, str] = {
    # The first line, and the step that it names.
    "headline-nothing-read": "No readings yet. Start with: {step}",
    "headline-fixed": "Looks fixed after: {done}. Read again to be sure[. Next: {step}]",
    "headline-done": "Looks fixed after: {done}. Every reading since then is normal",
    "headline-left": "Runs again after: {done}. Still to fix: {cause}, {odds}. {then}",
    "headline-perhaps-left": (
        "Runs again after: {done}. Not fixed yet: {cause} may still be there, {odds}. {then}"
    ),
    "headline-found": "Found, not fixed yet: {cause}, {odds}. {then}",
    "left-next": "Next: {step}; then run it again and check",
    "headline-recurs": "Runs again after: {done}. It will happen again. {built}",
    # Why it failed, where that is not known; and what to do where no reading at hand tells.
    "headline-unknown": "Runs again after: {done}. {unknown}. {then}",
    "headline-next": "Next: {step}",
    "unknown-air": "How the air got in is not known yet",
    "watch-air": "Look at the stream again in ten minutes",
    "unknown-trip": "Why the unit was off is not known yet",
    "watch-trip": (
        "Run it for half an hour and note its fault code; if it trips again, leave it off until "
        "its flow and temperatures have been read"
    ),
    "watch-trip-well": (
        "Every reading is normal, so none shows why: run it at the time of day and in the heat in "
        "which it stopped, note its fault code, and read its flow and temperatures then"
    ),
    "unknown-power": "Why the pump had no power is not known yet",
    "watch-power": (
        "If it loses power again, leave it off and have a qualified electrician measure what the "
        "pump draws"
    ),
    "headline-unread": "May be fixed after: {done}. To find out, next: {step}",
    "headline-runs-again": "Better after: {done}. Still wrong: {still}. {said}",
    "headline-no-fit": "No fault in the list fits these readings: recheck them. Next: {step}",
    "headline-pair": "These two readings contradict each other: {one}, and {other}. Next: {step}",
    "headline-none-leads": "No cause stands out yet. Next: {step}",
    "headline-all-well": "Every reading so far is normal. Next: {step}",
    "headline-all-well-but": (
        "Every reading so far is normal, but this was found: {found}. Next: {step}"
    ),
    "headline-sound": (
        "Every reading is normal: there is no fault to find now. Note the fault code that the unit "
        "shows, and read again when it trips"
    ),
    "headline-cause": "Most likely: {cause}[ ({bad})], {odds}[; along with {other}, {other_odds}]",
    "headline-hums": "Switch the pump off at its breaker now: its motor is burning out. {said}",
    "headline-hums-off": (
        "Leave the pump's breaker off: its motor hums without turning and burns out. {said}"
    ),
    "headline-as-built": "{built}. {said}",
    "headline-doubtful": "{said}. But not all readings fit: recheck them",
    "step-brief": "{title} ({minutes} min)",
    "no-step": "inspect the whole loop",
    "odds": "{part} in 100",
    "odds-most": "more than {part} in 100",
    "odds-least": "less than 1 in 100",
    "with-band": "{middle} ({low} to {high})",
    # The list of causes, and of what to do next.
    "causes-title": "Possible causes",
    "cause-how-bad": "How bad",
    "cause-why": "Why",
    "cause-fix": "Fix",
    "cause-look": "To confirm",
    "cause-flow": "Flow once fixed",
    "causes-together": "Two can be present at once, so these add up to more than 100.",
    "cause-unknown": "Something not in this list: {odds}",
    "next-title": "Next",
    "next-order": "The step that settles most for its minutes and risk comes first.",
    "next-done": "Nothing more to do: it looks fixed.",
    "next-left": "Nothing more to read or try: fix what is named above.",
    "next-watch": "Nothing more to read or try with these tools: do what the first line says.",
    "next-none": "No other reading or step with these tools would tell more: go by the first line.",
    # Why a fault is named.
    "why-number": "{reading} {read} ({healthy} if healthy, {fault} with this fault)",
    "why-word": "{reading}: {word}",
    "why-under-way": "under way, {said}",
    "why-after": 'after "{done}", {said}',
    "why-beside": "together with {other}, {said}",
    "why-healthy": "every reading is within the range of a healthy loop",
    "why-healthy-misfit": "nothing else fits better",
    "why-healthy-against": "the readings favor a fault over a healthy loop",
    "why-healthy-leads": (
        "the readings favor some fault, but each of these is rarer than a healthy loop"
    ),
    "why-nothing-read": "how common it is; no readings yet",
    "why-misfit": "it fits no worse than the others; no fault fits the readings",
    "why-not-against": "no reading so far counts against it",
    "misfit-pair": (
        "No known fault gives both: {one}, and {other}[: {because}]. Read both again before you "
        "trust either. If both hold, the cause is not in this list."
    ),
    "misfit-dry": "a unit without water trips within minutes; perhaps this was the wrong outlet",
    "misfit-colder": "a unit that cools the boat warms its discharge water",
    "misfit-hotter": "this much water, this warm, carries more than twice the unit's heat",
    "misfit-warning": (
        "No known fault explains these readings together: take them again[, the {reading} first,] "
        "and check that the job describes this loop."
    ),
    # Faults that the readings cannot tell apart.
    "group-any": "[{most} or ]{last}",
    "group-any-more": "another like these",
    "group-nothing-read": "No readings yet: this is only how common each fault is.",
    "group-single": "The readings point to one cause: {name}.",
    "group-likeliest": "The most likely single cause: {name}.",
    "group-more": "{count} more",
    "group-split": "These readings fit several causes: {most} and {last}.[ To tell which: {step}.]",
    "group-look": "No reading left separates {most} and {last}. To tell by eye: {looks}.",
    # Notes below the answer.
    "note-ignored": "Ignored, because this loop has no such reading: {readings}.",
    # What is wrong with a reading, or with something done, as it was written.
    "wrong": "{where}: {text} is not known here; {hint}",
    "wrong-one-of": "one of: {known}",
    "wrong-key": "{key}: unknown reading[; {hint}]",
    "wrong-no-text": "{key}: must be text in quotes, with its unit",
    "wrong-of-loop": "{key}: applies to the whole loop; write {base}",
    "wrong-unit": "{key}: no unit {unit}[; {hint}]",
    "wrong-no-unit": "{key}: there are several units; say which, such as {example}",
    "wrong-too-fine": "the half-width after ± is too fine for this reading; leave it out",
    "wrong-too-wide": "the half-width after ± is too wide for this reading; leave it out",
    "wrong-twice": "{key}: given twice, perhaps as bucket and flow; give it once",
    "wrong-readings": '{where}: must be a table of readings, such as flow = "150 gal/h"',
    "wrong-place": "{key}: belongs at the top of the file",
    "wrong-prior": "prior: must be a table of fault = weight",
    "wrong-weight": "prior {fault}: {weight} must be a number, 0 or more",
    "wrong-prior-fault": "prior: no fault {fault}; known: {known}",
    "wrong-bucket": '{text} is not a bucket and a time, such as "1 gal in 24 s"',
    "wrong-range": "is out of range for this reading; check the number and its unit",
}
ON_THE_CARD: dict[str, str] = {
    "wrong-number": "is not a number with its unit, such as {example}",
    "wrong-number-of": "{reading}: {text} {wrong}",
    # The label of an answer's button, where its name in a file says too little.
    "button-hums": "hums, does not turn",
    "bar-nothing-read": "No readings yet",
    "bar-none-leads": "No cause stands out yet",
    "bar-all-well": "Every reading so far is normal",
    "note-ignored-prior": "Ignored on the card: prior; loop diagnose uses it.",
}
IN_THE_PROGRAM: dict[str, str] = {
    "reading-under-way": "{reading} under way",
    # A row of the table of readings.
    "row-reading": '{reading}[{at_speed}, under way][, after "{after}"]',
    "expect-how": "How",
    "expect": "Expect",
    "expect-if": "{value} if {cause}",
    "wrong-meant": "did you mean {near}?",
    "wrong-known": "known here: {known}",
    "wrong-nearest": "nearest: {near}",
    "wrong-tools": "tools: {text} is not known here; one of: {known}, none",
    "wrong-given-twice": "--reading: {key}: given twice; give it once",
    "wrong-assignment": '--reading: {text} is not NAME=VALUE, such as "flow=150 gal/h"',
    "wrong-prior-option": '--prior: {text} is not FAULT=WEIGHT, such as "pump-worn=0.3"',
    "wrong-step": 'step {number}: must be a [[step]] table, such as did = "{name}"',
    "wrong-priors-file": '{path}: must hold a [prior] table, such as "pump-worn" = 0.1',
    "wrong-fault": "no fault {fault}; {hint}",
    "wrong-fault-list": "loop faults lists them",
    "wrong-line": (
        "{text}: type a reading as flow=150 gal/h, under way stream=sputtering, did clean-basket: "
        "dirty, said since haul-out, or one of: {known}"
    ),
    "wrong-bucket-zero": (
        "{text}: volume and time must both be above zero, and the volume a bucket's"
    ),
    "wrong-reading": "{text}: {wrong}",
    "wrong-folder": "{folder}: no such folder",
    "baseline-needs": (
        "baseline: needs a flow (flow or bucket), or sea_temperature and outlet_temperature"
    ),
    "baseline-dirty": "baseline: strainer_seen is dirty; clean it first and read again",
    "wrong-visits": "write each [[visit]] as a table of its own, so that more can be added",
    "baseline-stream": "baseline: the stream is not steady; fix that first and read again",
    "no-loop-flows": (
        "--unit: no loop of this kind gives the unit enough water; check bore, pump and heights"
    ),
    "no-loop-reaches": "--length: this hose is too short to reach from the pump to the discharge",
    "no-loop-title": "No job file: one {tons}-ton unit",
    "priors-head": (
        "Weights of faults: the program's own, plus what was found on visits ({visits})."
    ),
    "put-right": "fix: {fault}",
    "fix-then": "{first}. {when}, take one more step. {then}",
    "pump-out-as-built": (
        "This loop loses its water as built: its pump gets above the waterline and is not "
        "self-priming; see loop check"
    ),
    "hump-as-built": (
        "This loop traps air as built: its suction has a high point {above} above the waterline, "
        "and the pump is not self-priming; see loop check"
    ),
    "start-as-built": (
        "This loop does not prime as built: priming needs {needed} of head, and the pump's "
        "shut-off head is {held}; see loop check"
    ),
    "dirty-as-built": (
        "The job file has this loop with {parts}, and readings are compared with that: fix it "
        "first, on the boat and in the file; see loop check"
    ),
    "stated-blocked": "{part} {blocked:ratio} blocked",
    "stated-open": "{part} {open:ratio} open",
    "stated-scale": "{part} scaled",
    "stated-growth": "{part} fouled with growth",
    "short-as-built": (
        "This loop is short of water as built: [{unit} gets ]{flow} of {needed} needed; see loop "
        "check"
    ),
    "hot-as-built": (
        "This loop runs too hot as built: {unit} condenses at {hot} with nothing wrong; see loop "
        "check"
    ),
    "pair-fix": "{first}. Then: {other}",
    "pair-title": "{first} with {other}",
    "note-no-job": (
        "No job file: judged against invented loops of this kind. What you know of this boat "
        "(bore, pump, lengths), or its job file, sharpens the answer."
    ),
    "note-no-baseline": (
        "Judged against the design: a baseline of this boat (loop baseline) would sharpen the "
        "answer."
    ),
    # How the flow drifts from visit to visit.
    "drift-one-day": "A trend needs visits on two days; the need is {need:flow}.",
    "drift-trend": (
        "Flow changes by {month:flow} a month ({low:flow} to {high:flow}); the need is "
        "{need:flow}. {then}"
    ),
    "drift-never": "By this trend it stays above the need for ten years or more.",
    "drift-already": "By this trend it has been below the need since {date}.",
    "drift-later": "It falls below the need about {date} (90% band: {early} to {late}).",
    "drift-much-earlier": "much earlier",
    "drift-much-later": "much later, or never",
    # A baseline that looks wrong.
    "baseline-far": (
        "The fitted {what} is {factor:number.2} times the design's, a large difference: check the "
        "job, and that the loop was clean."
    ),
    "baseline-loss": "loss",
    "baseline-pump": "pump speed",
    "baseline-ua": "UA",
}

SAY = Sayings(BOTH | ON_THE_CARD | IN_THE_PROGRAM)
