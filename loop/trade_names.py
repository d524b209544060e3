"""Trade names for things that a job file calls something else."""

import re
from collections.abc import Collection

# Trade names of parts, in plain letters, and the kinds of part that they may mean.
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
# Other names for keys and tables, and the keys that they may mean.
_KEYS: dict[str, tuple[str, ...]] = {
    "vessel": ("boat",),
    "yacht": ("boat",),
    "ship": ("boat",),
    "sea": ("water",),
    "seawater": ("water",),
    "aircon": ("condenser",),
    "air conditioner": ("condenser",),
    "unit": ("serves", "condenser"),
    "model": ("curve",),
    "pump": ("curve",),
    "btu": ("cooling",),
    "btuh": ("cooling",),
    "capacity": ("cooling",),
    "ton": ("cooling",),
    "diameter": ("bore",),
    "size": ("bore",),
    "volt": ("supply",),
    "voltage": ("supply",),
    "hz": ("frequency",),
    "hertz": ("frequency",),
    "depth": ("height", "to"),
    "elevation": ("height", "to"),
    "level": ("height", "to"),
    "id": ("bore",),
    "inside diameter": ("bore",),
    "bend": ("sweeps",),
    "elbow": ("sweeps",),
    "name": ("title", "label"),
    "description": ("label", "title"),
}
# Parts of a closed loop, whose water recirculates: not supported.
_CLOSED = (
    "keel cooler", "skin cooler", "box cooler", "grid cooler", "expansion tank", "header tank",
)  # fmt: skip


def kinds_meant(name: str, known: list[str]) -> list[str]:
    """The known kinds of part that a trade name may mean; empty for any other name.

    >>> kinds_meant("Through-hulls", ["intake", "hose", "discharge"])
    ['intake', 'discharge']
    """
    meant = next((_KINDS[plain] for plain in _plain(name) if plain in _KINDS), ())
    return [kind for kind in meant if kind in known]


def key_meant(name: str, known: Collection[str]) -> str | None:
    """The known key or table that a trade name means; None for any other name.

    >>> key_meant("vessel", ["boat", "water"]), key_meant("model", ["boat", "water"])
    ('boat', None)
    """
    keys = (key for plain in _plain(name) for key in _KEYS.get(plain, ()))
    return next((key for key in keys if key in known), None)


def of_closed_loop(name: str) -> bool:
    """Whether a trade name is a part of a closed loop, whose water does not come from the sea.

    >>> of_closed_loop("Keel cooler"), of_closed_loop("strainer")
    (True, False)
    """
    return any(plain in _CLOSED for plain in _plain(name))


def _plain(name: str) -> tuple[str, str]:
    """A name in plain letters, as written and in the singular."""
    plain = " ".join(re.sub(r"[-_]", " ", name.lower()).split())
    return plain, plain.removesuffix("s")
