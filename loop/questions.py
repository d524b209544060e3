"""Questions of `loop new` and `loop pumps --new`, by name; their text is in `loop.words.help`.

Separate, to be available without loading the modules that read the answers.
"""

# Asked, in this order.
QUESTIONS = (
    "cooling",
    "supply",
    "pump",
    "bore",
    "sea_temperature",
    "intake_height",
    "pump_height",
    "unit_height",
    "outlet_height",
    "suction_length",
    "pressure_length",
    "unit_loss",
)
# Not asked: options of the command, with usual values if omitted.
WISHES = (
    "title",
    "units",
)
_UNASKED = (
    "salinity",
    "lining",
    "strainer_loss",
)
# Ordered so that the usual answer to one depends only on those before it.
EVERY = (*WISHES, *QUESTIONS, *_UNASKED)

# For a pump file, in this order.
PUMP_QUESTIONS = (
    "name",
    "runs_on",
    "port",
    "self_priming",
    "most_flow",
    "most_head",
    "power",
)
