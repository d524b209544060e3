"""The figures that can be drawn of a loop, known without the library that draws them."""

FIGURES: dict[str, str] = {
    "curves": "pump curve and system curve, the operating point with its band, and the need",
    "profile": "the loop along its length: air, bleeds, intake depth, heads and pressure",
    "heads": "where the pump's head goes, part by part",
    "fouling": "flow and condensing temperature as the strainer blocks, and when to clean it",
    "energy": "total draw against flow: the units' share, the pump's, and where it is least",
    "sizes": "the options of a sizing: flow to spare against power, and why bores fail",
    "drift": "flow over the visits in the job file, and when it falls below the need",
}
