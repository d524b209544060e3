"""The card as one self-contained page that makes no network requests."""

import base64
import hashlib
from pathlib import Path

from markupsafe import Markup

from loop.card.content import Card
from loop.card.packed import packed
from loop.card.script import script, style
from loop.sheet.html import pages

_FOLDER = Path(__file__).parent / "templates"


def render(card: Card) -> str:
    """The HTML of a card, everything escaped, script and style allowed by their hashes."""
    code, looks = script(), style()
    policy = (
        f"default-src 'none'; script-src {_source(code)}; style-src {_source(looks)}; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    return (
        pages(_FOLDER)
        .get_template("card.html.j2")
        .render(
            card=card,
            policy=policy,
            data=packed(card.shown),
            style=Markup(looks),
            script=Markup(code),
        )
    )


def index(entries: list[tuple[str, str, str]]) -> str:
    """A page of links to the cards of a fleet; each entry is a file name, a title and a remark."""
    looks = style()
    policy = f"default-src 'none'; style-src {_source(looks)}; base-uri 'none'; form-action 'none'"
    return (
        pages(_FOLDER)
        .get_template("index.html.j2")
        .render(entries=entries, policy=policy, style=Markup(looks))
    )


def _source(text: str) -> str:
    """The content security policy source of an inline script or style."""
    digest = hashlib.sha256(text.encode()).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"
