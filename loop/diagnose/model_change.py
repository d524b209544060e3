"""What a fault changes in the model, and where it sits: data, and how two changes are one."""

from collections.abc import Callable
from dataclasses import field
from operator import add, mul

from loop.records import dataclass


@dataclass(frozen=True)
class Site:
    """Where a fault sits: part and unit (-1 where it has none); what a person calls the place.

    ``still`` says that the pump stands with it, so that no water hides whatever else is wrong.
    """

    where: str
    part: int = -1
    unit: int = -1
    still: bool = False


@dataclass(frozen=True)
class ModelChange:
    """Changes to the model, which multiply (losses, pump, supply) or add (heat, sea).

    loss : factor on a part's head loss, by part index.
    speed, pump_flow, pump_head : factors on the pump, as in `loop.hydraulics.Cases`.
    supply, frequency : factors on the supply's voltage and its frequency, as a meter reads them.
    drive : factor on the pump's electrical power at its flow.
    fouling : resistance added to a unit's condenser, as a share of its 1/UA, by unit index.
    condensing : temperature [K] added to a unit's condensing temperature, by unit index.
    sea : the sea's temperature over the job's [K]; None where it is not the fault, and in doubt.
    warmer : how much warmer than the sea the water is that the intake draws [K].
    legs : numbers of the network's sections of falling legs that hold air.
    full : share of these that is full of water nevertheless.
    rejected : factor on a unit's rejected heat, by unit index: 0 where its compressor stands.
    air : share of the stream that is air, 0 to 1, as the eye judges it.
    basket : share of the strainer's basket that is seen to be covered.
    current : factor on the pump's current beside what its power takes (a weak or jammed motor).
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
        """What it changes for the water: equal for changes with which the same flows."""
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
    """Two tables as one, the values of a key that both have joined."""
    if not (one and other):
        return one or other
    return one | other | {key: join(one[key], other[key]) for key in one.keys() & other.keys()}
