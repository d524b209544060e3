"""The steps of the air: the head it takes to start, and whether the water sweeps a crest clear."""

import math
from dataclasses import replace

from loop.air.air_paths import AirPath
from loop.air.high_points import Crest
from loop.air.priming_head import rises
from loop.hydraulics import OperatingPoint
from loop.hydraulics.clearing import ESCARAMEIA, WISNER
from loop.teach.ledger import Ledger, Notes
from loop.teach.reckoning import Reckoning, gravity
from loop.teach.step import Sum, Value
from loop.units import show


def start_steps(reckoning: Reckoning) -> None:
    """Start head of every way, against the shut-off head; then each crest's Froude number."""
    ledger, point = reckoning.ledger, reckoning.result.point
    shown: set[tuple[int, float]] = set()
    for path in reckoning.result.air:
        by_way = f", by way of “{path.branch}”" if path.branch else ""
        ledger.begin(f"Priming, and air{by_way}", "air", of=path.branch)
        _start(reckoning, path)
        for crest in path.crests:
            if (crest.part, crest.along) not in shown and crest.velocity > 0:
                shown.add((crest.part, crest.along))
                _sweep(ledger, crest, point)


def _start(reckoning: Reckoning, path: AirPath) -> None:
    ledger, found = reckoning.ledger, rises(path.profile, path.crests)
    inputs: dict[str, Value] = {}
    terms: list[str] = []
    before: list[str] = []
    for number, (height, drop) in enumerate(zip(found.heights, found.drops, strict=True), start=1):
        inputs[f"z_{number}"] = ledger.given(f"z_{number}", height, "height")
        terms.append(" + ".join([f"z_{number}", *before]))
        if drop > 0 and number < len(found.heights):
            fall = ledger.given(f"d_{number}", drop, "height")
            inputs[f"d_{number}"] = replace(fall, origin="crest less the low point behind it")
            before.append(f"d_{number}")
    formula = terms[0] if len(terms) == 1 else f"max({', '.join(terms)})"
    ledger.step(
        "Head for priming (filling the empty line)",
        Sum("H_start", formula, inputs),
        found.head,
        "head",
        Notes(
            "z: height of each rise; d: drop behind a high point without a bleed, whose air stays"
            " and pushes back. May, Allen & Nelson (2018)",
            _start_meaning(ledger, path, reckoning.result.point.shutoff_head),
        ),
    )


def _start_meaning(ledger: Ledger, path: AirPath, shutoff: float) -> str:
    if path.start_head > shutoff:
        return "More than the pump's shut-off head: the pump cannot prime this loop."
    if path.starves and path.filling is not None:
        others = path.filling.others
        left, needed = (
            show(head, "head", ledger.system)
            for head in (path.filling.head_left, path.filling.head)
        )
        return (
            "Less than the pump's shut-off head, so the pump fills this branch alone. While"
            f" {' and '.join(others)} run{'s' * (len(others) == 1)}, only {left} is left at the"
            f" header, and priming it needs {needed}: it stays dry until they are throttled."
        )
    return "Less than the pump's shut-off head, so the pump fills the line by itself."


def _sweep(ledger: Ledger, crest: Crest, point: OperatingPoint) -> None:
    """Froude number on the falling leg of a crest, and the two published limits."""
    label = point.network.labels[crest.part]
    speed = Value(crest.velocity, "m/s", "velocity on the falling leg")
    bore = ledger.given("D", crest.bore, "bore")
    slope = Value(crest.slope, "rad", "from the job's heights and lengths")
    ledger.step(
        f"Froude number behind the high point at the {label}",
        Sum("Fr", "V / sqrt(g * D)", {"V": speed, "g": gravity(), "D": bore}),
        crest.froude,
        "",
        Notes("definition", "Whether the water is fast enough to carry the air down with it."),
    )
    root = math.sqrt(math.sin(crest.slope))
    ledger.step(
        "Froude number that carries the air down, by one source",
        Sum("Fr_1", "{:g} + {:g} * sqrt(sin(θ))".format(*WISNER), {"θ": slope}),
        WISNER[0] + WISNER[1] * root,
        "",
        Notes("Wisner, Mohsen & Kouwen (1975)", _STEEP if crest.extrapolated else _GENTLE),
    )
    ledger.step(
        "Froude number that carries the air down, by another",
        Sum("Fr_2", "{:g} + {:g} * sqrt(sin(θ))".format(*ESCARAMEIA), {"θ": slope}),
        ESCARAMEIA[0] + ESCARAMEIA[1] * root,
        "",
        Notes(f"Escarameia (2007); {ESCARAMEIA[0]:g} from memory", _RUNNING[crest.running]),
    )


_STEEP = "Measured on gentler slopes than this one: an extrapolation."
_GENTLE = "Measured on slopes like this one, in larger pipes."
_RUNNING = {
    "swept": "Above both: the water carries the air away.",
    "may stay": "Between the two: the air may go or stay; a bleed there settles it.",
    "held": "Below both: air that is there stays. If the line was filled without air, there is"
    " none.",
}
