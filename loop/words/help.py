"""Text read before anything is loaded: questions with their options, and the figures' contents.

Plain tables: nothing is imported here.
"""

# Questions of `loop new`, also its options.
ANSWERS: dict[str, str] = {
    "title": "Boat and unit",
    "units": "Show results in us or si units",
    "cooling": "Cooling capacity of the unit",
    "supply": "Supply voltage of the pump",
    "pump": 'Pump: a name, a file, or its nameplate, such as "350 gal/h, 12 ft"',
    "bore": "Hose bore",
    "sea_temperature": "Warmest sea you expect",
    "intake_height": "Height of the intake (minus: below the water)",
    "pump_height": "Height of the pump (minus: below the water)",
    "unit_height": "Height of the unit",
    "outlet_height": "Height of the discharge",
    "suction_length": "Total hose from the seacock to the pump",
    "pressure_length": "Total hose from the pump through the unit to the discharge",
    "unit_loss": "Water-side loss of the unit",
    "salinity": "Water: sea, brackish, fresh or a salinity",
    "lining": "Lining: smooth rubber, smooth plastic or ribbed",
    "strainer_loss": "Loss of the clean strainer",
}

# Questions of `loop pumps --new`.
PUMP_ANSWERS: dict[str, str] = {
    "name": "Name of the pump",
    "runs_on": 'What it runs on, such as "115 V 60 Hz" or "12 V DC"',
    "port": "Bore of its ports",
    "self_priming": "Is it self-priming (yes or no)",
    "most_flow": "Maximum flow, at no head",
    "most_head": "Maximum head, at no flow (in ft or m, or as pressure)",
    "power": "Power draw",
}

FIGURES: dict[str, str] = {
    "curves": "pump curve and system curve, the operating point with its band, and the need",
    "profile": "the loop along its length: air, bleeds, intake depth, heads and pressure",
    "heads": "where the pump's head goes, part by part",
    "fouling": "flow and condensing temperature as the strainer blocks, and when to clean it",
    "energy": "total draw against flow: the units' part, the pump's, and where it is least",
    "sizes": "the options of a sizing: flow to spare against power, and why bores fail",
    "drift": "flow over the visits in the job file, and when it falls below the need",
}
