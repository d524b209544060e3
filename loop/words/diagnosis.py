"""The sentences of a diagnosis: its headline, its reasons, its notes, its mistakes."""

from loop.words.template import Sayings

# What the program says and the card for a telephone too; and what each of them says alone.
BOTH: dict[str, str] = {
    # The first line, and the step that it names.
    "headline-nothing-read": "Nothing read yet. Begin with: {step}",
    "headline-fixed": "It looks fixed by: {done}. Read again to be sure[. Next: {step}]",
    "headline-done": "It looks fixed by: {done}. What was read since is as it should be",
    "headline-left": "It runs since: {done}. Still to be put right: {cause}, {odds}. {then}",
    "headline-perhaps-left": (
        "It runs since: {done}. Not fixed yet: {cause} may be there still, {odds}. {then}"
    ),
    "headline-found": "Found, and still to be put right: {cause}, {odds}. {then}",
    "left-next": "Next: {step}; then run it again and look",
    "headline-recurs": "It runs since: {done}. It will come again. {built}",
    # Why it failed, where that is not known; and what to do where no reading at hand tells.
    "headline-unknown": "It runs since: {done}. {unknown}. {then}",
    "headline-next": "Next: {step}",
    "unknown-air": "How the air came in is not found yet",
    "watch-air": "Look at the stream again after ten minutes",
    "unknown-trip": "Why the unit was off is not known yet",
    "watch-trip": (
        "Run it for half an hour, and note its fault code; if it trips again leave it off until "
        "its flow and its temperatures were read"
    ),
    "watch-trip-well": (
        "All that was read is as it should be, so it shows no reason: run it at the hour and in "
        "the heat in which it stopped, note its fault code, and read its flow and temperatures then"
    ),
    "unknown-power": "Why the pump had no power is not known yet",
    "watch-power": (
        "If it goes again leave it off, and have a qualified electrician measure what the pump "
        "draws"
    ),
    "headline-unread": "It may be fixed by: {done}. To see whether it is, next: {step}",
    "headline-runs-again": "It is better since: {done}. Still wrong: {still}. {said}",
    "headline-no-fit": "No fault in the list fits these readings: check them. Next: {step}",
    "headline-pair": "These two readings do not go together: {one}, and {other}. Next: {step}",
    "headline-none-leads": "No cause stands out yet. Next: {step}",
    "headline-all-well": "Every reading so far is as it should be. Next: {step}",
    "headline-all-well-but": (
        "Every reading so far is as it should be, but this was found: {found}. Next: {step}"
    ),
    "headline-sound": (
        "Every reading is as it should be: nothing to be found now. Note the fault code that the "
        "unit shows, and read again when it trips"
    ),
    "headline-cause": "Most likely: {cause}[ ({bad})], {odds}[; with it {other}, {other_odds}]",
    "headline-hums": "Switch the pump off at its breaker now: its motor burns. {said}",
    "headline-hums-off": "Leave the pump's breaker off: its motor hums and burns. {said}",
    "headline-as-built": "{built}. {said}",
    "headline-doubtful": "{said}. But not all readings fit: check them",
    "step-brief": "{title} ({minutes} min)",
    "no-step": "look over the whole loop",
    "odds": "{part} in 100",
    "odds-most": "more than {part} in 100",
    "odds-least": "less than 1 in 100",
    "with-band": "{middle} ({low} to {high})",
    # The list of causes, and of what to do next.
    "causes-title": "What it may be",
    "cause-how-bad": "How bad",
    "cause-why": "Why",
    "cause-fix": "Fix",
    "cause-look": "To be sure",
    "cause-flow": "Flow once fixed",
    "causes-together": "Two can be there at once, so these add up to more than 100.",
    "cause-unknown": "Something that is not in this list: {odds}",
    "next-title": "Next",
    "next-order": "What settles most for its minutes and risk comes first.",
    "next-done": "Nothing more to do: it looks fixed.",
    "next-left": "Nothing more to read or try: put right what is named above.",
    "next-watch": "Nothing more to read or try with these tools: do as the first line says.",
    "next-none": "Nothing is left to read or try with these tools that would tell more.",
    # Why a fault is named.
    "why-number": "{read} read, {healthy} if healthy, {fault} with this fault ({reading})",
    "why-word": "{reading}: {word}",
    "why-under-way": "under way, {said}",
    "why-beside": "with {other} beside it: {said}",
    "why-healthy": "every reading lies within what a loop with nothing wrong may read",
    "why-healthy-misfit": "nothing else fits better",
    "why-healthy-against": "the readings speak more for a fault than for a healthy loop",
    "why-healthy-leads": (
        "the readings speak more for some fault, but each of these is rarer than a sound loop"
    ),
    "why-nothing-read": "how common it is; nothing has been read yet",
    "why-misfit": "it fits no worse than the others; no fault fits the readings",
    "why-not-against": "the readings taken do not speak against it",
    "misfit-pair": (
        "No fault known here gives both: {one}, and {other}[: {because}]. Read both again before "
        "you trust either. If both hold, it is something that is not in this list."
    ),
    "misfit-dry": (
        "without water a unit trips within minutes; perhaps the wrong outlet was looked at"
    ),
    "misfit-colder": "a unit that cools the boat warms the water that it lets out",
    "misfit-hotter": "so much water, so warm, takes up more than twice the heat of the unit",
    "misfit-warning": (
        "No fault known here explains these readings together: take them again[, the {reading} "
        "first,] and check that the job describes this loop."
    ),
    # Faults that the readings cannot tell apart.
    "group-any": "[{most} or ]{last}",
    "group-any-more": "another like these",
    "group-nothing-read": "Nothing has been read yet: this is only what is common.",
    "group-single": "The readings single this out: {name}.",
    "group-likeliest": "The likeliest by itself: {name}.",
    "group-more": "{count} more",
    "group-split": "These readings cannot tell apart: {most} and {last}.[ What would: {step}.]",
    "group-look": "No reading left can tell apart: {most} and {last}. Looking can: {looks}.",
    # Notes below the answer.
    "note-ignored": "Ignored, because this loop has no such reading: {readings}.",
    # What is wrong with a reading, or with something done, as it was written.
    "wrong": "{where}: {text} is not known here; {hint}",
    "wrong-one-of": "one of: {known}",
    "wrong-key": "{key}: unknown reading[; {hint}]",
    "wrong-no-text": "{key}: must be text in quotes, with its unit",
    "wrong-of-loop": "{key}: belongs to the whole loop; write {base}",
    "wrong-unit": "{key}: no unit {unit}[; {hint}]",
    "wrong-no-unit": "{key}: there are several units; say which, as {example}",
    "wrong-too-fine": "the half-width after ± is too fine for this reading; leave it out",
    "wrong-too-wide": "the half-width after ± is too wide for this reading; leave it out",
    "wrong-twice": "{key}: is given twice, perhaps as bucket and flow; give it once",
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
    # An answer as its button has it, where its name in a file says too little.
    "button-hums": "hums, does not turn",
    "bar-nothing-read": "Nothing read yet",
    "bar-none-leads": "No cause stands out yet",
    "bar-all-well": "Every reading so far is as it should be",
    "note-ignored-prior": "Ignored on the card: prior; loop diagnose takes it.",
}
IN_THE_PROGRAM: dict[str, str] = {
    "reading-under-way": "{reading} under way",
    # A row of what was read.
    "row-reading": "{reading}[{at_speed}, under way]",
    "expect-how": "How",
    "expect": "Expect",
    "expect-if": "{value} if {cause}",
    "wrong-meant": "did you mean {near}?",
    "wrong-known": "known here: {known}",
    "wrong-nearest": "nearest: {near}",
    "wrong-tools": "tools: {text} is not known here; one of: {known}, none",
    "wrong-given-twice": "--reading: {key} is given twice; give it once",
    "wrong-assignment": '--reading: {text} is not NAME=VALUE, such as "flow=150 gal/h"',
    "wrong-prior-option": '--prior: {text} is not FAULT=WEIGHT, such as "pump-worn=0.3"',
    "wrong-step": 'step {number}: must be a [[step]] table with did = "{name}" or the like',
    "wrong-priors-file": '{path}: must hold a [prior] table, such as "pump-worn" = 0.1',
    "wrong-was": "was: no fault {fault}; {hint}",
    "wrong-was-list": "loop faults lists them",
    "wrong-line": (
        "{text}: type a reading as flow=150 gal/h, under way stream=sputtering, did clean-basket: "
        "dirty, said since haul-out, or one of: {known}"
    ),
    "wrong-bucket-zero": (
        "{text}: the volume and the time must both be above zero, of a bucket's size"
    ),
    "wrong-reading": "{text}: {wrong}",
    "wrong-folder": "{folder}: no such folder",
    "baseline-needs": (
        "baseline: needs a flow (flow or bucket), or sea_temperature and outlet_temperature"
    ),
    "baseline-dirty": "baseline: strainer_seen is dirty; clean it first and read again",
    "wrong-visits": "write each [[visit]] as a table of its own, to be added to",
    "baseline-stream": "baseline: the stream is not steady; fix that first and read again",
    "no-loop-flows": (
        "--unit: no loop like this gives the unit its water; check bore, pump and heights"
    ),
    "no-loop-reaches": ("--length: this much hose does not reach from the pump to the discharge"),
    "no-loop-title": "No job file: one unit of {tons} ton",
    "priors-head": (
        "Weights of faults: the program's own, and what was found on visits ({visits})."
    ),
    "put-right": "put right: {fault}",
    "fix-then": "{first}. {when}: {then}",
    "pump-out-as-built": (
        "This loop loses its water as built: its pump comes above the waterline and does not prime "
        "itself; see loop check"
    ),
    "hump-as-built": (
        "This loop holds air as built: its suction has a high point {above} above the waterline, "
        "and the pump does not prime itself; see loop check"
    ),
    "start-as-built": (
        "This loop does not fill as built: that takes {needed} of head, and the pump holds {held}; "
        "see loop check"
    ),
    "dirty-as-built": (
        "The file has this loop with {parts}, and readings are held against that: put it right, "
        "and in the file, first; see loop check"
    ),
    "stated-blocked": "{part} {blocked:ratio} blocked",
    "stated-open": "{part} {open:ratio} open",
    "stated-scale": "{part} scaled",
    "stated-growth": "{part} grown over",
    "short-as-built": (
        "This loop is short as built: [{unit} gets ]{flow} of {needed}; see loop check"
    ),
    "hot-as-built": (
        "This loop is too hot as built: {unit} condenses at {hot} with nothing wrong; see loop "
        "check"
    ),
    "pair-fix": "{first}. Then: {other}",
    "pair-title": "{first} with {other}",
    "note-no-job": (
        "No job file: judged against invented loops of this kind. What is known of this boat "
        "(bore, pump, lengths) or its job file makes the answer sharper."
    ),
    "note-no-baseline": (
        "Judged against the design: a baseline of this boat (loop baseline) would make the answer "
        "sharper."
    ),
    # How the flow drifts from visit to visit.
    "drift-one-day": "A trend takes visits on two days; the need is {need:flow}.",
    "drift-trend": (
        "Flow changes by {month:flow} a month ({low:flow} to {high:flow}); the need is "
        "{need:flow}. {then}"
    ),
    "drift-never": "By this trend it does not fall below the need within ten years.",
    "drift-already": "It is below the need already, by the trend since {date}.",
    "drift-later": "It falls below the need about {date} (90 % band: {early} to {late}).",
    "drift-much-earlier": "much earlier",
    "drift-much-later": "much later, or never",
    # A baseline that looks wrong.
    "baseline-far": (
        "The fitted {what} is {factor:number.2} times the design's, far from it: check the job, "
        "and that the loop was clean."
    ),
    "baseline-loss": "loss",
    "baseline-pump": "pump speed",
    "baseline-ua": "UA",
}

SAY = Sayings(BOTH | ON_THE_CARD | IN_THE_PROGRAM)
