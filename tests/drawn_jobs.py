"""Loops of every shape for tests of figures: the smallest, long ones, networks, extremes."""

import itertools
from functools import cache
from typing import Any

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.transforms import Affine2D

from loop.check import CheckResult, check
from loop.draw.boxes import Box, corners, crossings, struck, text_boxes
from loop.draw.scene import Scene
from loop.job import Job, parse_job
from loop.pumps import PumpCurve


def pump(last_flow: str = "350 gal/h", shutoff: str = "11.5 ft", **more: Any) -> PumpCurve:
    """An invented pump whose curve falls from `shutoff` to a tenth of it at `last_flow`."""
    flow, flow_unit = last_flow.split()
    head, head_unit = shutoff.split()
    shares = (0.0, 0.25, 0.5, 0.75, 1.0)
    heads = (1.0, 0.96, 0.85, 0.57, 0.1)
    return PumpCurve.model_validate(
        {
            "name": "demo-drawn",
            "drive": "dc",
            "rated_supply": "12 V",
            "port": "3/4 in",
            "curve": {
                "flow": {"unit": flow_unit, "values": [float(flow) * s for s in shares]},
                "head": {"unit": head_unit, "values": [float(head) * h for h in heads]},
            },
            **more,
        }
    )


def job(parts: list[dict[str, Any]], cooled: list[dict[str, Any]] | None = None, **top: Any) -> Job:
    """A job of these parts, with bores of 3/4 in and one unit of a ton unless given."""
    return parse_job(
        {
            "title": "Petrel",
            "water": {"temperature": "85 degF"},
            "defaults": {"bore": "3/4 in"},
            "condenser": cooled or [{"name": "saloon", "cooling": "12000 BTU/h"}],
            "part": parts,
            **top,
        }
    )


def condenser(unit: str = "saloon", loss: str = "2.2 psi at 240 gal/h") -> dict[str, Any]:
    """The water side of a unit."""
    return {"kind": "condenser", "serves": unit, "loss": loss}


def smallest() -> Job:
    """The fewest parts that make a loop."""
    return job(
        [
            {"kind": "intake", "height": "-16 in"},
            {"kind": "pump", "curve": "demo-ac-350"},
            condenser(),
            {"kind": "discharge", "height": "-16 in"},
        ]
    )


def plain(**changes: Any) -> Job:
    """A usual loop of one unit; `changes` go into its parts by name, or into the whole."""
    strainer = {"kind": "strainer", "loss": "0.4 psi at 300 gal/h"} | changes.pop("strainer", {})
    hose = {"kind": "hose", "length": "12 ft", "to": "10 in"} | changes.pop("hose", {})
    suction = {"kind": "hose", "label": "suction hose", "length": "3 ft", "to": "-12 in"}
    suction |= changes.pop("suction", {})
    intake = {"kind": "intake", "height": "-16 in"} | changes.pop("intake", {})
    curve = changes.pop("curve", "demo-ac-350")
    return job(
        [
            intake,
            {"kind": "seacock"},
            suction,
            strainer,
            {"kind": "hose", "length": "2 ft", "to": "-10 in"},
            {"kind": "pump", "curve": curve},
            hose,
            condenser(),
            {"kind": "hose", "length": "6 ft", "to": "5 in"},
            {"kind": "discharge", "height": "5 in"},
        ],
        **changes,
    )


def long(count: int = 30) -> Job:
    """A loop of `count` parts with long names, high points and low points."""
    middle: list[dict[str, Any]] = []
    kinds = ({"kind": "elbow"}, {"kind": "tee"}, {"kind": "bleed"}, {"kind": "check valve"},
             {"kind": "fitting", "k": 1.2})  # fmt: skip
    while len(middle) < count - 9:
        number = len(middle)
        middle.append(
            {
                "kind": "hose",
                "label": f"hose {number} behind the starboard water tank",
                "length": "3 ft",
                "to": f"{4 + 3 * (number % 5)} in",
            }
        )
        middle.append(dict(kinds[number % len(kinds)]))
    middle = middle[: count - 9]
    return job(
        [
            {"kind": "intake", "height": "-16 in", "facing": "forward"},
            {"kind": "seacock"},
            {"kind": "hose", "length": "5 ft", "to": "-12 in", "via": ["-8 in"]},
            {"kind": "strainer", "loss": "0.1 psi at 300 gal/h"},
            {"kind": "pump", "curve": pump("600 gal/h", "40 ft")},
            *middle,
            condenser(),
            {"kind": "hose", "length": "16 ft", "to": "30 in", "via": ["40 in", "12 in", "44 in"]},
            {"kind": "hose", "length": "6 ft", "to": "5 in"},
            {"kind": "discharge", "height": "5 in"},
        ],
        boat={"heel": "15 deg", "wave_height": "1 ft", "speed": "8 knot"},
    )


def network(count: int = 6, **first: Any) -> Job:
    """Units on one manifold, every other branch overboard; `first` goes into the first's hose."""
    names = [f"cabin {number} on the port side" for number in range(1, count + 1)]
    units = [
        {
            "name": name,
            "cooling": f"{6000 + 1000 * number} BTU/h",
            "condensing_watch": "104 degF",
            "condensing_stop": f"{112 + number} degF",
        }
        for number, name in enumerate(names)
    ]
    branches = []
    for number, name in enumerate(names):
        hose = {"kind": "hose", "length": f"{6 + number} ft", "to": "20 in", "via": ["30 in"]}
        parts = [
            hose | first if number == 0 else hose,
            condenser(name, "1.8 psi at 150 gal/h"),
            {"kind": "hose", "length": "5 ft", "to": "6 in"},
        ]
        if number % 2:
            parts.append({"kind": "discharge", "height": "6 in"})
        branches.append({"name": f"branch {number + 1}", "part": parts})
    return job(
        [
            {"kind": "intake", "height": "-24 in", "bore": "2 in"},
            {"kind": "hose", "length": "4 ft", "to": "-18 in", "bore": "2 in"},
            {"kind": "strainer", "loss": "0.5 psi at 1200 gal/h", "bore": "2 in"},
            {"kind": "pump", "curve": pump(f"{300 * count} gal/h", "14 ft")},
            {"kind": "hose", "length": "6 ft", "to": "8 in", "bore": "1-1/2 in"},
            {"kind": "manifold", "branch": branches, "bore": "1-1/2 in"},
            {"kind": "hose", "length": "5 ft", "to": "6 in", "bore": "1-1/2 in"},
            {"kind": "discharge", "height": "6 in", "bore": "1-1/2 in"},
        ],
        units,
    )


def scaled(bore: str, flow: str, cooling: str) -> Job:
    """A loop of an entirely different size."""
    hose = {"kind": "hose", "bore": bore}
    return job(
        [
            {"kind": "intake", "height": "-3 ft", "bore": bore},
            hose | {"length": "10 ft", "to": "-20 in"},
            {"kind": "strainer", "loss": f"0.4 psi at {flow}", "bore": bore},
            {"kind": "pump", "curve": pump(flow, "30 ft")},
            hose | {"length": "60 ft", "to": "3 ft"},
            {**condenser(loss=f"3 psi at {flow}"), "bore": bore},
            hose | {"length": "20 ft", "to": "5 in"},
            {"kind": "discharge", "height": "5 in", "bore": bore},
        ],
        [{"name": "saloon", "cooling": cooling}],
    )


JOBS: dict[str, Job] = {
    "smallest": smallest(),
    "plain": plain(),
    "blocked": plain(strainer={"blocked": "80 %"}),
    "no flow": plain(hose={"length": "40 ft", "to": "10 in"}, curve=pump(shutoff="0.3 ft")),
    "cannot start": plain(
        hose={"length": "60 ft", "via": ["60 in", "2 in", "60 in", "2 in", "60 in", "0 in"]}
    ),
    "holds air": plain(
        hose={"bore": "1-1/2 in", "length": "30 ft", "via": ["30 in", "0 in"]},
    ),
    "suction hump": plain(intake={"height": "4 in"}),
    "hump under water": plain(suction={"to": "-10 in", "via": ["-4 in"]}),
    "shallow": plain(intake={"height": "-2 in"}, boat={"heel": "20 deg", "wave_height": "2 ft"}),
    "odd title": plain(title="A title of its own $x^2$ \U0001f6a2 " * 6, units="si"),
    "thirty": long(30),
    "hundred": long(100),
    "hundred and one": long(101),
    "two units": network(2),
    "one branch high": network(2, length="40 ft", via=["15 ft"]),
    "six units": network(6),
    "twelve units": network(12),
    "tiny": scaled("1/4 in", "20 gal/h", "1000 BTU/h"),
    "huge": scaled("4 in", "6000 gal/h", "200000 BTU/h"),
}

CHECKED = ("curves", "profile", "heads", "fouling")
VISITS = [
    {"date": "2026-01-11", "note": "commissioned", "readings": {"flow": "232 gal/h"}},
    {"date": "2026-03-12", "readings": {"flow": "226 gal/h"}},
    {"date": "2026-05-10", "note": "basket cleaned", "readings": {"flow": "214 gal/h"}},
    {"date": "2026-08-18", "readings": {"flow": "204 gal/h"}},
]


@cache
def checked(name: str) -> CheckResult:
    """Without a search for fixes, which no figure shows."""
    return check(JOBS[name], fixes=False)


def scene(name: str, system: str = "us", branch: str = "") -> Scene:
    return Scene(checked(name), system, branch)  # type: ignore[arg-type]


def marks(figure: Any) -> list[Box]:
    """Rectangles of the signs drawn on a figure's panels [pixels]."""
    figure.draw_without_rendering()
    found = []
    for line in figure.findobj(Line2D):
        if line.get_label() != "sign":
            continue
        drawn = line.get_marker().transformed(
            Affine2D().scale(1 / np.abs(line.get_marker().vertices).max() / 2)
        )
        size = drawn.vertices * line.get_markersize() * figure.dpi / 72
        at = line.get_transform().transform(np.column_stack(line.get_data()))[0]
        found.append(Box(*(at + size.min(axis=0)), *(at + size.max(axis=0))))
    return found


def leaders(figure: Any) -> list[np.ndarray]:
    """Ends of the thin lines from labels to what they name [pixels], each shape (2, 2)."""
    lines = [line for line in figure.findobj(Line2D) if line.get_label() == "leader"]
    return [line.get_transform().transform(np.column_stack(line.get_data())) for line in lines]


def overlap(one: Box, other: Box) -> bool:
    """Whether two boxes share any area."""
    across = one.x0 < other.x1 and other.x0 < one.x1
    return across and one.y0 < other.y1 and other.y0 < one.y1


def assert_words_apart(figure: Any) -> None:
    """No label overlaps another, a sign or a leader, no leader a sign; all lie on the page."""
    boxes = text_boxes(figure)
    right, top = float(figure.bbox.width), float(figure.bbox.height)
    signs, lines = marks(figure), leaders(figure)
    assert len(boxes) > 5
    for text, box in boxes:
        assert min(box.x0, box.y0) >= 0, f"{text!r} runs off the page"
        assert box.x1 <= right, f"{text!r} runs off the page"
        assert box.y1 <= top, f"{text!r} runs off the page"
        assert not any(overlap(box, sign) for sign in signs), f"{text!r} lies on a sign"
        for start, end in lines:
            assert not struck(start, end, corners([box])).any(), f"a leader runs through {text!r}"
    for start, end in lines:
        assert not struck(start, end, corners(signs)).any(), "a leader runs through a sign"
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        assert not overlap(a, b), f"{one!r} overlaps {other!r}"
    for one, other in itertools.combinations(lines, 2):
        assert not crossings(*one, other[None]), "two leaders cross"
