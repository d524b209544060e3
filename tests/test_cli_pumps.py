"""`loop pumps` and `loop schema`."""

import json
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from loop.pumps import catalogue, load_pump
from loop.units import parse
from tests.command_line import JOBS, KITTIWAKE, loop

CURVES = sorted((KITTIWAKE.parent.parent / "pumpcurves").glob("*.toml"))


@pytest.mark.parametrize("width", [60, 120])
def test_catalogue_has_a_line_a_pump(width: int) -> None:
    lines = loop("pumps", width=width).stdout.splitlines()
    names = [line.split()[0] for line in lines[2:] if line.startswith("demo-")]
    assert sorted(names) == list(catalogue())
    small, large = (names.index(f"demo-ac-{flow}") for flow in (200, 1500))
    assert small < large
    assert lines[-1] == "All invented for the examples; none is a real pump."
    assert max(map(len, lines)) <= width


def test_a_bore_in_another_unit_has_one_unit_where_the_table_does_not_fit() -> None:
    said = " ".join(loop("pumps", width=40).stdout.split())
    assert "port 25 mm;" in said
    assert "port 3/4 in;" in said
    assert "self-primes no" in said


def test_catalogue_in_either_system_of_units() -> None:
    us, si = (loop("pumps", "--units", units).stdout for units in ("us", "si"))
    assert next(line for line in us.splitlines() if "demo-ac-350" in line).split() == [
        *("demo-ac-350", "115", "V", "60", "Hz", "11.5", "350", "3/4", "no")
    ]
    assert next(line for line in si.splitlines() if "demo-ac-350" in line).split() == [
        *("demo-ac-350", "115", "V", "60", "Hz", "3.51", "22.1", "19", "no")
    ]


def test_curve_of_one_pump_has_its_points() -> None:
    lines = [line.split() for line in loop("pumps", "demo-ac-350").stdout.splitlines()]
    assert ["0", "11.5", "38", "2.0"] in lines
    assert ["350", "1.6", "57", "5.5"] in lines


def test_json_is_si_at_rated_supply() -> None:
    (data,) = json.loads(loop("pumps", "demo-ac-350", "--json").stdout)["pumps"]
    pump = load_pump("demo-ac-350")
    assert data["head"][0] == pump.shutoff_head
    assert data["flow"][-1] == pytest.approx(parse("350 gal/h", "flow"))
    assert data["rated_supply"] == 115
    everything = json.loads(loop("pumps", "--json").stdout)["pumps"]
    assert [pump["name"] for pump in everything] == list(catalogue())


def test_every_mistake_of_several_files_is_told_at_once(tmp_path: Path) -> None:
    missing = tmp_path / "none.toml"
    result = loop("pumps", missing, "demo-ac-35", "demo-ac-350")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.splitlines() == [
        f"{missing}: cannot be read: No such file or directory",
        "no pump 'demo-ac-35' in the catalog; try demo-ac-350, demo-ac-500, demo-ac-250",
    ]


def schema(what: str) -> Any:
    """A validator made from the schema that the command prints."""
    printed = json.loads(loop("schema", "--what", what).stdout)
    jsonschema.Draft202012Validator.check_schema(printed)
    return jsonschema.Draft202012Validator(printed)


def test_schema_of_a_job_takes_every_example() -> None:
    checker = schema("job")
    for path in JOBS:
        assert list(checker.iter_errors(tomllib.loads(path.read_text("utf-8")))) == [], path.name


def test_schema_of_a_pump_takes_the_catalogue() -> None:
    checker = schema("pump")
    assert CURVES
    for path in CURVES:
        assert list(checker.iter_errors(tomllib.loads(path.read_text("utf-8")))) == [], path.name


def test_schema_of_the_catalogue_takes_what_is_printed() -> None:
    printed = json.loads(loop("pumps", "--json").stdout)
    schema("pumps").validate(printed)
    assert printed["loop"]
    assert len(printed["pumps"]) == len(CURVES)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('length = "2 ft"', 'lenght = "2 ft"'),
        ('length = "2 ft"', "length = 2"),
        ('kind = "strainer"', 'kind = "strianer"'),
        ('kind = "bleed"', 'label = "bleed"'),
        ('serves = "saloon"', ""),
        ('units = "us"', 'units = "metric"'),
    ],
)
def test_schema_of_a_job_refuses_what_the_check_refuses(old: str, new: str) -> None:
    data = tomllib.loads(KITTIWAKE.read_text("utf-8").replace(old, new, 1))
    assert not schema("job").is_valid(data)


def test_schema_takes_each_way_to_write_a_list() -> None:
    data = tomllib.loads(KITTIWAKE.read_text("utf-8"))
    data["part"][7]["via"] = ["0 in", {"at": "3 ft", "height": "2 in"}]
    data["part"][8]["loss"] = ["1 psi at 150 gal/h", "2.2 psi at 240 gal/h"]
    assert schema("job").is_valid(data)


def test_defaults_in_the_schema_are_as_a_file_holds_them() -> None:
    printed = json.loads(loop("schema").stdout)
    hose, boat = printed["$defs"]["Hose"], printed["$defs"]["Boat"]
    assert hose["properties"]["barbs"]["default"] == 2
    assert "default" not in boat["properties"]["heel"]
    assert hose["required"] == ["kind", "length", "to"]


def test_a_port_has_its_name_in_the_trade() -> None:
    """A port of 25 mm has no trade size in inches."""
    listed = loop("pumps").stdout.splitlines()
    assert next(line for line in listed if "demo-ac50-60" in line).split()[-3:] == [
        "25",
        "mm",
        "no",
    ]
    assert "25 mm port" in loop("pumps", "demo-ac50-60").stdout
