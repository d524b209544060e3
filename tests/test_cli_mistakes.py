"""Bad input: all mistakes at once, one per line, and never a traceback."""

from pathlib import Path

import pytest

from loop.words.commands import SAY
from loop.wrong import wrong
from tests.command_line import EXAMPLES, GOOD, KITTIWAKE, changed, loop, told

LENGTHS = "units that fit: in, ft, mm, cm, m"
NEAR_350 = "try demo-ac-350, demo-ac-500, demo-ac-250"


# What is changed in a good job, and all that is said about it.
MISTAKES = {
    "unknown key": (
        [('length = "2 ft"', 'lenght = "2 ft"')],
        ["part 3 (hose) lenght: unknown key; did you mean 'length'?"],
    ),
    "unknown key far from any": (
        [('units = "us"', "zzz = 1")],
        [
            "zzz: unknown key; known here: boat, condenser, defaults, fitted, part, sizing, "
            "supply, title, units, visit, water"
        ],
    ),
    "unknown key in a table": (
        [("salinity", "salt"), ('trim = "2 deg"', 'trims = "2 deg"')],
        [
            "water salt: unknown key; did you mean 'salinity'?",
            "boat trims: unknown key; did you mean 'trim'?",
        ],
    ),
    "unknown key in a point of a hose": (
        [('sweeps = ["90 deg"]', 'via = [{ at = "3 ft", heigth = "-2 in" }]')],
        ["part 8 (hose) via 1 heigth: unknown key; did you mean 'height'?"],
    ),
    "no height on a hose's way": (
        [('sweeps = ["90 deg"]', "via = [[1]]")],
        [
            'part 8 (hose) via 1: must be a height, such as "-12 in", or a table {at, height}, not '
            "a list"
        ],
    ),
    "a date for a loss": (
        [('loss = "0.4 psi at 300 gal/h"', "loss = 1979-05-27T07:32:00Z")],
        [
            "part 4 (strainer) loss: 1979-05-27T07:32:00+00:00 is not a rated loss, such as "
            '"0.4 psi at 300 gal/h"'
        ],
    ),
    "a number in quotes": (
        [("salinity = 35", 'salinity = "35"')],
        ["water salinity: must be a plain number, without quotes or unit, not '35'"],
    ),
    "unknown kind": (
        [('kind = "strainer"', 'kind = "strianer"')],
        ["part 4 (strianer): unknown kind 'strianer'; did you mean 'strainer'?"],
    ),
    "unknown pump": (
        [("demo-ac-350", "demo-ac-35")],
        [f"part 6 (pump) curve: no pump 'demo-ac-35' in the catalog; {NEAR_350}"],
    ),
    "pump file that is not there": (
        [("demo-ac-350", "none.toml")],
        ["part 6 (pump) curve: pump file 'none.toml' cannot be read: No such file or directory"],
    ),
    "negative size": (
        [('length = "2 ft"', 'length = "-2 ft"')],
        [
            "part 3 (hose) length: -2 ft is out of range; it must be above 0 and at most 656.2 ft",
        ],
    ),
    "absurd size": (
        [('bore = "3/4 in"', 'bore = "3 ft"')],
        [
            "defaults bore: 3 ft is out of range; it must be at least 0.006562 and at most 1.64 ft",
        ],
    ),
    "wrong kind of unit": (
        [('"85 degF"', '"85 gal"'), ('length = "2 ft"', 'length = "2 psi"')],
        [
            "water temperature: unit 'gal' does not fit here; units that fit: degF, degC",
            f"part 3 (hose) length: unit 'psi' does not fit here; {LENGTHS}",
        ],
    ),
    "no unit": (
        [('"85 degF"', "85"), ('length = "2 ft"', 'length = "2"')],
        [
            'water temperature: 85 needs a unit, in quotes, such as "85 degF"; '
            "units that fit: degF, degC",
            f"part 3 (hose) length: '2' has no unit; {LENGTHS}",
        ],
    ),
    "wrong kind of value": (
        [('"85 degF"', "2020-01-01"), ('length = "2 ft"', "length = true"), ('"us"', '"metric"')],
        [
            "units: 'metric' is not known here; use 'us' or 'si'",
            "water temperature: 2020-01-01 is not text with a unit; units that fit: degF, degC",
            f"part 3 (hose) length: true is not text with a unit; {LENGTHS}",
        ],
    ),
    "heights that disagree": (
        [('height = "5 in"', 'height = "9 in"')],
        [
            "part 11 (discharge) height: 9 in (0.229 m) disagrees with the height at which the "
            "line before it ends, 5 in (0.127 m); make them the same",
        ],
    ),
    "a hose too short for its climb": (
        [('length = "10 ft"', 'length = "1 ft"')],
        [
            "part 8 (hose) length: 12 in (0.305 m) of hose cannot reach from -10 in (-0.254 m) "
            "to 10 in (0.254 m); check the length and the heights",
        ],
    ),
    "two pumps": (
        [('kind = "bleed"', 'kind = "pump"\ncurve = "demo-ac-250"')],
        [
            "part 7 (pump): a second pump in one line; part 6 is the first. For two equal pumps "
            'set count = 2 and arrangement = "series" or "parallel" on one part',
        ],
    ),
    "no pump": (
        [('kind = "pump"\ncurve = "demo-ac-350"\noff_centre = "12 in"', 'kind = "bleed"')],
        ['parts: no pump; add a part of kind "pump"'],
    ),
    "no intake": (
        [
            (
                'kind = "intake"\nfacing = "forward"\nheight = "-16 in"\noff_centre = "20 in"\n'
                'fore_aft = "2 ft"',
                'kind = "bleed"',
            )
        ],
        [
            'parts: no intake; the first part must be of kind "intake"',
        ],
    ),
    "no bore": (
        [('bore = "3/4 in"\n', "")],
        [
            f'part {number}: no bore; give it here or as bore = "3/4 in" in [defaults]'
            for number in (
                *("1 (intake)", "2 (seacock)", "3 (hose)", "4 (strainer)", "5 (hose)", "7 (bleed)"),
                *("8 (hose)", "9 (condenser)", "10 (hose)", "11 (discharge)"),
            )
        ],
    ),
    "a unit that nothing serves": (
        [('serves = "saloon"', 'serves = "salon"')],
        [
            "part 9 (condenser) serves: no [[condenser]] has the name 'salon'; nearest: 'saloon'",
            'condenser 1 (saloon): no part serves it; add a part of kind "condenser" with '
            'serves = "saloon"',
        ],
    ),
    "one table of which there can be several": (
        [("[[condenser]]", "[condenser]")],
        ["condenser: is one table; there can be several, so write [[condenser]]"],
    ),
    "a table twice": (
        [("[water]", "[defaults]")],
        [
            "is not TOML: Cannot declare ('defaults',) twice (at line 15, column 10), which reads "
            "'[defaults]'; give a table once, or, if there can be several, write each as "
            "[[defaults]]"
        ],
    ),
    "a hose that is wrong in itself and does not reach": (
        [('length = "10 ft"', 'length = "1 ft"\nbore = "9 ft"')],
        [
            "part 8 (hose) bore: 9 ft is out of range; it must be at least 0.006562 and at most "
            "1.64 ft",
            "part 8 (hose) length: 12 in (0.305 m) of hose cannot reach from -10 in (-0.254 m) "
            "to 10 in (0.254 m); check the length and the heights",
        ],
    ),
    "two losses that do not go together": (
        [('"2.2 psi at 240 gal/h"', '["2 psi at 240 gal/h", "1 psi at 300 gal/h"]')],
        ["part 9 (condenser): two rated losses must rise: more flow, more drop"],
    ),
    "points of a hose in the wrong order": (
        [('sweeps = ["90 deg"]', 'via = [{ at = "30 ft", height = "0 in" }]')],
        ["part 8 (hose) via: places must rise along the hose and lie inside its length"],
    ),
    "a port wider than its seacock": (
        [('kind = "seacock"', 'kind = "seacock"\nport = "1 in"')],
        [
            "part 2 (seacock): port cannot be larger than the seacock's bore; leave it out for a "
            "full-bore valve"
        ],
    ),
    "not a number": (
        [("salinity = 35", "salinity = nan"), ('length = "2 ft"', 'length = "nan ft"')],
        [
            "water salinity: must be a finite number, not nan",
            f"part 3 (hose) length: 'nan ft' is not a number with a unit; {LENGTHS}",
        ],
    ),
    "infinity": (
        [("salinity = 35", "salinity = inf"), ('length = "2 ft"', 'length = "1e999 ft"')],
        [
            "water salinity: must be a finite number, not inf",
            "part 3 (hose) length: '1e999 ft' is too large to be a quantity; "
            "units that fit: in, ft, mm, cm, m",
        ],
    ),
    "an empty name": (
        [('name = "saloon"', 'name = ""')],
        ["condenser 1 name: must not be empty"],
    ),
    "names of the trade": (
        [
            ("[boat]", "[vessel]"),
            ('cooling = "12000 BTU/h"', 'btu = "12000 BTU/h"'),
            ('curve = "demo-ac-350"', 'model = "demo-ac-350"'),
            ('serves = "saloon"', 'unit = "saloon"'),
        ],
        [
            "condenser 1 (saloon) btu: unknown key; did you mean 'cooling'?",
            "part 6 (pump) model: unknown key; did you mean 'curve'?",
            "part 9 (condenser) unit: unknown key; did you mean 'serves'?",
            "vessel: unknown key; did you mean 'boat'?",
        ],
    ),
    "bare numbers": (
        [('length = "2 ft"', "length = 2"), ('to = "10 in"', "to = 10")],
        [
            f'part 3 (hose) length: 2 needs a unit, in quotes, such as "2 ft"; {LENGTHS}',
            f'part 8 (hose) to: 10 needs a unit, in quotes, such as "10 in"; {LENGTHS}',
        ],
    ),
    "one quantity after another": (
        [('length = "2 ft"', 'length = "1m 20cm"'), ('to = "10 in"', 'to = "-1 ft 2cm"')],
        [
            "part 3 (hose) length: '1m 20cm' holds two quantities: write \"1.2 m\"",
            "part 8 (hose) to: '-1 ft 2cm': after feet only inches can follow, as in 5' 6\" or "
            "5 ft 6 in",
        ],
    ),
    "points spread evenly": (
        [('length = "10 ft"', 'length = "12 ft"\nvia = ["0 in", "60 in", "0 in"]')],
        [
            "part 8 (hose) length: 36 in (0.914 m) of hose cannot reach from 0 in (0 m) to 60 in "
            "(1.52 m): via points without an at are spread evenly, which puts point 2 of 3 at 72 "
            "in (1.83 m); give each its at, or check the length and the heights",
            "part 8 (hose) length: 36 in (0.914 m) of hose cannot reach from 60 in (1.52 m) to 0 "
            "in (0 m): via points without an at are spread evenly, which puts point 3 of 3 at 108 "
            "in (2.74 m); give each its at, or check the length and the heights",
        ],
    ),
    "ice": (
        [('temperature = "85 degF"', 'temperature = "29 degF"'), ("salinity = 35", "salinity = 0")],
        ["water temperature: water of this salinity freezes at 32.0 degF (0.0 degC)"],
    ),
    "a comma of another kind of file": (
        [('to = "10 in"', 'to = "10 in",')],
        [
            "is not TOML: Expected newline or end of document after a statement (at line 60, "
            "column 13), which reads 'to = \"10 in\",'; take away the comma at its end"
        ],
    ),
    "five at once": (
        [
            ('"85 degF"', '"85"'),
            ('length = "2 ft"', 'length = "-2 ft"'),
            ('"0.4 psi at 300 gal/h"', '"4 bananas"'),
            ("demo-ac-350", "demo-ac-35"),
            ('to = "10 in"', 'to = "ten in"'),
        ],
        [
            "water temperature: '85' has no unit; units that fit: degF, degC; "
            'did you mean "85 degF"?',
            "part 3 (hose) length: -2 ft is out of range; it must be above 0 and at most 656.2 ft",
            "part 4 (strainer) loss: '4 bananas' is not a rated loss, such as "
            '"0.4 psi at 300 gal/h"',
            f"part 6 (pump) curve: no pump 'demo-ac-35' in the catalog; {NEAR_350}",
            f"part 8 (hose) to: 'ten in' is not a number with a unit; {LENGTHS}",
        ],
    ),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_told_with_its_place_and_what_would_be_right(
    name: str, tmp_path: Path
) -> None:
    changes, expected = MISTAKES[name]
    path = tmp_path / "job.toml"
    path.write_text(changed(*changes), "utf-8")
    assert told(path) == expected


def test_an_empty_readings_file_is_told_what_it_must_hold(tmp_path: Path) -> None:
    readings = tmp_path / "readings.toml"
    readings.write_text("# nothing yet\n", "utf-8")
    done = loop("diagnose", KITTIWAKE, readings)
    assert done.exit_code == 2
    assert done.stderr.strip().endswith('it must hold readings, such as flow = "150 gal/h"')


def test_a_date_without_a_visit_to_keep_is_refused() -> None:
    done = loop("diagnose", KITTIWAKE, "-r", "flow=180 gal/h", "--date", "2025-06-30")
    assert done.exit_code == 2
    assert done.stderr == f"{SAY('with-record', option='--date')}\n"


def test_of_a_value_as_long_as_a_book_no_more_is_told_than_fits(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(GOOD.replace('kind = "strainer"', f'kind = "{"x" * 400_000}"'), "utf-8")
    done = loop("check", job)
    assert done.exit_code == 2
    assert len(done.stderr) < 3000
    assert "part 4" in done.stderr


def test_values_of_a_pump_are_counted_from_one(tmp_path: Path) -> None:
    pump = tmp_path / "pump.toml"
    text = (KITTIWAKE.parent.parent / "pumpcurves" / "demo-ac-350.toml").read_text("utf-8")
    pump.write_text(text.replace("values = [0,", 'values = ["0",', 1), "utf-8")
    done = loop("pumps", pump)
    assert done.exit_code == 2
    assert "curve flow values 1: must be a plain number, without quotes" in done.stderr


def test_a_choice_that_there_is_not_is_told_in_plain_words() -> None:
    done = loop("check", KITTIWAKE, "--units", "imperial")
    assert done.exit_code == 2
    assert "'imperial'" in done.stderr
    assert "'us'" in done.stderr
    assert "Value error" not in done.stderr


def test_a_limit_is_told_as_a_person_writes_it(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    text = changed(('kind = "strainer"', 'kind = "strainer"\nblocked = "150 %"'))
    path.write_text(text, encoding="utf-8")
    assert "at least 0 and at most 99.9 %" in loop("check", path).stderr


def test_another_kind_of_file_is_told_once_with_where_it_belongs() -> None:
    """Not key by key, as if it were a job or readings with every name misspelled."""
    job, readings = EXAMPLES / "petrel.toml", EXAMPLES / "readings-call.toml"
    pump = EXAMPLES.parent / "pumpcurves" / "demo-ac-350.toml"
    for path, row in ((readings, "file-is-readings"), (pump, "file-is-pump")):
        assert told(path) == [wrong(row, file="").removeprefix(": ")]
    assert loop("diagnose", job, job).stderr.strip() == wrong("file-is-job", file=job)
