"""Sentences of the paper service card and its drawing; its answers are `loop.words.diagnosis`."""

from loop.words.template import Sayings

SERVICE_CARD: dict[str, str] = {
    "sea": "sea",
    "paper-isolate": "Isolate first:",
    "paper-off": "unit off, then the pump's breaker off.",
    "paper-steps": "Ten steps: what settles most for its minutes and risk comes first",
    "paper-log": "Readings to expect, and yours",
    "paper-faults": "What the readings point to, and where to look",
    "paper-about": (
        "Seawater loop, service card. {boat} The code identifies these inputs and this program."
    ),
    "paper-phone": "The same card for a phone: loop card JOB -o card.html.",
    "paper-known": "Known of the boat: {known}.",
    "paper-known-nothing": "nothing",
    "paper-minutes": "{minutes} min.",
    "paper-step": "step\u00a0{numbers}",
    "paper-further": "look further: step\u00a0{numbers}",
    "paper-each": "measure the {reading} of each unit",
    "paper-each-unit": "see what each unit does",
    "log-date": "Date",
    "log-healthy": "healthy",
    "log-flow": "Flow",
    "log-sea": "Sea",
    "log-outlet": "Outlet",
    "log-condensing": "Condensing",
    "log-pump-outlet": "Pump out",
    "faults-bucket": "{bucket} in",
    "faults-flow": "Flow",
    "faults-rise": "Rise",
    "faults-rise-less": "Rise less than that",
    "faults-rise-right": "Rise about that",
    "faults-rise-more": "Rise more than that",
    "faults-no-water": "no water",
    "faults-cause": "{cause} {odds}",
    "faults-none": "no cause stands out",
    "faults-silent": "Pump silent: {causes}",
    "faults-hums": "Pump hums, breaker off now: {causes}",
    "faults-runs": "Pump runs: {causes}",
}

SAY = Sayings(SERVICE_CARD)
