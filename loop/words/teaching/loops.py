"""A loop in words, from sea to sea, as a quiz question describes it."""

from loop.words.template import Sayings

LOOP: dict[str, str] = {
    "title": "A loop of the quiz (invented)",
    "loop": "{bore:bore} hose; {parts}",
    "intake": "intake[ at {level}]",
    "hose": "{label}[ (barbs of {barb:bore} bore)][ of {bore:bore}] {length}{ends}[ to {level}]",
    "ends": " with {count} barbed ends",
    "ends-none": " with full-bore ends",
    "seacock": "{label}[ with the handle {angle:number.0}° from open]",
    "strainer": "{label}[ ({blocked:ratio} blocked)]",
    "pump": "pump {name}",
    "condenser": "{label}[ (rated {drop:pressure} at {flow:flow})]",
    "discharge": "discharge at {level}",
    "manifold": "({branches})",
    "branch": "{name} branch: {parts}",
    "level-above": "{height:height.0} above water",
    "level-below": "{height:height.0} below water",
    "level-water": "the waterline",
}
SAY = Sayings(LOOP)
