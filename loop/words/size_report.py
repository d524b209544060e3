"""The titles, columns and remarks of `loop size`'s report; its sentences stand in `sizing`."""

from loop.words.template import Sayings

SIZE_REPORT: dict[str, str] = {
    "none-passes": "NOTHING PASSES",
    "fit": "FIT",
    "runner-up": "Runner-up",
    "first-title": "Put right first; every size below counts on it",
    "aside-title": "Besides: what no hose or pump fixes",
    "aside-grave-title": "First of all: the loop is not sound, and no hose or pump makes it so",
    "aside": "{message} Fix: {fix}.",
    "against-title": "Why it comes first",
    "against-cheaper": "Cheaper",
    "against-smaller": "Smaller",
    "against-power": "Uses less",
    "against-draw": "Less draw in all",
    "reach-title": "How far it goes, one thing at a time",
    "reach-now": "now",
    "reach-passes-to": "passes to",
    "reach-then": "then",
    # The smallest change of the loop as it stands.
    "least-title": "Smallest change with which the existing loop stands its worst service",
    "least-none-title": "No set of three changes fixes the existing loop; most is won by",
    "least-nothing-title": (
        "No set of three changes fixes the existing loop, or brings much more water"
    ),
    # What a check says of it.
    "advised-title": "What a check of the existing loop says first",
    "advised-only-title": "No set of three changes fixes the existing loop; a check of it says",
    "least-others-title": "Or one of these",
    "least-and": "; and ",
    "least": "{change}: [{gain:flow} more, ]{flow:flow} in all[, with a chance of {chance}]",
    "least-not-first": (
        "A check of the loop as its file states it offers first: {fix}. At the worst service that "
        "fails: {reason}."
    ),
    "least-not-first-new": (
        "A check of the loop as its file states it offers first: {fix}. {found}"
    ),
    "least-too-unsure": "the chance that each unit gets its water is less than is asked",
    "apart-title": "One pump for each unit, with intake, strainer and hoses of its own",
    "apart-none": "none serves",
    # Options that pass, and that fail.
    "passing-title": "What passes",
    "passing-best": "* no other beats it in margin, power, price and largest bore at once.",
    "passing-as-is": "= the loop as it stands.",
    "passing-more": "{count} more pass; --all lists them.",
    "failing-title": "What fails, the nearest first",
    "failing-more": "{count} more fail; --all lists them.",
    "head-pump": "pump",
    "head-hoses": "hoses",
    "head-flow": "flow",
    "head-chance": "chance",
    "head-power": "power",
    "head-sure": "sure of",
    "head-suction": "suction",
    "head-pressure": "pressure",
    "head-price": "price",
    # What the answer rests on.
    "service-title": "Worst service",
    "odds-title": "Odds",
    "odds": (
        "{draws} draws of each of the best options; {options} were studied, with {checks} whole "
        "checks. About 95 in 100 draws lie in each of these ranges: {spreads}.[ Left out, as no "
        "supply of the boat runs them: {unsuited}.]"
    ),
    # The draw in all, and the hours on the batteries.
    "draw-title": "Whole draw: compressors, fans and pump",
    "draw-by-heat-title": "The same loop at full stage, by the temperature at which it condenses",
    "draw-by-heat": (
        "Near {mild:temperature} is healthy in a mild sea; {hot:temperature} to "
        "{hotter:temperature} is not."
    ),
    "stated-title": "On the batteries, by the draw that the job states",
    "trips": "trips",
    "head-stage": "stage",
    "head-as-new": "as new",
    "head-worst": "worst",
    "head-hours": "hours",
    "head-condensing": "condensing at",
    "head-draw": "whole draw",
    "head-share": "its share",
    # While it works, and what it wrote.
    "working": "Sizing",
    "written-right": "what stands wrong put right",
    "not-written": "Nothing passes: {file} is not written.",
    "written": "Wrote {file}[, with {first}]. Next: loop check {file}",
}
SAY = Sayings(SIZE_REPORT)
