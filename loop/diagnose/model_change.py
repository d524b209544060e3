"""A fault's change to the model and its site, as data; and the combination of two changes."""

from collections.abc import Callable
from dataclasses import field
from operator import add, mul

from loop.records import dataclass


@dataclass(frozen=True)
class Site:
    """A fault's site: part and unit (-1 where it has none); ``where`` is its displayed name.

    ``still`` : the pump stops with it, so that the lack of water hides any other fault.
    """

    where: str
    part: int = -1
    unit: int = -1
    still: bool = False


@dataclass(frozen=True)
class ModelChange:
    """Changes to the model: factors (losses, pump, supply) or increments (heat, sea).

    loss : factor on a part's head loss, by part index.
    speed, pump_flow, pump_head : factors on the pump, as in `loop.hydraulics.Cases`.
    supply, frequency : factors on the supply's voltage and frequency, as a meter reads them.
    drive : factor on the pump's electrical power at its flow.
    fouling : added thermal resistance of a unit's condenser, as a share of its 1/UA, by unit index.
    condensing : increment of a unit's condensing temperature [K], by unit index.
    sea : sea temperature above the job's [K]; None where it is not the fault but uncertain.
    warmer : temperature of the water at the intake above the sea [K].
    legs : indices of the network's falling-leg sections that hold air.
    full : share of these that is full of water nevertheless.
    rejected : factor on a unit's rejected heat, by unit index: 0 where its compressor is off.
    air : visible share of air in the stream, 0 to 1.
    basket : visibly covered share of the strainer's basket.
    current : factor on the pump's current beyond what its power takes (a weak or jammed motor).
    """

    loss: dict[int, float] = field(default_factory=dict)
    speed: float = 1.0
    pump_flow: float = 1.0
    pump_head: float = 1.0
    supply: float = 1.0
    frequency: float = 1.0
    drive: float = 1.0
    fouling: dict[int, float] = field(default_factory=dict)
    condensing: dict[int, float] = field(default_factory=dict)
    sea: float | None = None
    warmer: float = 0.0
    legs: frozenset[int] = frozenset()
    full: float = 0.0
    rejected: dict[int, float] = field(default_factory=dict)
    air: float = 0.0
    basket: float = 0.0
    current: float = 1.0

    @property
    def of_flows(self) -> tuple[object, ...]:
        """Hydraulic part of the change: equal for changes with the same flows."""
        loss = frozenset(self.loss.items())
        return loss, self.speed, self.pump_flow, self.pump_head, self.legs, self.full

    def __and__(self, other: "ModelChange") -> "ModelChange":
        """Both changes at once."""
        return ModelChange(
            loss=_both(self.loss, other.loss, mul),
            speed=self.speed * other.speed,
            pump_flow=self.pump_flow * other.pump_flow,
            pump_head=self.pump_head * other.pump_head,
            supply=self.supply * other.supply,
            frequency=self.frequency * other.frequency,
            drive=self.drive * other.drive,
            fouling=_both(self.fouling, other.fouling, add),
            condensing=_both(self.condensing, other.condensing, add),
            sea=other.sea if self.sea is None else self.sea,
            warmer=self.warmer + other.warmer,
            legs=self.legs | other.legs,
            full=max(self.full, other.full),
            rejected=self.rejected | other.rejected,
            air=max(self.air, other.air),
            basket=max(self.basket, other.basket),
            current=self.current * other.current,
        )


def _both(
    one: dict[int, float], other: dict[int, float], join: Callable[[float, float], float]
) -> dict[int, float]:
    """Two tables merged; values of a shared key are combined by `join`."""
    if not (one and other):
        return one or other
    return one | other | {key: join(one[key], other[key]) for key in one.keys() & other.keys()}
