"""Hidden faults of the invented boats, what a person sees of them, and what actions do.

None of it shares the diagnosis's arithmetic: other formulas, other chances.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tests.benchmarks.boats import Boat, with_fault

Rng = np.random.Generator


@dataclass(frozen=True)
class Trouble:
    """A fault: how common it is, and how it changes a boat, drawn anew each time."""

    name: str
    weight: float
    change: Callable[[Boat, Rng], Boat]


def _factor(part: str, low: float, high: float) -> Callable[[Boat, Rng], Boat]:
    """Loss factor of a passage with a share covered, by a power near two."""

    def change(boat: Boat, rng: Rng) -> Boat:
        open_share = 1 - rng.uniform(low, high)
        return with_fault(boat, factor={part: open_share ** -rng.uniform(1.7, 2.2)})

    return change


def _seacock(boat: Boat, rng: Rng) -> Boat:
    angle = np.radians(rng.uniform(35, 68))
    # A plug in a circular bore: the opening that is left, seen end on, and its jet.
    left = max(1 - np.sin(angle), 0.02) ** 1.3
    return with_fault(boat, extra_k={"seacock": (1 / (0.65 * left) - 1) ** 2 * 1.2})


def _kink(name: str) -> Callable[[Boat, Rng], Boat]:
    def change(boat: Boat, rng: Rng) -> Boat:
        return with_fault(boat, factor={f"{name}_bore": float(rng.uniform(0.25, 0.6))})

    return change


def _air(boat: Boat, rng: Rng) -> Boat:
    return with_fault(boat, void=float(rng.uniform(0.02, 0.098)))


def _bound(boat: Boat, rng: Rng) -> Boat:
    return with_fault(boat, void=0.11)


def _scale(boat: Boat, rng: Rng) -> Boat:
    thick = float(rng.uniform(0.5e-3, 1.9e-3))
    return with_fault(
        boat,
        factor={"condenser": (boat.tube / (boat.tube - 2 * thick)) ** 4.6},
        fouling=thick / 1.9 * 2300,
    )


def _film(boat: Boat, rng: Rng) -> Boat:
    return with_fault(boat, fouling=float(rng.uniform(0.5, 2.0)))


def _header(boat: Boat, rng: Rng) -> Boat:
    left = 1 - float(rng.uniform(0.35, 0.85))
    return with_fault(boat, factor={"condenser": left**-1.85}, tubes=left**0.7)


def _worn(boat: Boat, rng: Rng) -> Boat:
    worn = float(rng.uniform(0.12, 0.45))
    return with_fault(boat, pump_head=1 - 0.8 * worn, leak=0.55 * worn)


def _low_supply(boat: Boat, rng: Rng) -> Boat:
    low = 1 - float(rng.uniform(0.1, 0.35))
    if boat.dc:
        return with_fault(boat, supply=low, speed=low**0.95)
    return with_fault(boat, supply=low, frequency=low, speed=low)


def _weak_motor(boat: Boat, rng: Rng) -> Boat:
    slow = float(rng.uniform(0.12, 0.45))
    return with_fault(boat, speed=1 - slow, current=(1 + 0.8 * slow) / (1 - slow) ** 2.6)


def _dead(**changes: object) -> Callable[[Boat, Rng], Boat]:
    def change(boat: Boat, rng: Rng) -> Boat:
        return with_fault(boat, dead=True, **changes)

    return change


def _jammed(boat: Boat, rng: Rng) -> Boat:
    return with_fault(boat, dead=True, turns=False, current=float(rng.uniform(2.0, 4.5)))


def _wrong(boat: Boat, rng: Rng) -> Boat:
    return with_fault(
        boat, pump_head=1 - float(rng.uniform(0.35, 0.6)), leak=float(rng.uniform(0.1, 0.3))
    )


def _siphon(boat: Boat, rng: Rng) -> Boat:
    drop = max(boat.top, boat.out) - boat.out
    return with_fault(boat, pocket=drop * float(rng.uniform(0.7, 1.0)))


def _warm(boat: Boat, rng: Rng) -> Boat:
    return with_fault(boat, sea=boat.design_sea + float(rng.uniform(2, 7)))


def _refrigerant(boat: Boat, rng: Rng) -> Boat:
    return with_fault(boat, hot=float(rng.uniform(4, 13)))


def _off(boat: Boat, rng: Rng) -> Boat:
    return with_fault(boat, rejects=0.0)


TROUBLES: tuple[Trouble, ...] = (
    Trouble("intake-fouled", 9, _factor("intake", 0.6, 0.95)),
    Trouble("seacock-partly-shut", 6, _seacock),
    Trouble("strainer-blocked", 18, _factor("strainer", 0.55, 0.95)),
    Trouble("suction-hose-collapsed", 3, _kink("suction")),
    Trouble("suction-air-leak", 7, _air),
    Trouble("pump-air-bound", 6, _bound),
    Trouble("siphon-lost", 1.5, _siphon),
    Trouble("no-power", 3, _dead(supply=0.0, frequency=0.0)),
    Trouble("pump-jammed", 2, _jammed),
    Trouble("motor-dead", 2, _dead(current=0.0)),
    Trouble("motor-weak", 2, _weak_motor),
    Trouble("pump-worn", 7, _worn),
    Trouble("wrong-pump", 1, _wrong),
    Trouble("pump-decoupled", 2.5, _dead(current=0.62)),
    Trouble("supply-low", 3, _low_supply),
    Trouble("pressure-hose-kinked", 3, _kink("pressure")),
    Trouble("condenser-scaled", 7, _scale),
    Trouble("condenser-film", 5, _film),
    Trouble("condenser-header-blocked", 3, _header),
    Trouble("discharge-blocked", 3, _factor("exit", 0.6, 0.95)),
    Trouble("sea-warm", 3, _warm),
    Trouble("unit-off", 4, _off),
    Trouble("not-water-side", 6, _refrigerant),
    Trouble("generator-slow", 0, _low_supply),  # the equivalent of "supply-low" on AC
)
ALONE = {
    "no-power", "motor-dead", "pump-jammed", "pump-decoupled", "pump-air-bound", "unit-off",
}  # fmt: skip
PUMP = {"pump-worn", "motor-weak", "wrong-pump"}


def _hot_intake(boat: Boat, rng: Rng) -> Boat:
    """Warm discharge water is drawn in again, while the sea beside the boat reads cool."""
    return with_fault(boat, intake_warmer=float(rng.uniform(6, 14)))


def _short_circuit(boat: Boat, rng: Rng) -> Boat:
    """A bypass valve left open: high flow past a condenser that gets little."""
    return with_fault(
        boat, factor={"condenser": 0.15}, tubes=float(rng.uniform(0.2, 0.4)), rejects=0.9
    )


def _small_and_fast(boat: Boat, rng: Rng) -> Boat:
    """A larger pump was fitted, with a throttled valve left in the discharge."""
    return with_fault(
        boat, pump_head=float(rng.uniform(1.5, 1.9)),
        factor={"exit": float(rng.uniform(60, 300))}, current=1.4,
    )  # fmt: skip


def _heavy_load(boat: Boat, rng: Rng) -> Boat:
    """A second heat source on the loop that is not in the job."""
    return with_fault(boat, rejects=float(rng.uniform(1.6, 2.2)))


def _shared_chest(boat: Boat, rng: Rng) -> Boat:
    """The engine draws from the same sea chest, regardless of this loop's flow."""
    return with_fault(boat, drawn_down=float(rng.uniform(0.3, 0.6)) * boat.shutoff)


UNLISTED = (_hot_intake, _short_circuit, _small_and_fast, _heavy_load, _shared_chest)

# Actions: for each trouble, the chances that they show and cure it; and the chance of a false find.
TRIES: dict[str, tuple[dict[str, tuple[float, float]], float]] = {
    "open-seacock": ({"seacock-partly-shut": (0.95, 0.97)}, 0.03),
    "clean-basket": (
        {"strainer-blocked": (0.95, 0.95), "suction-air-leak": (0.25, 0.35)}, 0.25),
    "bleed": (
        {"pump-air-bound": (0.9, 0.8), "suction-air-leak": (0.6, 0.1),
         "siphon-lost": (0.1, 0.1)}, 0.06),
    "loosen-outlet-hose": (
        {"pump-air-bound": (0.88, 0.75), "suction-air-leak": (0.55, 0.1)}, 0.06),
    "seat-lid-and-clamps": ({"suction-air-leak": (0.7, 0.8)}, 0.1),
    "wiggle-hoses": (
        {"suction-hose-collapsed": (0.7, 0.1), "pressure-hose-kinked": (0.6, 0.4),
         "suction-air-leak": (0.35, 0.05)}, 0.06),
    "follow-hoses": (
        {"suction-hose-collapsed": (0.65, 0.2), "pressure-hose-kinked": (0.8, 0.75)}, 0.07),
    "look-at-discharge": ({"discharge-blocked": (0.88, 0.85)}, 0.04),
    "reset-unit": ({"unit-off": (0.8, 0.8)}, 0.5),
    "look-at-air-side": ({"not-water-side": (0.3, 0.25)}, 0.2),
    "check-breaker": ({"no-power": (0.55, 0.6), "motor-dead": (0.15, 0.0)}, 0.02),
    "swap-supply": (
        {"supply-low": (0.9, 0.9), "generator-slow": (0.9, 0.9), "no-power": (0.9, 0.85)}, 0.05),
    "fill-and-purge": (
        {"siphon-lost": (0.5, 0.75), "pump-air-bound": (0.5, 0.5)}, 0.08),
    "feed-from-bucket": (
        {"intake-fouled": (0.85, 0.0), "seacock-partly-shut": (0.85, 0.0),
         "strainer-blocked": (0.8, 0.0), "suction-hose-collapsed": (0.8, 0.0),
         "suction-air-leak": (0.75, 0.0), "pump-air-bound": (0.45, 0.35)}, 0.07),
    "back-flush": ({"intake-fouled": (0.4, 0.5), "condenser-header-blocked": (0.3, 0.2)}, 0.1),
    "clear-intake": ({"intake-fouled": (0.95, 0.95)}, 0.08),
    "open-pump": (
        {"pump-worn": (0.8, 0.45), "pump-decoupled": (0.9, 0.55), "pump-jammed": (0.9, 0.5),
         "motor-dead": (0.25, 0.0)}, 0.1),
    "fit-sound-pump": (
        {"pump-worn": (0.9, 0.9), "motor-weak": (0.9, 0.9), "wrong-pump": (0.9, 0.9),
         "pump-decoupled": (0.93, 0.93), "pump-jammed": (0.93, 0.93),
         "motor-dead": (0.93, 0.93)}, 0.06),
    "open-header": (
        {"condenser-header-blocked": (0.93, 0.93), "condenser-scaled": (0.25, 0)}, 0.08),
    "measure-refrigerant": ({"not-water-side": (0.78, 0.6)}, 0.1),
    "descale": ({"condenser-scaled": (0.9, 0.85), "condenser-film": (0.3, 0.75)}, 0.2),
    "look-at-grate": ({"intake-fouled": (0.5, 0.0)}, 0.06),
    "read-label": ({"wrong-pump": (0.8, 0.0)}, 0.02),
    "set-pump-right": ({"wrong-pump": (0.9, 0.9)}, 0.04),
    "look-through-suction": ({"suction-hose-collapsed": (0.6, 0.0)}, 0.06),
    "test-capacitor": ({"motor-weak": (0.35, 0.3)}, 0.04),
    "prime": (
        {"pump-air-bound": (0.8, 0.75), "suction-air-leak": (0.5, 0.1)}, 0.06),
    "let-water-in": (
        {"intake-fouled": (0.65, 0.0), "seacock-partly-shut": (0.6, 0.0),
         "suction-hose-collapsed": (0.6, 0.0)}, 0.06),
}  # fmt: skip


def words_of(boat: Boat, names: set[str], healthy: float, rng: Rng) -> dict[str, str]:
    """What a person sees and hears, mostly correct."""
    values = boat.readings()
    share = values["flow"] / healthy
    eye = share * float(np.exp(0.15 * rng.standard_normal()))
    if share < 0.04:
        stream = "none" if rng.random() < 0.93 else "sputtering"
    elif boat.void > 0.008 and rng.random() < min(0.45 + 8 * boat.void, 0.9):
        stream = "sputtering"
    elif rng.random() < 0.03:
        stream = str(rng.choice(["sputtering", "none"]))
    else:
        stream = "weak" if eye < 0.68 else "strong"
    sound = "normal"
    draw = rng.random()
    if "no-power" in names:
        sound = "silent" if draw < 0.93 else "normal"
    elif "motor-dead" in names:
        sound = "silent" if draw < 0.9 else "hums" if draw < 0.95 else "normal"
    elif "pump-jammed" in names:
        sound = "hums" if draw < 0.8 else "silent"
    elif "motor-weak" in names:
        sound = str(rng.choice(["normal", "rough", "hums"], p=[0.4, 0.35, 0.25]))
    elif names & {"suction-air-leak", "pump-air-bound", "pump-decoupled"}:
        sound = "rough" if draw < 0.4 else "normal"
    elif draw < 0.12:
        sound = "rough"
    hot = values["condensing_temperature"] + float(rng.normal(0, 2))
    unit = "trips" if hot > 57 else "weak" if hot > boat.sea + 18 and draw < 0.8 else "cools"
    if "unit-off" in names:
        unit = str(rng.choice(["off", "trips", "weak"], p=[0.6, 0.3, 0.1]))
    elif rng.random() < 0.08:
        unit = str(rng.choice(["cools", "weak", "trips"]))
    blocked = boat.factor.get("strainer", 1.0) > 3
    dirty = rng.random() < (0.93 if blocked else 0.25)
    return {
        "stream": stream, "pump_sound": sound, "unit": unit,
        "strainer_seen": "dirty" if dirty else "clean",
    }  # fmt: skip
