"""What the commands print besides their reports: files, options, questions, records.

Help texts are where their options are declared, and the catalog's titles in `loop pumps`: both
answer at once, without loading this package.
"""

from loop.words.template import Sayings

COMMANDS: dict[str, str] = {
    # Files and their names.
    "taken": "{file}: already exists; give another name, or --force to overwrite it",
    "is-folder": "{file}: is a folder",
    "no-folder": "{file}: no such folder",
    "cannot-write": "cannot be written: {why}",
    "too-large": "{file}: {count} {what} in all; the command takes at most {most}",
    "too-large-parts": "parts",
    "too-large-points": "points along hoses",
    "too-large-branches": "branches",
    "written": "Written to {file}.",
    "skipped": "skipped: {problem}",
    "sheet-ending": "{file}: a sheet is a page or a PDF; end its name in .html or .pdf",
    "card-ending": "{file}: a card is a page or a PDF; end its name in .html or .pdf",
    # A boat without a job file.
    "unit-or-job": "--unit: takes the place of a job file; give one or the other",
    "unit-or-folder": "--unit and its options: not with a folder of jobs",
    "goes-with-unit": "{option}: goes with --unit, not with a job file",
    "no-job": 'no job file: give one, or the unit\'s cooling: --unit "12000 BTU/h"',
    "unit-cooling": '--unit: {unit} is not the cooling of one unit, such as "12000 BTU/h"',
    "known-unit": "cooling {value}",
    "known-bore": "bore {value}",
    "known-length": "{value} of hose",
    "known-pump": "pump {value}",
    "known-height": "pump at {value}",
    "known-sea": "sea up to {value}",
    "known-bleed": "a bleed at the pump's outlet",
    "known-dc": "the pump runs on 12 V",
    # Cards of a folder.
    "fleet-empty": "{folder}: no job file (.toml with a [[part]]) in this folder",
    "fleet-large": "{folder}: {count} jobs; at most {most} at a time",
    "fleet-index": "{file}: index.html lists all boats of the folder; give this job another name",
    "fleet-no-card": "no card: this job has mistakes",
    "fleet-written": "{file}: cards made: {count}",
    # A service call, its readings, a baseline, the visits.
    "call-help": (
        "Type the answer, or its number. Enter or skip skips the step. Also: flow=150 gal/h (any "
        "reading) · did clean-basket: dirty (anything done) · under way stream=sputtering · said "
        "since haul-out · tools bucket, thermometer · undo · list · why · done"
    ),
    "ask-unit": "The unit's cooling, such as 12000 BTU/h",
    "ask-bore": "Hose bore, such as 3/4 in (Enter if not known)",
    "ask-pump-height": "The pump's height from the waterline, such as -10 in (Enter if not known)",
    "ask-bleed": "Is there a bleed at the pump's outlet?",
    "ask-dc": "Does the pump run on 12 V?",
    "call-asked": "No job file. The same boat without questions: loop call {options}",
    "call-resumed": "Resumed from {file}; for a new call give another --file, or delete this one.",
    "call-comments": (
        "{file}: has comments, which a call that is kept there would lose; give another --file, or "
        "read it with loop diagnose"
    ),
    "call-kept": "Kept in {file}; loop diagnose reads it.",
    "call-done": "type done, or what else you read or did",
    "call-step": " ({minutes} min): {way}.",
    "call-action": "{step}: 1 {first}, 2 {second}, 3 done, cannot tell",
    "call-word": "{reading} ({answers})",
    "call-number": "{reading} (healthy: {healthy})",
    "drift-without-job": "--drift: needs a job file; it shows the drift over the visits in it",
    "with-record": "{option}: belongs to a recorded visit; give --record FILE with it",
    "recorded-in-job": "Visit added to {file}.",
    "recorded-was": (
        "{file}: the visit names {fault}, since what was done fixed it; --was names another fault."
    ),
    "no-readings": 'no readings: give a readings file, or readings such as "flow=150 gal/h"',
    "reading-or-file": (
        '{word}: no such file; a reading has an = and quotes, such as "flow=150 gal/h"'
    ),
    "readings-files": "one readings file at a time: {files}",
    "baseline-title": "{job}: baseline of {date}",
    "baseline-factors": (
        "Against the design: losses × {loss:number.2}, pump speed × {pump:number.3}, condenser "
        "heat transfer (UA) × {ua:number.2}."
    ),
    "baseline-flow": "Flow {flow} ({low} to {high}).",
    "head-reading": "Reading",
    "head-read": "read",
    "head-design": "by design",
    "head-fitted": "fitted",
    "drift-title": "{job}: flow by visit",
    "head-visit": "Visit",
    "head-flow": "flow",
    "head-band": "may be",
    "head-losses": "losses ×",
    "head-ua": "UA ×",
    "head-done": "done",
    "head-note": "note",
    "band": "{low} to {high}",
    "head-fault": "fault",
    "head-what": "what it is",
    "head-visits": "visits",
    "head-weight": "weight",
    "visits": "Visits that name the fault: {said}; that do not: {unsaid}.[ {how}]",
    "faults-without-folder": (
        "no folder: name the folder of jobs whose visits are counted, such as loop faults examples"
    ),
    "visits-how": (
        'A visit names it with was = "strainer-blocked" in its table; loop diagnose --record FILE '
        "--was FAULT writes that."
    ),
    "visits-unknown": "{text} is not a fault that this program knows; counted as something else.",
    # A new job, a new pump file.
    "new-no-terminal": (
        "no terminal to ask on; give every answer as an option, or --yes for the rest"
    ),
    "new-written": (
        "Wrote {file}.[ {guesses} of its values are guesses.] It does not yet state heel, trim and "
        "waves, or where intake and outlet are: fill in [boat] and off_centre. Next: loop check "
        "{file}"
    ),
    "new-going-on": "Continuing: {count} answers are kept in {file}. Delete it to start over.",
    "new-how": "Every quantity needs its unit. Enter, or don't know, takes the guess in brackets.",
    "new-kept": "The answers so far are kept: run the same command to continue.",
    "new-no-pump": "No pump in the catalog fits: give the figures on your pump's plate.",
    "new-plate": "Wrote {file}: the usual curve of a pump with this plate, an estimate.",
    "new-pumps": "Pumps that could fit",
    "pump-ending": '{file}: a pump file\'s name ends in ".toml"',
    "pump-no-terminal": "no terminal to ask on; give {options}",
    "pump-sorted": "The points were not in order of flow; they were sorted. Look for a typo.",
    "pump-written": 'Wrote {file}. In a job in the same folder: curve = "{name}"',
    "pump-paste": "Paste the datasheet's table, column titles first, and end with an empty line.",
    "pump-paste-none": "Enter alone: only the nameplate is known.",
    "pump-wrong-table": "  The table {why}",
    "head-shut-off": "shut-off",
    "head-most": "most",
    "head-head": "head",
    "head-power": "power",
    "head-efficiency": "efficiency",
    # A sweep, the page.
    "sweeping": "Sweeping",
    "sweep-no-axes": "give at least one address to vary, with its values",
    "sweep-no-values": "{address}: give at least one value to try",
    "sweep-large": "the grid has {count} points; at most {most} can be solved",
    "sweep-not-read": '--vary: {text} is not WHAT=VALUES, such as "part[8].length=8 ft, 12 ft"',
    "sweep-twice": "--vary: {address} is given twice; give it once",
    "sweep-units": "a sweep cannot change the names or the number of the units",
    "sweep-more-wrong": "and {count} more combinations that make no valid loop",
    "sweep-written": "{file}: {count} points.",
    "sweep-more": "and {count} more points; --csv FILE writes them all",
    "boats-count": "count: {value} is out of range; a whole number, 1 to {most}",
    "boats-seed": "seed: {value} is out of range; a whole number, 0 or more",
    "points-not-started": (
        "The loop does not prime by itself[ at {some} of {count} points]: the flow there is the "
        "flow once it is primed. loop check says why."
    ),
    "points-intake-dry": (
        "The intake comes out of the water at times[, at {some} of {count} points]: the pump then "
        "draws air. loop check says when."
    ),
    "head-condensing": "{unit} cond.",
    "package-missing": "{name} is missing; pip install {name}",
    "page-open": "Anyone who has this address can read and change the files in this folder.",
    "page-port": "port {port}: {why}; leave out --port",
}
SAY = Sayings(COMMANDS)
