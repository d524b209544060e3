"""What every chapter of an explanation shares: the answer explained, the ledger, the water."""

from dataclasses import dataclass, field

from loop.check import CheckResult
from loop.hydraulics import Network
from loop.job import Job
from loop.parts.friction import GRAVITY
from loop.teach.ledger import Ledger, Notes
from loop.teach.step import Sum, Value


def gravity() -> Value:
    """Standard gravity."""
    return Value(GRAVITY, "m/s²", "standard gravity, ISO 80000-3")


@dataclass
class Reckoning:
    """An answer of `check` on its way to being explained.

    ``flows`` are the lines' flows, below zero where water runs backwards, and ``sizes`` their
    amounts; ``heads`` the head lost in each part (its tees included), below zero in a line that
    runs backwards; ``tees`` the head lost in the manifold tees before a line's first and after its
    last part: each as a figure that an earlier step has shown.
    """

    result: CheckResult
    ledger: Ledger
    water: dict[str, Value] = field(default_factory=dict)
    flows: dict[int, Value] = field(default_factory=dict)
    sizes: dict[int, Value] = field(default_factory=dict)
    heads: dict[int, Value] = field(default_factory=dict)
    tees: dict[int, Value] = field(default_factory=dict)

    @property
    def job(self) -> Job:
        """The job explained."""
        return self.result.job

    @property
    def network(self) -> Network:
        """Its lines, joints and parts."""
        return self.result.point.network

    def flow(self, index: int) -> Value:
        """Amount of the flow through the part at `index`, whichever way it runs."""
        return self.sizes[self.network.line_of[index]]

    def backwards(self, index: int) -> bool:
        """Whether water runs through the part at `index` against the order of the file."""
        return self.flows[self.network.line_of[index]].value < 0


def open_reckoning(result: CheckResult) -> Reckoning:
    """A ledger opened for an answer, its first chapter the water."""
    reckoning = Reckoning(result, Ledger(result.job.units))
    _water(reckoning)
    return reckoning


def _water(reckoning: Reckoning) -> None:
    ledger, water = reckoning.ledger, reckoning.network.water
    ledger.begin("The water", "water")
    found = reckoning.water
    found["T_in"] = ledger.given("T_in", water.temperature, "temperature")
    at = {"T_in": found["T_in"], "S": Value(water.salinity, "", "the job: salinity, g/kg nearly")}
    teos = "TEOS-10 table value (package gsw)"
    found["ρ"] = ledger.step(
        "Density of the water",
        Sum("ρ", "", at, digits=5),
        water.density,
        "kg/m³",
        Notes(
            teos, "It turns head into pressure. Seawater is some 2.5 % heavier than fresh water."
        ),
    )
    found["c_p"] = ledger.step(
        "Heat capacity of the water",
        Sum("c_p", "", at, digits=5),
        water.heat_capacity,
        "J/(kg K)",
        Notes(teos, "The heat that warms one kilogram by one kelvin."),
    )
    found["μ"] = ledger.step(
        "Viscosity of the water",
        Sum("μ", "", at, digits=5),
        water.viscosity,
        "Pa s",
        Notes(
            "Sharqawy, Lienhard & Zubair (2010), eq. 22-23",
            "How thick the water is: warm water is thinner, and loses a little less.",
        ),
    )
    found["ν"] = ledger.step(
        "Viscosity over density",
        Sum("ν", "μ / ρ", {"μ": found["μ"], "ρ": found["ρ"]}),
        water.kinematic_viscosity,
        "m²/s",
        Notes("definition", "Friction depends on it in this form."),
    )
    found["p_v"] = ledger.step(
        "Vapour pressure of the water",
        Sum("p_v", "", at, digits=5),
        water.vapour_pressure,
        "pressure",
        Notes(
            "Wagner & Pruss (2002), lowered by Raoult's law for salt",
            "At this absolute pressure the water boils, cold as it is: the suction stays above it.",
        ),
    )
