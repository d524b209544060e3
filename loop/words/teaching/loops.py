"""A loop in words, as a question of the quiz describes it, from the sea to the sea."""

from loop.words.template import Sayings

LOOP: dict[str, str] = {
    "title": "A loop of the quiz (invented)",
    "loop": "hose of {bore:bore}; {parts}",
    "intake": "intake[ at {level}]",
    "hose": "{label}[ (barbs of {barb:bore} bore)][ of {bore:bore}] {length}{ends}[ to {level}]",
    "ends": " with {count} barbed ends",
    "ends-none": " with full-bore ends",
    "seacock": "{label}[ with its handle {angle:number.0}° from open]",
    "strainer": "{label}[ ({blocked:ratio} blocked)]",
    "pump": "pump {name}",
    "condenser": "{label}[ (its maker says {drop:pressure} at {flow:flow})]",
    "discharge": "discharge at {level}",
    "manifold": "({branches})",
    "branch": "{name} branch: {parts}",
    "level-above": "{height:height.0} above water",
    "level-below": "{height:height.0} below water",
    "level-water": "the waterline",
}
SAY = Sayings(LOOP)
