"""A key that must be given and is not: told with an example that would be right."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any

import pytest
from pydantic import BaseModel, TypeAdapter

from loop.job import Job, JobError, parse_toml
from loop.mistakes import why
from loop.pumps import PumpCurve
from loop.units.fields import hints
from tests.command_line import GOOD, loop


def models(model: type[BaseModel]) -> Iterator[type[BaseModel]]:
    """A model and those of its fields, each once."""
    seen, waiting = set(), [model]
    while waiting:
        one = waiting.pop()
        if one not in seen:
            seen.add(one)
            yield one
            for field in one.model_fields.values():
                waiting += [
                    hint
                    for hint in hints(field)
                    if isinstance(hint, type) and issubclass(hint, BaseModel)
                ]


REQUIRED = {
    (one.__name__, name): field
    for root in (Job, PumpCurve)
    for one in models(root)
    for name, field in one.model_fields.items()
    if field.is_required() and name != "kind"
}


def test_parts_and_tables_are_among_them() -> None:
    assert {("Hose", "to"), ("Unit", "cooling"), ("Visit", "date"), ("PumpCurve", "port")} <= set(
        REQUIRED
    )


@pytest.mark.parametrize(("table", "key"), REQUIRED)
def test_a_missing_key_is_told_with_an_example(table: str, key: str) -> None:
    whole = table in ("Job", "PumpCurve") and key in ("water", "condenser", "part", "curve")
    told = why({"type": "missing", "loc": (key,) if whole else ("part", 0, key)})
    assert "; give it, such as " in told
    given = re.search(rf'such as ({key} = (?:"[^"]*"|\[[^\]]*\]))', told)
    if given is None:
        assert f"[{key}]" in told or f".{key}]" in told
        return
    field = REQUIRED[table, key]
    value = tomllib.loads(given[1])[key]
    reader: TypeAdapter[Any] = TypeAdapter(Annotated[field.annotation, key, *field.metadata])
    reader.validate_python(value, context={"text": True, "folder": "."})


def test_the_examples_make_a_file_that_is_read(tmp_path: Path) -> None:
    path = tmp_path / "pump.toml"
    path.write_text('name = "x"\n', "utf-8")
    told = loop("pumps", path).stderr
    for line in re.findall(r"such as (\w+ = .*)", told):
        path.write_text(f"{line}\n{path.read_text('utf-8')}", "utf-8")
    path.write_text(
        f'{path.read_text("utf-8")}rated_frequency = "60 Hz"\n[curve]\n'
        'nameplate = { flow = "250 gal/h", head = "9 ft" }\n',
        "utf-8",
    )
    assert loop("pumps", path).exit_code == 0


@pytest.mark.parametrize(
    ("written", "offer"), [("0.9", "90 %"), ('"0.9"', "90 %"), ("60", "60 %"), ('"60"', "60 %")]
)
def test_a_share_without_its_sign_is_offered_as_a_percentage(written: str, offer: str) -> None:
    with pytest.raises(JobError) as caught:
        parse_toml(f"{GOOD}\n[sizing]\nconfidence = {written}\n")
    (line,) = caught.value.problems
    assert f'"{offer}"' in line
