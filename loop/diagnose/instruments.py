"""A loop prepared for measurement: which readings it can give."""

from dataclasses import field, replace
from functools import cached_property

from loop.curve import Array
from loop.diagnose.how_to_measure import kind_on_loop, parts_present
from loop.diagnose.reading_kinds import KINDS, ReadingKind
from loop.diagnose.uncertainty import section_of
from loop.hydraulics import Network, build, nominal_flows
from loop.job import Job, Unit
from loop.parts import Discharge, Strainer
from loop.records import dataclass
from loop.words.had import Has

# Minutes to cast off and watch the stream at speed (engineering estimate).
_CAST_OFF = 10.0


@dataclass(frozen=True)
class Column:
    """A reading that this loop can give: its key, its kind, and its unit's index or −1."""

    key: str
    kind: ReadingKind
    unit: int = -1

    @property
    def ask(self) -> str:
        """The reading as a thing to do: "measure the flow with a bucket"."""
        return self.kind.ask(self.key.partition(".")[2] if self.kind.per_unit else "")


@dataclass(frozen=True)
class Instruments:
    """A loop and its possible readings; ``words`` are the qualitative ones.

    ``at_speed`` is the stream with the boat under way, None where no stream can be seen.
    """

    network: Network
    units: tuple[Unit, ...]
    columns: tuple[Column, ...]
    words: tuple[Column, ...]
    condenser_parts: tuple[int, ...]
    sections: tuple[int, ...]
    strainer: int | None
    at_speed: Column | None
    column_of: dict[str, int] = field(repr=False)

    @property
    def job(self) -> Job:
        """The job."""
        return self.network.job

    @cached_property
    def parts_present(self) -> Has:
        """Which parts mentioned in steps the loop has."""
        return parts_present(self.network)

    @cached_property
    def flows(self) -> Array:
        """Flow of every line in the job [m³/s]: starting point of the solution with a fault."""
        flows: Array = nominal_flows(self.network).line_flow[0]
        return flows

    @cached_property
    def need(self) -> dict[str, float]:
        """Needed flow [m³/s] for each flow reading: its unit's, or that of all units."""
        return {
            column.key: sum(unit.needed_flow for unit in self.units)
            if column.unit < 0
            else self.units[column.unit].needed_flow
            for column in self.columns
            if column.kind.name == "flow"
        }

    @property
    def supply(self) -> float:
        """Supply voltage of the pump in the job [V]."""
        pump = self.network.pump
        return pump.supply or pump.curve.rated_supply

    @property
    def frequency(self) -> float | None:
        """Frequency of the pump's supply in the job [Hz]; None for DC."""
        pump = self.network.pump
        return pump.frequency or pump.curve.rated_frequency


def instruments(job: Job, speed: float = 0.0) -> Instruments:
    """The possible readings of a job's loop at this boat speed [m/s], not the job's; 0: dock."""
    network = build(job.at_speed(speed))
    looked_at = job.condenser
    parts = tuple(network.condenser_part(unit.name) for unit in looked_at)
    strainer = next(
        (i for i in range(network.pump_index) if isinstance(network.parts[i], Strainer)), None
    )
    columns = tuple(_columns(network, looked_at, strainer))

    def seen(name: str) -> ReadingKind:
        return kind_on_loop(network, name)

    words = [Column("pump_sound", seen("pump_sound"))]
    at_speed = None
    if any(part.height > 0 for part in network.parts if isinstance(part, Discharge)):
        words.insert(0, Column("stream", seen("stream")))
        away = replace(seen("stream"), way="under-way", minutes=_CAST_OFF)
        at_speed = Column("under_way.stream", away)
    if len(looked_at) == 1:
        words.append(Column("unit", seen("unit"), 0))
    else:
        words += [Column(f"unit.{u.name}", seen("unit"), i) for i, u in enumerate(looked_at)]
    if strainer is not None:
        words.append(Column("strainer_seen", seen("strainer_seen")))
    return Instruments(
        network=network,
        units=looked_at,
        columns=columns,
        words=tuple(words),
        condenser_parts=parts,
        sections=section_of(network),
        strainer=strainer,
        at_speed=at_speed,
        column_of={column.key: number for number, column in enumerate(columns)},
    )


def _can_be_held_shut(network: Network) -> bool:
    """Whether the pump may briefly run against a closed outlet, and somebody can close it.

    A self-priming pump is often a displacement pump, whose water has to go somewhere; an outlet
    under water, or several, cannot be held shut by hand.
    """
    ends = [part for part in network.parts if isinstance(part, Discharge)]
    return not network.pump.curve.self_priming and len(ends) == 1 and ends[0].height > 0


def _columns(network: Network, units: tuple[Unit, ...], strainer: int | None) -> list[Column]:
    several = len(network.job.condenser) > 1
    curve = network.pump.curve
    absent = set()
    if strainer is None:
        absent.add("strainer_drop")
    if curve.curve.power is None:
        absent |= {"pump_power", "pump_current"}
    if curve.drive == "dc":
        absent.add("frequency")
    if not _can_be_held_shut(network):
        absent.add("shutoff_pressure")
    found = []
    for kind in KINDS.values():
        if kind.choices or kind.name in absent:
            continue
        if not (several and kind.per_unit) or kind.name == "flow":
            here = kind_on_loop(network, kind.name)
            found.append(Column(kind.name, here, 0 if kind.per_unit and not several else -1))
        if several and kind.per_unit:
            found += [
                Column(f"{kind.name}.{u.name}", kind_on_loop(network, kind.name, u.name), i)
                for i, u in enumerate(units)
            ]
    return found
