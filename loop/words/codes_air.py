"""Findings about air: priming, pockets that stay, bleeds, siphons."""

from loop.words.row import Row

_SUPPLY = "[ on {supply:voltage}, the lowest supply]"

AIR: dict[str, Row] = {
    "start-head-short": Row(
        title="Too little head to prime",
        levels=("danger", "warning"),
        message=(
            "priming[ of {branch:branch}] needs {needed:head|held} of head, including air trapped "
            f"behind high points; the pump's shut-off head is {{held:head|needed}}{_SUPPLY}"
            "[, which leaves less than {spare:ratio} to spare]"
        ),
        fix="{power}lower the line after the pump, or fit a pump with more shut-off head",
        several=(
            "{count:counted} branches do not prime: the worst[, {branch:branch},] needs "
            "{needed:head|held} of head, including air trapped behind high points; the pump's "
            f"shut-off head is {{held:head|needed}}{_SUPPLY}"
            "[, which leaves less than {spare:ratio} to spare]"
        ),
        basis=("pocket", "start spare"),
        cases={
            "beside": {
                "message": (
                    "{branch:branch} does not prime while water runs through {others:branches}: "
                    f"the header has {{held:head|needed}}{_SUPPLY}, priming needs "
                    "{needed:head|held}. With {others:branches} shut off it primes"
                ),
                "always": (
                    "[{fitting}; ]to start, hold back {others:branches} (ball valve [{angle:angle} "
                    "from open or ]shut) until water runs through {branch:branches}"
                ),
                "fix": "",
                "several": (
                    "{count:counted} branches do not prime while water runs through others, the "
                    "worst {branch:branch}: the header has {held:head|needed}"
                    f"{_SUPPLY}, priming needs {{needed:head|held}}. With {{others:branches}} shut "
                    "off it primes"
                ),
            },
        },
    ),
    "air-held": Row(
        title="Air stays at a high point",
        levels=("warning", "note"),
        message=(
            "air may stay at {at:spot}: the water runs down from there at {speed:velocity|most} "
            "(Froude number {froude:number.2}), and is sure to clear a {bore:bore} bore only "
            "above {most:velocity|speed}"
        ),
        fix="{sea}route the line lower there, or fit smaller hose from there down",
        several=(
            "air may stay at {count:counted} high points, most of all at {at:spot}: the water "
            "runs down from there at {speed:velocity|most} (Froude number {froude:number.2}), and "
            "is sure to clear a {bore:bore} bore only above {most:velocity|speed}"
        ),
        basis=("clearing",),
        cases={
            "held": {
                "message": (
                    "air stays at {at:spot}: the water runs down from there at "
                    "{speed:velocity|least} (Froude number {froude:number.2}); clearing a "
                    "{bore:bore} bore takes {least:velocity|speed} or more"
                ),
                "several": (
                    "air stays at {count:counted} high points, most of all at {at:spot}: the "
                    "water runs down from there at {speed:velocity|least} (Froude number "
                    "{froude:number.2}); clearing a {bore:bore} bore takes {least:velocity|speed} "
                    "or more"
                ),
            },
            "filling": {
                "message": (
                    "air left in the line as it fills stays at {at:spot}: the water runs down "
                    "from there at {speed:velocity|least} (Froude number {froude:number.2}); "
                    "clearing a {bore:bore} bore takes {least:velocity|speed} or more. Filled "
                    "without air, the leg runs full"
                ),
                "several": (
                    "air left in the line as it fills stays at {count:counted} high points, most "
                    "of all at {at:spot}: the water runs down from there at "
                    "{speed:velocity|least} (Froude number {froude:number.2}); clearing a "
                    "{bore:bore} bore takes {least:velocity|speed} or more. Filled without air, "
                    "the legs run full"
                ),
            },
        },
    ),
    "bleed-missing": Row(
        title="Bleed missing",
        levels=("warning",),
        message="the pump has no head to spare for driving the air past {at:spot}",
        fix="{sea}fit a bleed valve there",
        several=(
            "the pump has no head to spare for driving the air past {count:counted} high points"
        ),
        several_fix="{sea}fit a bleed valve at each of them",
        basis=("fewest bleeds", "pocket"),
        cases={
            "pump": {
                "message": (
                    "no bleed valve at the pump's outlet, the first place to free an air-bound pump"
                ),
                "fix": "{sea}fit a bleed valve just after the pump",
                "several": "",
            },
        },
    ),
    "bleed-in-sag": Row(
        title="Bleed where no air gathers",
        levels=("note",),
        message="{part:name} sits at a low point, where no air gathers: it does nothing",
        fix="leave it shut",
        basis=("geometry",),
        cases={
            "slope": {
                "message": (
                    "{part:name} sits below the high point, where no air gathers: it does nothing"
                ),
            },
        },
    ),
    "bleed-draws-air": Row(
        title="Bleed draws air in",
        levels=("warning",),
        message=(
            "with the pump running the pressure at {part:name} is {pressure:pressure}: opened "
            "then, it draws air in"
        ),
        basis=("gauge",),
        # How to use it, where no fix makes it unnecessary.
        cases={
            "shut": {"fix": "keep it shut"},
            "stopped": {"fix": "open it only with the pump stopped"},
            "filling": {
                "fix": "open it while the line fills, and close it once water runs overboard"
            },
        },
    ),
    "bleed-by-hand": Row(
        title="Bleed that works by hand only",
        levels=("note",),
        message=(
            "{part:name} sits {height:height} above the waterline, where the line drains each "
            "time the pump stops: the air is back at the next start, with nobody there to open a "
            "bleed. The loop is judged without it"
        ),
        fix="leave it shut; routed without the high point, the line needs none",
        several=(
            "{count:counted} bleed valves sit where the line drains each time the pump stops, the "
            "highest {height:height} above the waterline: the air is back at the next start, with "
            "nobody there to open a bleed. The loop is judged without them"
        ),
        several_fix="leave them shut; routed without the high points, the line needs none",
        basis=("geometry",),
        cases={
            "lifted": {
                "message": (
                    "{part:name} sits only {height:height} below the waterline, and heel, trim or "
                    "a light load brings it out of the water: the line there drains when the pump "
                    "stops, and the air is back at the next start, with nobody there to open a "
                    "bleed. The loop is judged without it"
                ),
                "several": (
                    "{count:counted} bleed valves sit below the waterline, one by only "
                    "{height:height}, where heel, trim or a light load brings them out of the "
                    "water: the line there drains when the pump stops, and the air is back at the "
                    "next start, with nobody there to open a bleed. The loop is judged without "
                    "them"
                ),
            },
        },
    ),
    "suction-dry": Row(
        title="A lot of air in the suction",
        levels=("note",),
        message=(
            "{air:volume} of the suction line is above the water, most of it in {part:name}: it "
            "drains when the pump stops, and at each start the pump runs dry until it has drawn "
            "that air out"
        ),
        fix="{power}mount the pump lower, or fit a shorter or smaller hose before it",
        basis=("engineering estimate",),
    ),
    "siphon-uncertain": Row(
        title="A falling leg that may not run full",
        levels=("warning",),
        message=(
            "{unit} gets {flow:flow} of the {needed:flow} it needs at start-up, with air in the "
            "leg that falls {fall:length} and ends in {part:name}, and {best:flow} once the leg "
            "runs full: it works on some days only"
        ),
        fix=(
            "make the loop work with air in the leg: {power}fit smaller hose from its high point "
            "down, or a pump with more head"
        ),
        several=(
            "{count:counted} units get enough only once the leg that falls {fall:length} and ends "
            "in {part:name} runs full, the worst {unit}: {flow:flow} of the {needed:flow} it "
            "needs at start-up, with air in the leg, and {best:flow} without: it works on some "
            "days only"
        ),
        several_fix=(
            "make the loop work with air in the legs: {power}fit smaller hose from their high "
            "points down, or a pump with more head"
        ),
        basis=("siphon", "clearing"),
        cases={
            "air": {
                "message": (
                    "the leg that falls {fall:length} and ends in {part:name} holds air, so its "
                    "fall is not recovered: that costs {taken:head} of the pump's head. The water "
                    "runs down it at Froude number {froude:number.2}; clearing the air takes "
                    "{clears:number.2} or more"
                ),
                "several": (
                    "{count:counted} falling legs hold air, so their fall is not recovered; the "
                    "one that falls {fall:length} and ends in {part:name} costs the most, "
                    "{taken:head} of the pump's head. The water runs down it at Froude number "
                    "{froude:number.2}; clearing the air takes {clears:number.2} or more"
                ),
            },
            "vented": {
                "several": "",
                "message": (
                    "{part:name} falls {fall:length} after the vented loop, whose vent lets air "
                    "in: it never runs full, which costs {taken:head} of the pump's head"
                ),
                "fix": (
                    "{power}lower the vented loop, keeping it well above the water at any heel, "
                    "or fit a pump with more head"
                ),
            },
        },
    ),
    "leg-holds-air": Row(
        title="Air in a falling leg",
        levels=("note",),
        message=(
            "the leg that falls {fall:length} and ends in {part:name} is full of air, and the "
            "water runs down it as a film: {taken:head} of the pump's {head:head} is lost. The "
            "water runs at Froude number {froude:number.2}; clearing the air takes "
            "{clears:number.2} or more"
        ),
        fix=(
            "leave it if the flow is enough; if not, {sea}fit smaller hose[, {bore:bore} at "
            "most,] from its high point down, which runs full, and check again"
        ),
        basis=("siphon", "clearing"),
        cases={
            "vented": {
                "message": (
                    "{part:name} falls {fall:length} after the vented loop, whose vent lets air "
                    "in, as it must: it never runs full, and {taken:head} of the pump's "
                    "{head:head} is lost"
                ),
                "fix": "leave it if the flow is enough: the vent is there to break the siphon",
            },
            "filling": {
                "message": (
                    "the leg that falls {fall:length} and ends in {part:name} starts full of air, "
                    "and the water runs down it as a film: {taken:head} of the pump's {head:head} "
                    "is lost until the leg runs full, which on some days it does not. The water "
                    "runs at Froude number {froude:number.2}; clearing the air takes "
                    "{clears:number.2} or more"
                ),
            },
        },
    ),
    "two-answers": Row(
        title="Two possible flow splits",
        levels=("warning", "note"),
        message=(
            "the flow can split in two ways, depending on how the branches fill: {unit} gets "
            "{flow:flow} in the worse, which is judged here, and {other:flow} in the other; it "
            "needs {needed:flow}"
        ),
        fix="start the branches one at a time and look at the stream of each",
        basis=("two answers",),
    ),
}
