"""The titles, columns and remarks of `loop size`'s report; its sentences are in `sizing`."""

from loop.words.template import Sayings

SIZE_REPORT: dict[str, str] = {
    "none-passes": "NOTHING PASSES",
    "fit": "FIT",
    "runner-up": "Runner-up",
    "first-title": "Fix first; every size below assumes it",
    "aside-title": "Also: problems that no hose or pump fixes",
    "aside-grave-title": "First: the loop is not sound, and no hose or pump fixes that",
    "aside": "{message} Fix: {fix}.",
    "against-title": "Why this choice and not another",
    "against-cheaper": "Cheaper",
    "against-smaller": "Smaller",
    "against-power": "Uses less",
    "against-draw": "Less total draw",
    "reach-title": "How far the choice goes, one change at a time",
    "reach-now": "now",
    "reach-passes-to": "passes to",
    "reach-then": "then",
    # The smallest change of the loop as it stands.
    "least-title": "Smallest change with which the existing loop passes its worst service",
    "least-none-title": "No set of three changes fixes the existing loop; these gain the most",
    "least-nothing-title": "No set of three changes fixes the existing loop, or gains much water",
    # The first fix from a check of it.
    "advised-title": "First fix from loop check of the existing loop",
    "advised-only-title": "No set of three changes fixes the existing loop; loop check says",
    "least-others-title": "Or one of these",
    "least-and": "; and ",
    "least": "{change}: [{gain:flow} more, ]{flow:flow} in all[, with a chance of {chance}]",
    "least-not-first": (
        "The first fix from loop check, for the loop as in the file: {fix}. At the worst service "
        "that fails: {reason}."
    ),
    "least-not-first-new": (
        "The first fix from loop check, for the loop as in the file: {fix}. {found}"
    ),
    "least-too-unsure": "the chance that each unit gets its water is lower than required",
    "apart-title": "One pump for each unit, with intake, strainer and hoses of its own",
    "apart-none": "none is enough",
    # Options that pass, and that fail.
    "passing-title": "Options that pass",
    "passing-best": "* no other beats it in margin, power, price and largest bore at once.",
    "passing-as-is": "= the loop as it stands.",
    "passing-more": "{count} more pass; --all lists them.",
    "failing-title": "Options that fail, nearest first",
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
    # The basis of the answer.
    "service-title": "Worst service",
    "odds-title": "Odds",
    "odds": (
        "{draws} random samples of each of the best options; {options} were studied, with {checks} "
        "full checks. About 95 in 100 samples lie in each of these ranges: {spreads}.[ Left out, "
        "since no supply of the boat runs them: {unsuited}.]"
    ),
    # The total draw, and the hours on the batteries.
    "draw-title": "Total draw: compressors, fans and pump",
    "draw-by-heat-title": "The same loop at full stage, by condensing temperature",
    "draw-by-heat": (
        "Near {mild:temperature} is healthy in a mild sea; {hot:temperature} to "
        "{hotter:temperature} is not."
    ),
    "stated-title": "On the batteries, by the draw stated in the job",
    "trips": "trips",
    "head-stage": "stage",
    "head-as-new": "as new",
    "head-worst": "worst",
    "head-hours": "hours",
    "head-condensing": "condensing at",
    "head-draw": "total draw",
    "head-share": "its share",
    # Progress, and the file written.
    "working": "Sizing",
    "written-right": "the first fixes made",
    "not-written": "Nothing passes: {file} is not written.",
    "written": "Wrote {file}[, with {first}]. Next: loop check {file}",
}
SAY = Sayings(SIZE_REPORT)
