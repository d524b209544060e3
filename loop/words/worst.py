"""The worst of several findings of one kind, by their values."""

from collections.abc import Sequence

from loop.words.finding import Finding

# Ranking value of each code, and of a case that has its own: the least is the worst, or with a
# minus the greatest; "a/b" is a ratio.
_BY = {
    "flow-short": "flow/needed",
    "flow-short backwards": "-back",
    "flow-marginal": "low/needed",
    "flow-excess": "-times",
    "at-rest-short": "rest/needed",
    "at-rest-short marginal": "low/needed",
    "need-doubtful": "low/least",
    "need-doubtful small": "needed/least",
    "need-doubtful high": "-needed/most",
    "need-doubtful digit": "-times",
    "need-doubtful pump": "-needed",
    "supply-charging": "low/needed",
    "start-head-short": "held/needed",
    "bleed-by-hand": "-height",
    "bleed-by-hand lifted": "height",
    "air-held": "speed/most",
    "air-held held": "speed/least",
    "air-held filling": "speed/least",
    "siphon-uncertain": "flow/needed",
    "siphon-uncertain air": "-taken",
    "suction-fast": "-speed",
    "suction-level": "-length",
    "inlet-fast": "-speed",
    "hose-fast": "-speed",
    "hose-slow": "speed",
    "tube-fast": "-speed",
    "tube-slow": "speed",
    "condensing-high": "-condensing",
    "condensing-high trip": "-inlet",
    "condensing-high trips": "-inlet",
    "condenser-fouled": "-condensing",
    "condensing-low": "condensing",
    "limit-unstated": "-condensing",
    "discharge-under-water": "-depth",
    "discharge-kept-out": "-depth",
    "discharge-dips": "-depth",
    "discharge-high": "-height",
    "seacock-missing discharge": "-depth",
    "seacock-missing heeled": "-depth",
    "seacock-missing waves": "-depth",
    "seacock-missing stepped": "-depth",
    "seacock-missing heeled-near": "-depth",
    "seacock-missing heeled-stepped": "-depth",
    "seacock-missing heeled-waves": "-depth",
}


def worst(alike: Sequence[Finding]) -> Finding:
    """The worst of them; the first if all are alike."""
    return min(alike, key=_rank)


def worst_after(alike: Sequence[Finding], number: int) -> Finding:
    """The worst unit once the action with that index is done."""
    sign = -1.0 if _by(alike[0]).startswith("-") else 1.0

    def rank(one: Finding) -> float:
        after, needed = one.values["after"], one.values["needed"]
        assert isinstance(after, tuple)
        assert isinstance(needed, float)
        return sign * float(after[number]) / needed

    return min(alike, key=rank)


def _by(one: Finding) -> str:
    cases = (f"{one.code} {case}" for case in str(one.values.get("case", "")).split())
    return next((_BY[case] for case in cases if case in _BY), _BY.get(one.code, ""))


def _rank(one: Finding) -> float:
    by = _by(one)
    over, _, under = by.removeprefix("-").partition("/")
    value, against = one.values.get(over, 0.0), one.values.get(under, 1.0)
    assert isinstance(value, float)
    assert isinstance(against, float)
    return (-value if by.startswith("-") else value) / against
