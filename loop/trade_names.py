"""What the trade calls things that a job file has under another name."""

import re

# A part's name in the trade, in plain letters, and the kinds of part that it may be here.
_KINDS: dict[str, tuple[str, ...]] = {
    "through hull": ("intake", "discharge"),
    "thru hull": ("intake", "discharge"),
    "skin fitting": ("intake", "discharge"),
    "scoop": ("intake",),
    "inlet": ("intake",),
    "outlet": ("discharge",),
    "overboard": ("discharge",),
    "ball valve": ("seacock", "fitting"),
    "gate valve": ("seacock", "fitting"),
    "valve": ("seacock",),
    "sea strainer": ("strainer",),
    "raw water strainer": ("strainer",),
    "filter": ("strainer",),
    "pipe": ("hose",),
    "tube": ("hose",),
    "tubing": ("hose",),
    "bend": ("elbow",),
    "non return valve": ("check valve",),
    "bleed valve": ("bleed",),
    "air vent": ("bleed",),
    "header": ("manifold",),
    "siphon break": ("vented loop",),
    "anti siphon valve": ("vented loop",),
    "air conditioner": ("condenser",),
    "unit": ("condenser",),
    "coil": ("condenser",),
    "heat exchanger": ("condenser",),
}


def kinds_meant(name: str, known: list[str]) -> list[str]:
    """The known kinds of part that a name of the trade may mean; none for any other name.

    >>> kinds_meant("Through-hulls", ["intake", "hose", "discharge"])
    ['intake', 'discharge']
    """
    plain = " ".join(re.sub(r"[-_]", " ", name.lower()).split())
    meant = _KINDS.get(plain) or _KINDS.get(plain.removesuffix("s"), ())
    return [kind for kind in meant if kind in known]
