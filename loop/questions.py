"""What `loop new` and `loop pumps --new` ask, known without the rooms that read the answers."""

# Asked, in this order.
QUESTIONS = {
    "cooling": "Cooling of the unit",
    "supply": "Voltage that the pump runs on",
    "pump": "Pump: a name, or a pump file",
    "bore": "Bore of the hose",
    "sea_temperature": "Warmest sea you expect",
    "intake_height": "Height of the intake (minus: below the water)",
    "pump_height": "Height of the pump (minus: below the water)",
    "unit_height": "Height of the unit",
    "outlet_height": "Height of the discharge",
    "suction_length": "Hose from the seacock to the pump, in all",
    "pressure_length": "Hose from the pump over the unit to the discharge, in all",
    "unit_loss": "Water-side loss of the unit",
}
# Not asked: options of the command, the usual where they are left out.
WISHES = {
    "title": "Boat and unit",
    "units": "Show results in us or si units",
}
_UNASKED = {
    "salinity": "Water: sea, brackish, fresh or a salinity",
    "lining": "Lining: smooth rubber, smooth plastic or ribbed",
    "strainer_loss": "Loss of the clean strainer",
}
# In the order in which the usual answer to one hangs on those to others.
EVERY = {**WISHES, **QUESTIONS, **_UNASKED}

# Of a pump file, in this order.
PUMP_QUESTIONS = {
    "name": "Name of the pump",
    "runs_on": 'What it runs on, such as "115 V 60 Hz" or "12 V DC"',
    "port": "Bore of its ports",
    "self_priming": "Does it prime itself (yes or no)",
    "most_flow": "Most flow, with no head",
    "most_head": "Most head, with no flow (in ft or m, or as pressure)",
    "power": "Power that it draws",
}
