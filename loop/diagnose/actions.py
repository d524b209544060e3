"""The actions of a call, which give evidence or fix something: one row each.

All numbers are engineering estimates. A row gives, per fault, the probabilities of the first answer
and of a cure.
"""

from collections.abc import Callable

import numpy as np

from loop.diagnose.action import IT_FAILS, CallAction
from loop.diagnose.fixes import FIXES
from loop.diagnose.how_to_measure import parts_present
from loop.diagnose.statements import AT_SPEED, COMES_LATER
from loop.diagnose.study import Study
from loop.diagnose.word_likelihoods import called_dirty
from loop.hydraulics import Network
from loop.parts import CheckValve, Condenser, Discharge, Hose, Intake, Seacock, Strainer


def _always(network: Network) -> bool:
    return True


def _has(kind: type, before: bool | None = None) -> Callable[[Network], bool]:
    def needs(network: Network) -> bool:
        return any(
            isinstance(part, kind) and (before is None or (index < network.pump_index) == before)
            for index, part in enumerate(network.parts)
        )

    return needs


def _bleed(network: Network) -> bool:
    return parts_present(network).bleed and not _high(network)


def _no_bleed(network: Network) -> bool:
    return not parts_present(network).bleed and not _high(network)


def _high(network: Network) -> bool:
    return parts_present(network).high


def _fills_by_itself(network: Network) -> bool:
    """Whether a seacock, and nothing else, lets water into a strainer below the waterline."""
    before = zip(network.parts[: network.pump_index], network.heights, strict=False)
    below = any(isinstance(part, Strainer) and height < 0 for part, height in before)
    has = parts_present(network)
    return below and has.seacock and has.outlets_shut


def _on_ac(network: Network) -> bool:
    return network.pump.curve.drive != "dc"


def _outlet_seen(network: Network) -> bool:
    return any(isinstance(p, Discharge) and p.height > 0 for p in network.parts)


def _outlet_hidden(network: Network) -> bool:
    return any(isinstance(p, Discharge) and p.height <= 0 for p in network.parts)


def _branch_valves(network: Network) -> bool:
    return parts_present(network).valves


def _other_valves(network: Network) -> bool:
    return len(network.job.condenser) > 1 and parts_present(network).valves


_AIR = (
    ("pump-air-bound", 0.93, 0.85),
    ("suction-air-leak", 0.65, 0.12),
    ("high-point-air", 0.15, 0.2),
    ("intake-air", 0.2, 0.0),
)
# Faults that let the air back in.
_LETS_AIR_IN = ("suction-air-leak",)
_TURNED = (
    ("branch-air", 0.7, 0.6),
    ("branch-blocked", 0.15, 0.0),
    ("branch-valve-shut", 0.15, 0.0),
    ("branches-unbalanced", 0.93, 0.0),
)
_SHORT = tuple(
    (name, 0.75, 0.0)
    for name in (
        "intake-fouled", "seacock-partly-shut", "strainer-blocked", "suction-hose-collapsed",
        "suction-blocked-inside", "pump-worn", "motor-weak", "supply-low", "wrong-pump",
        "pressure-hose-kinked", "suction-air-leak", "check-valve-stuck", "generator-slow",
        "frequency-low",
    )
)  # fmt: skip

# Faults upstream of the pump, which feeding it from a bucket bypasses.
_BEFORE_PUMP = tuple(
    (name, 0.9, 0.0)
    for name in (
        "intake-fouled", "seacock-partly-shut", "strainer-blocked", "suction-hose-collapsed",
        "suction-blocked-inside", "suction-air-leak",
    )
)  # fmt: skip

# Restrictions upstream of a soft hose, so that the pump's suction draws it flat.
_PULLS_FLAT = tuple((name, 0.5, 0.0) for name, _, _ in _BEFORE_PUMP[:3])
# Faults that appear with heat, air and weed as it runs; for any other the wait is wasted.
_COMES_LATER = tuple(
    (name, 0.5, 0.0)
    for name in (
        "suction-hose-collapsed", "suction-blocked-inside", "motor-weak", "motor-dead",
        "suction-air-leak", "intake-fouled",
        "sea-warm", "condenser-film", "condenser-scaled", "condenser-header-blocked",
        "not-water-side", "supply-low", "generator-slow",
    )
)  # fmt: skip
_AT_SEA = "no-power-under-way"
# Observations that are valid only while the trouble shows.
_THEN = (IT_FAILS,)
# Removal of what stopped the water that drives the air out; and a new pump is full of air.
_WATER_CAME = (
    "open-seacock: was not fully open", "clean-basket: dirty", "back-flush: debris came",
    "clear-intake: fouled", "fit-sound-pump", "set-pump-right", IT_FAILS,
)  # fmt: skip
# Free checks, made before the pump is opened; no pump is before water is known to reach it.
_FREE = (
    "pump_sound", "stream", "open-seacock", "clean-basket", "look-at-grate", "let-water-in",
    "bleed", "loosen-outlet-hose", "prime", "outlet_temperature", "supply",
)  # fmt: skip

TRIES: tuple[CallAction, ...] = (
    CallAction("open-seacock", 1.0, 0, ("was not fully open", "was fully open"), 0.02,
           (("seacock-partly-shut", 0.97, 0.95),), _has(Seacock, before=True)),
    CallAction("open-branch-valves", 2.0, 0, ("one was not open", "all were open"), 0.03,
           (("branch-valve-shut", 0.96, 0.93),), _branch_valves),
    CallAction("clean-basket", 6.0, 1, ("dirty", "clean"), 0.2,
           (("strainer-blocked", 0.99, 0.97), ("suction-air-leak", 0.2, 0.3)),
           _has(Strainer, before=True), by_severity=called_dirty, looks="strainer_seen"),
    # A head of a foot or two drives about the pump's flow through a clear intake. Half of the hoses
    # lie beyond the strainer.
    CallAction("let-water-in", 4.0, 2, ("it hardly comes", "it wells up"), 0.05,
           (("intake-fouled", 0.92, 0.0), ("seacock-partly-shut", 0.9, 0.0),
            ("suction-hose-collapsed", 0.5, 0.0), ("suction-blocked-inside", 0.5, 0.0)),
           _fills_by_itself, by_severity=np.square, earlier=("open-seacock", "clean-basket"),
           again_after=_THEN),
    CallAction("bleed", 2.0, 0, ("air came", "water only"), 0.04, _AIR, _bleed,
           leaves=_LETS_AIR_IN, earlier=("open-seacock",), again_after=_WATER_CAME),
    CallAction("loosen-outlet-hose", 6.0, 1, ("air came", "water only"), 0.05, _AIR, _no_bleed,
           leaves=_LETS_AIR_IN, earlier=("open-seacock",), again_after=_WATER_CAME),
    CallAction("prime", 12.0, 2, ("the stream comes", "no stream"), 0.05, _AIR, _high,
           leaves=_LETS_AIR_IN, earlier=("open-seacock",), again_after=_WATER_CAME, twice=True),
    CallAction("seat-lid-and-clamps", 8.0, 1, ("something was loose", "all was tight"), 0.08,
           (("suction-air-leak", 0.75, 0.85),), _has(Hose, before=True), unseen=True),
    CallAction("wiggle-hoses", 2.0, 0, ("the water changes", "no change"), 0.04,
           (("suction-hose-collapsed", 0.75, 0.1), ("pressure-hose-kinked", 0.65, 0.35),
            ("suction-blocked-inside", 0.2, 0.05), ("suction-air-leak", 0.4, 0.05),
            ("branch-blocked", 0.5, 0.3)), _has(Hose),
           leaves=("suction-hose-collapsed", "suction-blocked-inside", "pressure-hose-kinked",
                   *_LETS_AIR_IN),
           again_after=_THEN),
    CallAction("follow-hoses", 8.0, 0, ("kinked or flat somewhere", "sound all along"), 0.05,
           (("suction-hose-collapsed", 0.75, 0.3), ("pressure-hose-kinked", 0.85, 0.8),
            ("branch-blocked", 0.8, 0.6)), _has(Hose), leaves=("suction-hose-collapsed",),
           again_after=_THEN),
    CallAction("look-at-discharge", 2.0, 0, ("blocked", "clear"), 0.03,
           (("discharge-blocked", 0.9, 0.85),), _outlet_seen),
    CallAction("look-at-outlet", 3.0, 0, ("fouled", "clean"), 0.05,
           (("discharge-blocked", 0.55, 0.0),), _outlet_hidden, by_severity=np.sqrt,
           again_after=_THEN),
    CallAction("lead-over-side", 12.0, 2, ("the pump runs stronger", "no change"), 0.05,
           (("discharge-blocked", 0.9, 0.0),), _outlet_hidden, by_severity=np.sqrt,
           leaves=("discharge-blocked",), earlier=("look-at-outlet",), again_after=_THEN),
    CallAction("clear-outlet", 20.0, 3, ("fouled", "clear"), 0.06,
           (("discharge-blocked", 0.97, 0.95),), _outlet_hidden,
           earlier=("look-at-outlet", "lead-over-side"),
           shown_by=("look-at-outlet: fouled", "lead-over-side: the pump runs stronger")),
    CallAction("look-at-grate", 3.0, 0, ("fouled", "clean"), 0.05,
           (("intake-fouled", 0.55, 0.1),), _has(Intake, before=True), by_severity=np.sqrt,
           again_after=_THEN),
    CallAction("read-label", 3.0, 0, ("wrong or reversed", "right"), 0.01,
           (("wrong-pump", 0.85, 0.0),), _always),
    CallAction("set-pump-right", 15.0, 2, ("the stream is strong", "no change"), 0.04,
           (("wrong-pump", 0.93, 0.93),), _always, after=("read-label: wrong or reversed",)),
    CallAction("reset-unit", 2.0, 0, ("it starts", "it does not"), 0.5,
           (("unit-off", 0.85, 0.75),), _has(Condenser), renews=("unit",)),
    # A dirty filter that is not the trouble is as common with the charge at fault as without.
    CallAction("look-at-air-side", 4.0, 0, ("filter or fan at fault", "clean, and it blows"), 0.15,
           (("not-water-side", 0.49, 0.35), ("refrigerant-low", 0.49, 0.35)), _has(Condenser)),
    CallAction("check-breaker", 3.0, 1, ("was off", "was on"), 0.02,
           (("no-power", 0.6, 0.6), ("unit-off", 0.1, 0.1), ("motor-dead", 0.1, 0.0)), _always,
           again_after=_THEN),
    CallAction("swap-supply", 10.0, 1, ("the pump runs stronger", "no change"), 0.03,
           (("supply-low", 0.93, 0.93), ("generator-slow", 0.93, 0.93),
            ("frequency-low", 0.93, 0.93), ("no-power", 0.9, 0.9),
            ("motor-weak", 0.1, 0.0)), _always,
           leaves=("supply-low", "generator-slow", "frequency-low", "no-power"), again_after=_THEN),
    CallAction("close-other-units", 4.0, 0, ("the short unit comes to life", "no change"), 0.1,
           (*_TURNED, *_SHORT), _other_valves),
    CallAction("set-branch-valves", 12.0, 0, ("the short unit comes to life", "no change"), 0.06,
           (("branches-unbalanced", 0.93, 0.9), ("branch-air", 0.3, 0.2),
            ("branch-blocked", 0.3, 0.0)), _other_valves),
    CallAction("fill-and-purge", 8.0, 0, ("air came", "water only"), 0.06,
           (("high-point-air", 0.8, 0.8), ("siphon-lost", 0.5, 0.8), ("branch-air", 0.5, 0.5),
            ("pump-air-bound", 0.5, 0.4)), _has(Hose), unseen=True, again_after=_WATER_CAME,
           twice=True),
    CallAction("feed-from-bucket", 12.0, 2, ("the pump runs stronger", "no change"), 0.05,
           (*_BEFORE_PUMP, ("pump-air-bound", 0.4, 0.4)), _has(Hose, before=True),
           by_severity=np.sqrt, leaves=("pump-air-bound",), again_after=_THEN),
    CallAction("back-flush", 12.0, 2, ("debris came", "nothing came"), 0.08,
           (("intake-fouled", 0.35, 0.45), ("condenser-header-blocked", 0.3, 0.2),
            ("strainer-blocked", 0.3, 0.0)), _has(Hose, before=True), unseen=True),
    CallAction("clear-intake", 20.0, 3, ("fouled", "clear"), 0.06,
           (("intake-fouled", 0.97, 0.95),), _always,
           earlier=("look-at-grate", "let-water-in", "back-flush", "feed-from-bucket"),
           shown_by=("look-at-grate: fouled",)),
    CallAction("open-pump", 25.0, 2, ("damaged or jammed", "sound"), 0.08,
           (("pump-worn", 0.85, 0.5), ("pump-decoupled", 0.92, 0.6), ("pump-jammed", 0.92, 0.6),
            ("wrong-pump", 0.3, 0.0), ("motor-dead", 0.3, 0.0)), _always, earlier=_FREE),
    CallAction("fit-sound-pump", 35.0, 2, ("the stream is strong", "no change"), 0.04,
           (("pump-worn", 0.93, 0.93), ("motor-weak", 0.9, 0.9), ("wrong-pump", 0.93, 0.93),
            ("pump-decoupled", 0.95, 0.95), ("pump-jammed", 0.95, 0.95),
            ("motor-dead", 0.95, 0.95), ("motor-no-start", 0.95, 0.95)),
           _always, price=60.0,
           after=("open-pump: damaged or jammed", "open-pump", "test-capacitor"),
           earlier=(*_FREE, "read-label", "feed-from-bucket", "seat-lid-and-clamps"),
           unless=("feed-from-bucket: the pump runs stronger",)),
    CallAction("test-capacitor", 20.0, 1, ("at fault", "sound"), 0.03,
           (("motor-no-start", 0.85, 0.85), ("motor-weak", 0.4, 0.35)), _on_ac, price=15.0,
           after=("open-pump",), for_lead=("motor-weak",)),
    CallAction("supply-under-way", 5.0, 0, ("no power there", "power there"), 0.03,
           ((_AT_SEA, 0.9, 0.0),), _always, said=AT_SPEED, leaves=(_AT_SEA,)),
    CallAction("look-through-suction", 25.0, 2, ("blocked inside", "clear"), 0.04,
           (("suction-blocked-inside", 0.95, 0.9), ("suction-hose-collapsed", 0.6, 0.0)),
           _has(Hose, before=True),
           earlier=("open-seacock", "clean-basket", "look-at-grate", "let-water-in",
                    "feed-from-bucket"),
           unless=("feed-from-bucket: no change",)),
    CallAction("run-until-it-fails", 30.0, 0, ("it fails", "it runs on"), 0.1, _COMES_LATER,
           _always, said=COMES_LATER),
    CallAction("open-header", 25.0, 2, ("zinc or weed in it", "clear"), 0.06,
           (("condenser-header-blocked", 0.95, 0.95), ("condenser-scaled", 0.2, 0.0)),
           _has(Condenser)),
    CallAction("look-at-check-valve", 20.0, 2, ("stuck", "moves freely"), 0.04,
           (("check-valve-stuck", 0.93, 0.8),), _has(CheckValve)),
    CallAction("measure-refrigerant", 40.0, 1, ("charge or circuit at fault", "in order"), 0.08,
           (("not-water-side", 0.8, 0.65), ("refrigerant-low", 0.85, 0.7)), _has(Condenser),
           leaves=("refrigerant-low",)),
    CallAction("descale", 90.0, 3, ("it fizzes", "it stays quiet"), 0.15,
           (("condenser-scaled", 0.92, 0.9), ("condenser-film", 0.25, 0.8)), _has(Condenser),
           unseen=True),
    CallAction("which-hose", 0.5, 0, ("before the pump", "after the pump"), 0.05,
           (("suction-hose-collapsed", 0.95, 0.0), ("suction-blocked-inside", 0.95, 0.0),
            ("suction-air-leak", 0.85, 0.0), *_PULLS_FLAT),
           _has(Hose, before=True),
           after=("wiggle-hoses: the water changes", "follow-hoses: kinked or flat somewhere")),
    CallAction("look-at-motor", 6.0, 1, ("hot, stiff or worn", "in order"), 0.06,
           (("motor-weak", 0.75, 0.0), ("motor-dead", 0.4, 0.0), ("pump-jammed", 0.5, 0.0)),
           _always),
)  # fmt: skip
# Fixes of a named fault are rows as well.
ACTIONS: tuple[CallAction, ...] = (*TRIES, *FIXES)

BY_NAME: dict[str, CallAction] = {action.name: action for action in ACTIONS}


def available_actions(study: Study) -> tuple[CallAction, ...]:
    """Actions for which this loop has the parts."""
    return tuple(action for action in ACTIONS if action.needs(study.instruments.network))
