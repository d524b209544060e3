"""What `loop new` and `loop pumps --new` ask, by name; the questions are `loop.words.help`.

Known without the rooms that read the answers.
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
# Not asked: options of the command, the usual where they are left out.
WISHES = (
    "title",
    "units",
)
_UNASKED = (
    "salinity",
    "lining",
    "strainer_loss",
)
# In the order in which the usual answer to one hangs on those to others.
EVERY = (*WISHES, *QUESTIONS, *_UNASKED)

# Of a pump file, in this order.
PUMP_QUESTIONS = (
    "name",
    "runs_on",
    "port",
    "self_priming",
    "most_flow",
    "most_head",
    "power",
)
