"""A study's tables are sufficient: plain arithmetic on them gives the diagnosis's own odds."""

import base64
import json
import math
import struct
from functools import cache
from typing import Any

import numpy as np
import pytest

from loop.diagnose import diagnose, parse_readings
from loop.diagnose.bayes import posterior
from loop.diagnose.tables import export
from tests.studies import study_of


def unpack(table: dict[str, Any]) -> list[Any]:
    raw = base64.b64decode(table["float32"])
    flat = list(struct.unpack(f"<{len(raw) // 4}f", raw))
    for size in reversed(table["shape"][1:]):
        flat = [flat[i : i + size] for i in range(0, len(flat), size)]
    return flat


class Plain:
    """A diagnosis in plain loops over the tables, without array library or anything of `loop`."""

    def __init__(self, tables: dict[str, Any]) -> None:
        self.t, rows = tables, tables["rows"]
        self.c, self.after = tables["constants"], rows["after"]
        self.go_by(tables)
        self.k = len(self.factor[0][0])
        self.at = {column["key"]: i for i, column in enumerate(tables["columns"])}
        identity = [[float(i == j) for j in range(self.k)] for i in range(self.k)]
        self.last: dict[str, Any] = {}
        self.renewed: set[str] = set()
        self.steps = 0
        self.rows = [
            [r, r, math.log(w), [0.0] * self.k, [line[:] for line in identity], 0]
            for r, w in enumerate(rows["weight"])
        ]

    def go_by(self, predictions: dict[str, Any]) -> None:
        """Reads what the rows predict, at the dock or under way."""
        self.mean, self.noise = unpack(predictions["mean"]), unpack(predictions["noise"])
        self.chances = predictions["chances"]
        common, own = unpack(predictions["factor"]), unpack(predictions["own"])
        for row, bits in enumerate(predictions["pair_from"], self.t["rows"]["single"]):
            common.append([common[self.after[row][1 - int(bit)]][c] for c, bit in enumerate(bits)])
        self.factor = [
            [f + o for f, o in zip(*pair, strict=True)] for pair in zip(common, own, strict=True)
        ]

    def number(self, key: str, value: float, half_width: float, sea: bool = False) -> None:
        at = self.at[key]
        width, scale = half_width / self.c["two_sigma"], self.t["columns"][at]["scale"]
        if scale > 0:
            above = max(value, 0.0) / scale + self.c["log_offset"]
            value, width = math.log(above), width / scale / above
        for row in self.rows:
            f, d, x, p = self.factor[row[1]][at], self.noise[row[1]][at], row[3], row[4]
            pf = [sum(a * b for a, b in zip(line, f, strict=True)) for line in p]
            spread = sum(a * b for a, b in zip(f, pf, strict=True)) + d + width**2
            off = value - self.mean[row[1]][at] - sum(a * b for a, b in zip(f, x, strict=True))
            same = key in self.last and row[5] <= self.last[key][0]
            if same:
                off, spread = value - self.last[key][1], width**2 + self.last[key][2] ** 2
            far, tail = off**2 / spread, self.c["tail"]
            if sea:
                row[2] += self.sea(row[1], at, value, width)
            else:
                row[2] -= 0.5 * math.log(spread)
                row[2] -= (
                    self.t["columns"][at]["temper"] * 0.5 * (tail + 1) * math.log1p(far / tail)
                )
            if same:
                continue
            gain = [v / (spread * max(1.0, (tail + far) / (tail + 1))) for v in pf]
            row[3] = [a + g * off for a, g in zip(x, gain, strict=True)]
            row[4] = [
                [v - g * b for v, b in zip(line, pf, strict=True)]
                for line, g in zip(p, gain, strict=True)
            ]
        self.last[key] = (self.steps, value, width)

    def sea(self, row: int, at: int, value: float, width: float) -> float:
        sea = self.c["sea"]
        if self.t["rows"]["sea_set"][row]:
            variance = sum(v * v for v in self.factor[row][at]) + self.noise[row][at] + width**2
            return -0.5 * (value - self.mean[row][at]) ** 2 / variance - 0.5 * math.log(variance)
        above, warmer = value - sea["design"], math.hypot(sea["warmer"], width)
        sigma = warmer if above > 0 else sea["cooler"]
        return math.log(2.0 / (warmer + sea["cooler"])) - 0.5 * (above / sigma) ** 2

    def word(self, key: str, word: str) -> None:
        one = next(w for w in self.t["words"] if w["key"] == key)
        places = [one["choices"].index(c) for c in one["also"].get(word, [word])]
        chance = unpack(self.chances[key])
        for row in self.rows:
            total = sum(chance[row[1]][place] for place in places)
            repeated = key in self.last and bool(set(places) & set(self.last[key][1]))
            news = repeated and key in self.renewed
            if key in self.last and row[5] <= self.last[key][0] and not news:
                total = self.c["repeats"] * repeated + (1 - self.c["repeats"]) * total
            row[2] += math.log(max(total, self.c["chance_floor"]))
        self.last[key] = (self.steps, places)
        self.renewed.discard(key)

    def said(self, text: str, silent: bool = False) -> None:
        chance = next(s["chance"] for s in self.t["statements"] if s["text"] == text)
        for row in self.rows:
            own = chance[self.t["rows"]["owner"][row[0]]]
            row[2] += math.log(max(1 - own if silent else own, self.c["chance_floor"]))

    def did(self, name: str, saw: str) -> None:
        one = next(a for a in self.t["actions"] if a["name"] == name)
        owner, firsts = self.t["rows"]["owner"], unpack(one["first"])
        looked = self.last.pop(one["looks"], None)
        self.steps += 1
        if saw == one["answers"][0]:
            self.renewed |= {key for key in self.last if key.partition(".")[0] in one["renews"]}
        recalls = any(":" in step for step in one["after"]) and not one["cures_of"]
        for row in self.rows:
            first = firsts[self.blamed(row) if recalls else row[1]]
            chance = first if saw == one["answers"][0] else 1 - first
            if looked and row[5] <= looked[0]:
                look = next(w for w in self.t["words"] if w["key"] == one["looks"])
                repeated = look["choices"].index(saw) in looked[1]
                chance = self.c["repeats"] * repeated + (1 - self.c["repeats"]) * chance
            row[2] += math.log(max(chance, self.c["chance_floor"]))
        found = []
        cures = one["cures"][one["answers"].index(saw)]
        for row in self.rows:
            cure = cures[owner[row[1]]]
            left = max(1 - sum(cure), self.c["cure_floor"])
            found.append([row[0], row[1], row[2] + math.log(left), *row[3:]])
        for slot in (0, 1):
            for row in self.rows:
                cure = cures[owner[row[1]]][slot]
                if cure > 0:
                    log = row[2] + math.log(max(cure, self.c["cure_floor"]))
                    x, p = [*row[3][:-2], 0.0, 0.0], [line[:] for line in row[4]]
                    for i in range(self.k):
                        for j in range(self.k - 2, self.k):
                            p[i][j] = p[j][i] = float(i == j)
                    for now, share in self.left(row[1], slot):
                        found.append([row[0], now, log + math.log(share), x, p, self.steps])
        most = max(row[2] for row in found)
        self.rows = [row for row in found if row[2] > most + math.log(self.c["least"])]

    def left(self, row: int, slot: int) -> list[tuple[int, float]]:
        """What a row becomes once its first or second fault is fixed, with shares."""
        behind = self.t["instances"][self.t["rows"]["owner"][row]]["behind"]
        if slot == 1 or behind < 0:
            return [(self.after[row][slot], 1.0)]
        weights = self.t["rows"]["weight"]
        own = [r for r, owner in enumerate(self.t["rows"]["owner"]) if owner == behind]
        return [(r, weights[r] / sum(weights[one] for one in own)) for r in own]

    def blamed(self, row: list[Any]) -> int:
        return int(row[1] if self.t["rows"]["troubles"][row[1]] else row[0])

    def odds(self) -> list[float]:
        most = max(row[2] for row in self.rows)
        found = [0.0] * len(self.t["instances"])
        for row in self.rows:
            found[self.t["rows"]["owner"][self.blamed(row)]] += math.exp(row[2] - most)
        return [p / sum(found) for p in found]


def take(plain: Plain, taken: Any, first: bool) -> None:
    keys = [key for key in taken.numbers if key in plain.at]
    for key in sorted(keys, key=lambda k: (k != "sea_temperature", plain.at[k])):
        one = taken.numbers[key]
        plain.number(key, one.value, one.half_width, first and key == "sea_temperature")
    for key, word in taken.words.items():
        plain.word(key, word)


CALLS = [
    {"flow": "110 gal/h", "sea_temperature": "81 degF", "stream": "steady", "unit": "trips",
     "under_way": {"stream": "sputtering", "flow": "120 gal/h"}},
    {
        "said": ["since the strainer was cleaned"],
        "stream": "none",
        "pump_sound": "rough",
        "step": [
            {"did": "open-seacock", "saw": "was fully open"},
            {"did": "bleed", "saw": "air came", "stream": "strong", "flow": "228 gal/h"},
        ],
    },
    {"stream": "weak", "strainer_seen": "dirty",
     "step": [{"did": "clean-basket", "saw": "clean", "stream": "weak"}]},
    {"stream": "strong", "unit": "off",
     "step": [{"did": "reset-unit", "saw": "it starts", "unit": "off"}]},
    {"stream": "weak", "said": ["works at the dock, not under way"],
     "step": [{"did": "wiggle-hoses", "saw": "the water changes", "stream": "strong"},
              {"did": "which-hose", "saw": "before the pump"}]},
    {"pump_outlet_pressure": "1.4 psi", "condensing_temperature": "112 degF", "supply": "117 V",
     "step": [{"did": "clean-basket", "saw": "dirty", "flow": "180 gal/h", "stream": "weak"},
              {"did": "bleed", "saw": "water only", "flow": "181 gal/h",
               "pump_outlet_pressure": "1.9 psi", "stream": "strong"}]},
]  # fmt: skip


@cache
def exported() -> str:
    return json.dumps(export(study_of("kittiwake")), allow_nan=False)


@pytest.mark.parametrize("call", CALLS)
def test_plain_arithmetic_on_the_tables_gives_the_same_odds(call: dict[str, Any]) -> None:
    study = study_of("kittiwake")
    plain = Plain(json.loads(exported()))
    readings = parse_readings(call, study.instruments.job)
    for text in readings.said:
        plain.said(text)
    at_sea = plain.t["at_speed"]["said"]
    if not readings.under_way and not set(at_sea) & set(readings.said):
        plain.said(at_sea[0], silent=True)
    take(plain, readings, first=True)
    if readings.under_way:
        plain.go_by(plain.t["under_way"])
        at_the_dock, plain.last = plain.last, {}
        take(plain, readings.under_way, first=False)
        plain.last = at_the_dock
        plain.go_by(plain.t)
    for step in readings.steps:
        plain.did(step.did, step.saw)
        take(plain, step, first=False)
    assert plain.odds() == pytest.approx(posterior(study, readings).probability, abs=1e-9)


def test_what_is_shown_stands_in_the_tables() -> None:
    study = study_of("kittiwake")
    tables = export(study)
    result = diagnose(study.instruments.job, {"stream": "weak"}, study)
    titles = {one["title"] for one in tables["instances"]}
    assert {cause.title for cause in result.causes} <= titles
    steps = {one.reading for one in result.next}
    known = {one["key"] for one in (*tables["columns"], *tables["words"])}
    assert steps <= known | {one["name"] for one in tables["actions"]}
    assert np.isclose(sum(tables["rows"]["weight"]), 1.0)
