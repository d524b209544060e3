"""A boat of two units with many common faults."""

from loop.job import Job, parse_job


def two_cabins() -> Job:
    """Two units on a pump for one, a dirty basket, a scoop that faces aft, and no bleed."""
    hose = {"kind": "hose", "bore": "3/4 in", "length": "8 ft"}
    wheelhouse = [
        {**hose, "length": "37 in", "to": "22 in"},
        {"kind": "condenser", "serves": "wheelhouse", "loss": "2.3 psi at 204 gal/h"},
        {**hose, "to": "10 in", "sweeps": ["90 deg"], "lining": "ribbed"},
    ]
    cabin = [
        {**hose, "to": "10 in"},
        {"kind": "condenser", "serves": "fore cabin", "loss": "2.1 psi at 80 gal/h"},
        {**hose, "length": "8 in", "to": "6 in"},
        {"kind": "discharge", "height": "6 in", "bore": "3/4 in"},
    ]
    branches = [{"name": "high", "part": wheelhouse}, {"name": "low", "part": cabin}]
    return parse_job(
        {
            "water": {"temperature": "90 degF"},
            "boat": {"heel": "5 deg", "speed": "4 knot", "wave_height": "6 in"},
            "defaults": {"bore": "1 in"},
            "condenser": [
                {"name": "wheelhouse", "cooling": "12000 BTU/h"},
                {"name": "fore cabin", "cooling": "5000 BTU/h"},
            ],
            "part": [
                {"kind": "intake", "height": "-16 in", "facing": "aft"},
                {"kind": "seacock", "port": "0.8 in"},
                {**hose, "bore": "1 in", "to": "-12 in"},
                {"kind": "strainer", "loss": "0.8 psi at 433 gal/h", "blocked": "80 %"},
                {**hose, "bore": "1 in", "to": "-8 in"},
                {"kind": "pump", "curve": "demo-ac-250"},
                {**hose, "bore": "1 in", "to": "10 in"},
                {"kind": "manifold", "branch": branches},
                {**hose, "bore": "1 in", "to": "12 in", "via": ["2 in", "8 in"]},
                {"kind": "discharge", "height": "12 in"},
            ],
        }
    )
