"""Where the head goes: a staircase from the pump's head down to the sea, one step per part."""

from typing import Any

from loop.draw.page import Page, ticks
from loop.draw.scene import Scene
from loop.draw.style import AMBER, INK, MIST, PAPER, RULE, RUST, SOFT, TEAL
from loop.draw.words import SMALL, TEXT
from loop.hydraulics import Network
from loop.hydraulics.air_loss import head_lost_to_air
from loop.parts import Discharge, Hose, Pump
from loop.records import dataclass
from loop.units import decimals, unitless
from loop.words.figures import SAY

_ROW = 0.235
_MOST_ROWS = 40
# Smallest head shown [m]; heads are rounded to 1e-8 m.
_NOTHING = 1e-6


@dataclass(frozen=True)
class Step:
    """One row: a name, a detail, and its head [m], of which `barbs` is lost in a hose's barbs.

    ``holds``: the head is not lost but held back by a line without flow. ``air``: the hose of
    that name holds air, and the head is the fall that it does not give back.
    """

    name: str
    detail: str
    head: float
    color: str
    barbs: float = 0.0
    holds: bool = False
    air: bool = False


def steps(scene: Scene) -> list[Step]:
    """Every loss along the path, in flow order, ending with the lift to the discharge.

    They add up to the pump's head. Ram pressure of a scoop counts as a negative loss, and so does
    the loss of a line that runs backwards. A line without flow holds back the head between its
    ends.
    """
    network, point = scene.network, scene.point
    _, way = scene.path()
    found: list[Step] = []
    if network.start_head:
        found.append(Step(SAY("heads-speed"), "", -network.start_head, TEAL))
    head = network.start_head
    for index in way:
        line = network.line_of[index]
        if all(point.stations[i].head_loss == 0 for i in network.lines[line].parts):
            if index == network.lines[line].parts[-1]:
                found += _held(scene, line, head)
                head = point.stations[index].total_head
            continue
        head = point.stations[index].total_head
        lost = point.stations[index].head_loss
        if isinstance(network.parts[index], Pump) or lost == 0:
            continue
        color = TEAL if index < network.pump_index else INK
        found += _rows(scene, index, lost, color)
    last = network.parts[way[-1]]
    lift = max(last.height, 0.0) if isinstance(last, Discharge) else 0.0
    if lift:
        found.append(Step(SAY("heads-to-discharge"), "", lift, AMBER))
    return _fewer(found)


def _rows(scene: Scene, index: int, lost: float, color: str) -> list[Step]:
    """A part's row, and a second row for the head that air in a hose takes."""
    name, air = scene.name(index), head_lost_to_air(scene.point, index)
    found = [Step(name, _detail(scene, index), lost - air, color, _barbs(scene, index))]
    return [*found, Step(name, SAY("heads-row-air"), air, MIST, air=True)] if air else found


def _held(scene: Scene, line: int, head: float) -> list[Step]:
    """The row of head held back by a line without flow, given the head [m] before it, if any."""
    network, parts = scene.network, scene.network.lines[line].parts
    if line == network.pump_line:
        head += scene.point.pump_head
    held = head - scene.point.stations[parts[-1]].total_head
    if abs(held) < _NOTHING:
        return []
    stops = [i for i in parts if network.parts[i].shut] or [
        i for i in parts if network.parts[i].one_way
    ]
    name = scene.name(stops[0]) if stops else SAY("heads-standing")
    return [
        Step(
            name, SAY("heads-row-holds" if held > 0 else "heads-row-lacks"), held, SOFT, holds=True
        )
    ]


def _detail(scene: Scene, index: int) -> str:
    part = scene.network.parts[index]
    if isinstance(part, Hose):
        length, bore = scene.say(part.length, "length"), scene.say(part.inner_bore, "bore")
        return SAY("hose-size", length=length, bore=bore)
    return scene.serves(index)


def _barbs(scene: Scene, index: int) -> float:
    """Head lost in a hose's barbs [m]."""
    network: Network = scene.network
    part = network.parts[index]
    flow = scene.point.stations[index].flow
    if not isinstance(part, Hose) or flow <= 0:
        return 0.0
    return network.job.fitted.loss * float(part.barb_loss(flow, network.water))


def _fewer(found: list[Step]) -> list[Step]:
    """The steps, with the smallest merged into one if there are too many for a page."""
    if len(found) <= _MOST_ROWS:
        return found
    order = sorted(range(len(found)), key=lambda i: -abs(found[i].head))
    kept = set(order[: _MOST_ROWS - 1])
    rest = [found[i] for i in order[_MOST_ROWS - 1 :]]
    shown = [step for i, step in enumerate(found) if i in kept]
    together = Step(
        SAY("heads-smaller", count=len(rest)), "", sum(step.head for step in rest), SOFT
    )
    return [*shown, together]


def draw_heads(scene: Scene) -> Any:
    """The figure ``heads``."""
    rows = steps(scene)
    name, way = scene.path()
    backwards = any(scene.point.line_flow[scene.network.line_of[index]] < 0 for index in way)
    shown = {
        "heads-caption": True,
        "heads-barbs": any(step.barbs > 0 for step in rows),
        "heads-air": any(step.air for step in rows),
        "heads-largest": bool(rows),
        "heads-lift": any(step.color == AMBER for step in rows),
        "heads-holds": any(step.holds for step in rows),
        "heads-backwards": backwards,
        "heads-tees": scene.network.forks,
    }
    what = SAY("heads", branch=name or None)
    caption = " ".join(SAY(row) for row, said in shown.items() if said)
    page = Page(
        _headline(scene, rows),
        scene.subtitle(what),
        scene.caption(caption),
        _ROW * len(rows) + 0.78,
    )
    column = 2.95
    ax = page.panel(column, 0.5, 7.6 - column, _ROW * len(rows) + 0.24)
    _stair(scene, ax, rows, column)
    return page.figure


def _headline(scene: Scene, rows: list[Step]) -> str:
    if scene.point.flow <= 0:
        return SAY("heads-none", head=scene.say(scene.point.shutoff_head, "head"))
    largest = max(rows, key=lambda step: step.head)
    barbs = sum(step.barbs for step in rows)
    total = sum(step.head for step in rows)
    held = [step for step in rows if step.holds]
    if held:
        most = max(held, key=lambda step: abs(step.head))
        if most.head < 0:
            return SAY("heads-lacks", head=scene.say(-most.head, "head"))
        back, of = scene.say(most.head, "head"), scene.say(total, "head")
        return SAY("heads-holds-back", part=_article(most.name), head=back, total=of)
    part = _article(largest.name)
    if largest.air and part.startswith("The "):
        part = f"the {part.removeprefix('The ')}"
    return SAY(
        "heads-air-takes" if largest.air else "heads-takes",
        part=part,
        head=scene.say(largest.head, "head"),
        total=scene.say(total, "head"),
        barbs=scene.say(barbs, "head") if barbs > 0.1 * total else None,
    )


def _article(name: str) -> str:
    """`name` with an article, unless it has one or is numbered."""
    return (
        name
        if name.lower().startswith("the ") or name[-1].isdigit()
        else SAY("heads-the", part=name)
    )


def _stair(scene: Scene, ax: Any, rows: list[Step], column: float) -> None:
    total = sum(step.head for step in rows)
    heads = [0.0]
    for step in rows:
        heads.append(heads[-1] + step.head)
    low, high = min(heads), max(*heads, 1e-9)
    unit = scene.value
    edges = [unit(low, "head"), unit(high, "head")]
    room = (edges[1] - edges[0]) * 0.27
    ax.set_xlim(edges[0], edges[1] + room)
    ax.set_ylim(len(rows) - 0.4, -0.9)
    ticks(ax.xaxis, edges[0], edges[1])
    ax.grid(axis="x", color=RULE, linewidth=0.7)
    ax.yaxis.set_visible(False)
    ax.spines["left"].set_visible(False)
    ax.set_xlabel(SAY("heads-axis", unit=scene.unit("head")), labelpad=4)
    biggest = max(rows, key=lambda step: step.head, default=None)
    digits = _digits(scene, rows)
    x0 = 0.0
    for row, step in enumerate(rows):
        width = unit(step.head, "head")
        color = RUST if step is biggest else step.color
        if step.air:
            dots = MIST if step is biggest else INK
            ax.barh(row, width, left=x0, height=0.62, facecolor=color, edgecolor=dots,
                    hatch="....", linewidth=0)  # fmt: skip
        else:
            ax.barh(row, width, left=x0, height=0.62, color=color, linewidth=0)
        if step.barbs > 0:
            part = unit(step.barbs, "head")
            ax.barh(row, part, left=x0 + width - part, height=0.62, facecolor="none",
                    edgecolor=PAPER, hatch="//////", linewidth=0)  # fmt: skip
        end = max(x0, x0 + width)
        ax.annotate(
            _amount(scene, step.head, total, digits), (end, row), (4, 0),
            textcoords="offset points", va="center", size=8, color=SOFT,
        )  # fmt: skip
        if row + 1 < len(rows):
            ax.plot([x0 + width] * 2, [row - 0.31, row + 1.31], color=color, linewidth=0.7)
        _name(ax, row, step, column)
        x0 += width


def _digits(scene: Scene, rows: list[Step]) -> int:
    """Digits for all rows: one more than usual if a step would otherwise show almost none."""
    usual = decimals("head", scene.system)
    least = min((abs(scene.value(step.head, "head")) for step in rows), default=1.0)
    return usual + 1 if least < 10 ** (1 - usual) / 2 else usual


def _amount(scene: Scene, head: float, total: float, digits: int) -> str:
    """A step's head, and its share of the pump's head unless that rounds to 0 %."""
    words = unitless(scene.say(head, "head", digits), "head", scene.system)
    share = head / total if total > 0 else 0.0
    percent = f"{share:.0%}".replace("-", "−")
    return f"{words} · {percent}" if abs(share) >= 0.005 else words


def _name(ax: Any, row: int, step: Step, column: float) -> None:
    """Writes a row's name with its detail in smaller type, right-aligned against the bars."""
    room = column - 0.42 - 0.12
    detail = SMALL.shorten(step.detail, 0.6 * room)
    gap = 0.09 if detail else 0.0
    behind = SMALL.width(detail) if detail else 0.0
    words = TEXT.shorten(step.name, room - behind - gap)
    if detail:
        ax.annotate(detail, (0, row), (-8, 0), xycoords=("axes fraction", "data"),
                    textcoords="offset points", ha="right", va="center", size=7.5,
                    color=SOFT)  # fmt: skip
    ax.annotate(words, (0, row), (-8 - 72 * (behind + gap), 0), xycoords=("axes fraction", "data"),
                textcoords="offset points", ha="right", va="center", size=8.5)  # fmt: skip
