"""Studies, cards and a browser that the card's tests share."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from loop.card import card, to_html
from loop.card.content import Card
from loop.diagnose import prepare
from loop.diagnose.hypotheses import Study
from loop.job import read_job, read_toml
from loop.sheet import sheet

EXAMPLES = Path(__file__).parents[2] / "examples"


@dataclass(frozen=True)
class Made:
    """A card on disk, with the study that it was made from."""

    study: Study
    card: Card
    file: Path


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The card of an example, made once."""
    folder, known = tmp_path_factory.mktemp("cards"), dict[str, Made]()

    def make(name: str) -> Made:
        if name not in known:
            path = EXAMPLES / f"{name}.toml"
            job = read_job(path)
            study = prepare(job)
            content = card(study, sheet(job, read_toml(path)))
            file = folder / f"{name}.html"
            file.write_text(to_html(content), encoding="utf-8")
            known[name] = Made(study, content, file)
        return known[name]

    return make
