"""How much work an action is, and what it must gain to be worth it."""

# Share of a unit's need that an action must gain where it betters a loop and cures nothing: less is
# lost among the readings of a bucket and a watch. Engineering estimate.
WORTH = 0.05
