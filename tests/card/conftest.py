"""Studies, cards and a browser shared by the card's tests."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from loop.card import card, to_html
from loop.card.content import Card
from loop.diagnose import prepare
from loop.diagnose.hypotheses import Study
from loop.job import read_toml
from loop.sheet import sheet
from tests.branches import branched
from tests.studies import study_of
from tests.test_service_calls import three_cabins

EXAMPLES = Path(__file__).parents[2] / "examples"

# With a scoop: at speed every fault reads differently, so that no table is left out.
_DRAWN = {
    "six": lambda: branched(6).replace({"part[1].facing": "forward"}),
    "three cabins": three_cabins,
}


@dataclass(frozen=True)
class Made:
    """A card on disk, with the study that it was made from."""

    study: Study
    card: Card
    file: Path


def make(name: str, folder: Path) -> Made:
    """The card of an example, or of "six" units or "three cabins"."""
    if name in _DRAWN:
        study, source = prepare(_DRAWN[name]()), None
    else:
        study, source = study_of(name), read_toml(EXAMPLES / f"{name}.toml")
    content = card(study, sheet(study.instruments.job, source))
    file = folder / f"{name}.html"
    file.write_text(to_html(content), encoding="utf-8")
    return Made(study, content, file)


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The card of a boat (`make`), made only once."""
    folder, known = tmp_path_factory.mktemp("cards"), dict[str, Made]()

    def of(name: str) -> Made:
        if name not in known:
            known[name] = make(name, folder)
        return known[name]

    return of
