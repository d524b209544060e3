"""Invented boats with pipes, pump and heat in plain formulas, independent of `loop`.

A boat is a true loop; `paper` is what its job file would say, which is never quite true. Losses
by Swamee & Jain (1976) and fixed K values, a pump of one formula, water of one density: these
differ from the program's on purpose, so that a diagnosis is judged by independent physics.
"""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

G, RHO, CP, NU = 9.81, 1023.0, 3990.0, 9.5e-7
INCH = 0.0254
# Highest condensing temperature before a unit trips [°C].
_HOTTEST = 61.0


@dataclass(frozen=True)
class Boat:
    """SI and °C. hoses: length, bore, K of sweeps and barbs; heights above the waterline."""

    suction: tuple[float, float, float]
    mid: tuple[float, float, float]
    pressure: tuple[float, float, float]
    discharge: tuple[float, float, float]
    intake_k: float
    valve_k: float
    strainer: float  # head lost at 1 L/s [m]
    basket: float  # the basket's share of the strainer's loss
    condenser: float  # head lost at 1 L/s [m]
    condenser_power: float
    shutoff: float
    most: float
    bend: float
    watts: float
    idle: float
    volts: float
    hertz: float
    dc: bool
    pump_at: float
    top: float
    out: float
    tube: float
    heat: float
    ua: float
    sea: float
    design_sea: float
    bleed: bool
    rough: float = 3e-5
    # Figures that faults and the day change.
    speed: float = 1.0
    supply: float = 1.0
    frequency: float = 1.0
    current: float = 1.0
    pump_head: float = 1.0
    leak: float = 0.0  # flow past the impeller, share of `most`
    void: float = 0.0
    pocket: float = 0.0
    drawn_down: float = 0.0  # head that other users of the same sea chest take [m]
    factor: dict[str, float] = field(default_factory=dict)
    extra_k: dict[str, float] = field(default_factory=dict)
    fouling: float = 0.0
    tubes: float = 1.0
    hot: float = 0.0
    rejects: float = 1.0
    intake_warmer: float = 0.0
    dead: bool = False
    turns: bool = True

    def head(self, flow: float) -> float:
        """Head of the pump [m]."""
        if self.dead:
            return 0.0
        n = self.speed
        gas = max(1.0 - (self.void / 0.10) ** 1.4, 0.0)
        through = flow + self.leak * self.most
        height = (
            self.shutoff * n**2
            - self.shutoff * 0.9 * n**2 * (through / (self.most * n)) ** self.bend
        )
        return self.pump_head * gas * height

    def loss(self, flow: float) -> dict[str, float]:
        """Head lost in each part [m]."""
        found = {}
        for name in ("suction", "mid", "pressure", "discharge"):
            length, bore, k = getattr(self, name)
            narrow = self.factor.get(name + "_bore", 1.0)
            speed = flow / (np.pi / 4 * bore**2)
            reynolds = max(speed * bore / NU, 10.0)
            f = (
                64 / reynolds
                if reynolds < 2100
                else 0.25 / np.log10(self.rough / bore / 3.7 + 5.74 / reynolds**0.9) ** 2
            )
            own = (f * length / bore + k) * speed**2 / (2 * G)
            # A kink: 1/3 m of hose, narrowed.
            if narrow < 1:
                tight = speed / narrow**2
                own += (f / (bore * narrow) * 0.35 + 0.5) * tight**2 / (2 * G)
            found[name] = own
        bore = self.suction[1]
        dynamic = (flow / (np.pi / 4 * bore**2)) ** 2 / (2 * G)
        found["intake"] = self.intake_k * dynamic * self.factor.get("intake", 1.0)
        found["seacock"] = (self.valve_k + self.extra_k.get("seacock", 0.0)) * dynamic
        clean = self.strainer * (flow * 1000) ** 2
        found["strainer"] = clean * (
            1 - self.basket + self.basket * self.factor.get("strainer", 1.0)
        )
        found["condenser"] = (
            self.condenser
            * (flow * 1000) ** self.condenser_power
            * self.factor.get("condenser", 1.0)
        )
        exit_bore = self.discharge[1]
        out = (flow / (np.pi / 4 * exit_bore**2)) ** 2 / (2 * G)
        found["exit"] = out * self.factor.get("exit", 1.0)
        return found

    def flow(self) -> float:
        """Operating flow [m³/s] of pump and losses, by bisection."""
        low, high = 0.0, 1.2 * self.most
        lift = max(self.out, 0.0) + self.pocket + self.drawn_down
        for _ in range(60):
            middle = (low + high) / 2
            more = self.head(middle) > sum(self.loss(middle).values()) + lift
            low, high = (middle, high) if more else (low, middle)
        return low if low > 1e-7 else 0.0

    def readings(self) -> dict[str, float]:
        """Every possible reading, without instrument error."""
        q = self.flow()
        lost = self.loss(q)
        before = lost["intake"] + lost["seacock"] + lost["suction"] + lost["strainer"] + lost["mid"]
        dynamic = (q / (np.pi / 4 * 0.019**2)) ** 2 / (2 * G)
        weight = RHO * G
        inlet = -before - self.pump_at - self.drawn_down
        power = self.watts * (self.idle + (1 - self.idle) * min(q / self.most, 1.2))
        power *= self.speed**3 * (1 - 4.0 * min(self.void, 0.11))
        power *= self.current
        volts = self.volts * self.supply
        if not self.turns:
            power = self.watts * self.current
        if self.supply < 0.05:
            power = 0.0
        current = 0.0 if self.supply < 0.05 else power / (volts * (1.0 if self.dc else 0.8))
        at = self.sea + self.intake_warmer
        heat = self.heat * self.rejects
        carried = RHO * CP * max(q, 2e-6)
        rise = heat / carried
        ratio = max(q, 2e-6) / (0.8 * self.most)
        film = 0.5 * ratio**-0.75 + 0.5 + self.fouling
        ua = self.ua * self.tubes / film
        condensing = at + rise / -np.expm1(-min(ua / carried, 30.0)) + self.hot
        if heat == 0:
            condensing = at
        return {
            "flow": q,
            "sea_temperature": self.sea,
            # Without water a unit trips, so it heats neither itself nor the water any further.
            "outlet_temperature": min(at + rise, _HOTTEST),
            "condensing_temperature": min(condensing, _HOTTEST),
            "pump_inlet_pressure": weight * (inlet - dynamic),
            "pump_outlet_pressure": weight * (inlet + self.head(q) - dynamic),
            "strainer_drop": weight * lost["strainer"],
            "shutoff_pressure": weight * (self.head(0.0) - self.pump_at - self.drawn_down),
            "supply": volts,
            "frequency": self.hertz * self.frequency,
            "pump_power": power,
            "pump_current": current,
        }


def drawn(rng: np.random.Generator) -> tuple[Boat, dict[str, Any]]:
    """A true boat that serves its unit, and its paper (tables of a job file, SI)."""
    while True:
        paper = _paper(rng)
        boat = _true(paper, rng)
        need = paper["need"]
        if 0.75 * need < boat.flow() < 3.0 * need:
            return boat, paper


def _paper(rng: np.random.Generator) -> dict[str, Any]:
    tons = float(rng.choice([0.5, 0.75, 1.0, 1.33, 1.5]))
    need = tons * 1.89e-4
    bore = float(rng.choice([0.625, 0.75, 0.75, 1.0])) * INCH if tons < 1.4 else 1.0 * INCH
    dc = bool(rng.random() < 0.25)
    most = need * float(rng.uniform(1.6, 3.8))
    shutoff = float(rng.uniform(2.3, 5.0))
    pressure, discharge = float(rng.uniform(1.0, 6.0)), float(rng.uniform(0.8, 5.0))
    pump_at, out = -float(rng.uniform(0.08, 0.6)), float(rng.uniform(0.05, 0.4))
    top = min(float(rng.uniform(0.0, 1.0)), pump_at + 0.9 * pressure, out + 0.9 * discharge)
    return {
        "tons": tons, "need": need, "bore": bore, "dc": dc, "most": most, "shutoff": shutoff,
        "bend": float(rng.uniform(1.5, 2.5)),
        "watts": RHO * G * most * shutoff * 0.25 / float(rng.uniform(0.11, 0.22)),
        "idle": float(rng.uniform(0.55, 0.8)),
        "suction": float(rng.uniform(0.3, 2.0)), "mid": float(rng.uniform(0.3, 1.2)),
        "pressure": pressure, "discharge": discharge,
        "strainer": float(rng.uniform(0.02, 0.11)) * shutoff,
        "condenser": float(rng.uniform(0.12, 0.5)) * shutoff,
        "pump_at": pump_at, "out": out, "top": max(top, out), "bleed": bool(rng.random() < 0.5),
        "design_sea": float(rng.uniform(26, 31)), "approach": float(rng.uniform(4, 7)),
        "bends": [int(rng.integers(0, 3)) for _ in range(4)],
    }  # fmt: skip


def _true(paper: dict[str, Any], rng: np.random.Generator) -> Boat:
    """The true boat: every figure is off by a heavy-tailed share."""

    def off(spread: float) -> float:
        return float(np.exp(np.clip(spread * rng.standard_t(5), -3 * spread, 3 * spread)))

    need, bore = float(paper["need"]), float(paper["bore"])

    def hose(name: str, number: int) -> tuple[float, float, float]:
        bends = paper["bends"][number]
        return (float(paper[name]) * off(0.12), bore * off(0.015), (2.0 + 0.25 * bends) * off(0.15))

    heat = float(paper["tons"]) * 3517 * 1.25
    carried = RHO * CP * need
    ntu = np.log1p(heat / carried / float(paper["approach"]))
    dc = bool(paper["dc"])
    return Boat(
        suction=hose("suction", 0), mid=hose("mid", 1), pressure=hose("pressure", 2),
        discharge=hose("discharge", 3),
        intake_k=1.6 * off(0.25), valve_k=0.15,
        strainer=float(paper["strainer"]) / (need * 1000) ** 2 * off(0.15),
        basket=float(rng.uniform(0.5, 0.95)),
        condenser=float(paper["condenser"]) / (need * 1000) ** 1.8 * off(0.15),
        condenser_power=float(rng.uniform(1.7, 1.95)),
        shutoff=float(paper["shutoff"]) * off(0.03),
        most=float(paper["most"]) * off(0.045),
        bend=float(paper["bend"]), watts=float(paper["watts"]) * off(0.05),
        idle=float(paper["idle"]),
        volts=(12.0 if dc else 115.0) * off(0.015), hertz=60.0, dc=dc,
        pump_at=float(paper["pump_at"]), top=float(paper["top"]),
        out=float(paper["out"]), tube=0.014,
        heat=heat * off(0.06),
        ua=ntu * carried * off(0.1) * (0.8 * float(paper["most"]) / need) ** 0.4,
        sea=float(paper["design_sea"]) - abs(4.0 * float(rng.standard_normal())),
        design_sea=float(paper["design_sea"]),
        bleed=bool(paper["bleed"]),
    )  # fmt: skip


def job_tables(paper: dict[str, Any]) -> dict[str, Any]:
    """The job file of a boat's paper, as SI tables for `Job.model_validate`."""
    need, most = float(paper["need"]), float(paper["most"])
    share = np.linspace(0, 1, 8)
    shutoff, out = float(paper["shutoff"]), float(paper["out"])
    dc, pump_at = bool(paper["dc"]), float(paper["pump_at"])

    def hose(name: str, number: int, to: float) -> dict[str, Any]:
        bends = paper["bends"][number]
        return {"kind": "hose", "length": paper[name], "to": to, "sweeps": ["90 deg"] * bends}

    def rated(name: str) -> str:
        return f"{float(paper[name]) * RHO * G / 1000:.4f} kPa at {need * 60000:.4f} L/min"

    curve = {
        "name": "demo-made", "drive": "dc" if dc else "ac",
        "rated_supply": 12.0 if dc else 115.0, "port": 0.019,
        "curve": {
            "flow": {"unit": "m^3/s", "values": [float(v) for v in most * share]},
            "head": {"unit": "m", "values": [
                float(v) for v in shutoff * (1 - 0.9 * share ** float(paper["bend"]))]},
            "power": {"unit": "W", "values": [
                float(v) for v in float(paper["watts"]) * (
                    float(paper["idle"]) + (1 - float(paper["idle"])) * share)]},
        },
    } | ({} if dc else {"rated_frequency": 60.0})  # fmt: skip
    return {
        "water": {"temperature": paper["design_sea"]},
        "defaults": {"bore": paper["bore"]},
        "condenser": [
            {"name": "unit", "cooling": float(paper["tons"]) * 3516.85,
             "approach": paper["approach"]}
        ],
        "part": [
            {"kind": "intake", "height": pump_at - 0.2},
            {"kind": "seacock"},
            hose("suction", 0, pump_at),
            {"kind": "strainer", "loss": rated("strainer")},
            hose("mid", 1, pump_at),
            {"kind": "pump", "curve": curve},
            *([{"kind": "bleed"}] if paper["bleed"] else []),
            hose("pressure", 2, max(float(paper["top"]), out)),
            {"kind": "condenser", "serves": "unit", "loss": rated("condenser"),
             "tube_bore": 0.014},
            hose("discharge", 3, out),
            {"kind": "discharge", "height": out},
        ],
    }  # fmt: skip


def with_fault(boat: Boat, **changes: object) -> Boat:
    """A boat with some figures changed; factors and Ks are merged."""
    merged = dict(changes)
    for name in ("factor", "extra_k"):
        if name in merged:
            merged[name] = getattr(boat, name) | merged[name]
    return replace(boat, **merged)
