"""A text description of the drawing, for readers who cannot see it."""

from loop.check import CheckResult
from loop.sheet.vents import vents
from loop.words.job_sheet import SAY
from loop.words.template import capital, counted, listed

# Branches described; nobody reads more than a dozen.
_TOLD = 12


def in_words(result: CheckResult, found: CheckResult | None = None) -> str:
    """The drawing as text, for readers who cannot see it.

    A bleed valve that the loop as `found` does not have is proposed, not fitted.
    """
    system = result.job.units
    said = []
    intake = float(result.air[0].profile.heights[0])
    for path in result.air[:_TOLD]:
        heights = path.profile.heights
        start = SAY("drawn-from", system, intake=intake)
        turns = _turns(len(path.high_points), len(path.low_points))
        said.append(
            SAY(
                "drawn-way",
                system,
                way=capital(path.branch) if path.branch else start,
                top=float(heights.max()),
                end=float(heights[-1]),
                turns=turns,
            )
        )
    if any(path.branch for path in result.air):
        said.insert(0, SAY("drawn-intake", system, intake=intake))
    if len(result.air) > _TOLD:
        said.append(SAY("drawn-more", count=len(result.air) - _TOLD))
    proposed = {(one.part, one.along) for path in result.air for one in path.proposed}
    drawn = len(vents(result))
    fitted = min(drawn, len(vents(found or result)))
    new = len(proposed) + drawn - fitted
    return SAY("drawn", said=" ".join(said), fitted=fitted, proposed=new)


def _turns(high: int, low: int) -> str:
    """The number of high and low points, as text."""
    highs = "drawn-one-high" if high == 1 else "drawn-several-high"
    lows = "drawn-one-low" if low == 1 else "drawn-several-low"
    return listed([SAY(highs, count=counted(high)), SAY(lows, count=counted(low))])
