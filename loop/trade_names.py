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
    "sea chest": ("intake",),
    "flow switch": ("fitting",),
    "flow meter": ("fitting",),
    "y": ("tee",),
    "wye": ("tee",),
}
# Parts of a closed loop, whose water comes round again: nothing here works that out.
_CLOSED = (
    "keel cooler",
    "skin cooler",
    "box cooler",
    "grid cooler",
    "expansion tank",
    "header tank",
)


def kinds_meant(name: str, known: list[str]) -> list[str]:
    """The known kinds of part that a name of the trade may mean; none for any other name.

    >>> kinds_meant("Through-hulls", ["intake", "hose", "discharge"])
    ['intake', 'discharge']
    """
    meant = next((_KINDS[plain] for plain in _plain(name) if plain in _KINDS), ())
    return [kind for kind in meant if kind in known]


def of_closed_loop(name: str) -> bool:
    """Whether a name of the trade is a part of a loop whose water does not come from the sea.

    >>> of_closed_loop("Keel cooler"), of_closed_loop("strainer")
    (True, False)
    """
    return any(plain in _CLOSED for plain in _plain(name))


def _plain(name: str) -> tuple[str, str]:
    """A name in plain letters as it stands, and for one."""
    plain = " ".join(re.sub(r"[-_]", " ", name.lower()).split())
    return plain, plain.removesuffix("s")
