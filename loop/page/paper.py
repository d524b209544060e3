"""Pumps from paper: a page of a datasheet as a picture, and the points taken from it as a pump."""

import io
import re
from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from loop.job import JobError
from loop.pumps import PumpCurve, pump_problems

# Largest picture of a page [pixels each way]; a datasheet is read well at this size.
_LARGEST = 2400
_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,58}")


def page_picture(body: bytes, number: int) -> bytes:
    """One page of a PDF as a PNG; raises JobError where it is no PDF or has no such page."""
    try:
        import pypdfium2
    except ImportError:
        raise JobError(
            ["to read PDF files: pip install pypdfium2; or take a picture of the page"]
        ) from None
    try:
        with pypdfium2.PdfDocument(body) as document:
            if not 1 <= number <= len(document):
                raise JobError([f"this PDF has {len(document)} pages"])
            page = document[number - 1]
            scale = min(_LARGEST / max(page.get_width(), page.get_height(), 1.0), 4.0)
            image = page.render(scale=scale).to_pil()
    except (pypdfium2.PdfiumError, ValueError):
        raise JobError(["this file is not a PDF that can be read"]) from None
    made = io.BytesIO()
    image.save(made, format="PNG")
    return made.getvalue()


def pump_file(given: Any) -> tuple[str, str]:
    """Name and text of a pump file from the page's table; raises JobError with every mistake."""
    import tomlkit

    table = _table(given)
    name = str(table.get("name", ""))
    if not _NAME.fullmatch(name):
        raise JobError(["name: small letters, digits and dashes, such as my-pump-300"])
    _curve(table)
    return f"{name}.toml", tomlkit.dumps(table)


def checked_curve(given: Any) -> dict[str, Any]:
    """A pump's curve as it would be used, in SI; raises JobError with every mistake."""
    curve = _curve(_table(given))
    flows = [curve.last_flow * i / 40 for i in range(41)]
    return {
        "shutoff_head": float(curve.head(0.0)),
        "last_flow": curve.last_flow,
        "points": [[flow, float(curve.head(flow))] for flow in flows],
    }


def _curve(table: dict[str, Any]) -> PumpCurve:
    try:
        return PumpCurve.model_validate(table, context={"text": True})
    except ValidationError as error:
        raise JobError(pump_problems(error)) from None


def _table(given: Any) -> dict[str, Any]:
    if not isinstance(given, Mapping):
        raise JobError(["the pump must be a table"])
    return _plain(given)


def _plain(given: Mapping[str, Any]) -> dict[str, Any]:
    """The table with its texts and numbers only."""
    found: dict[str, Any] = {}
    for key, value in given.items():
        if isinstance(value, Mapping):
            found[str(key)] = _plain(value)
        elif isinstance(value, str | int | float | bool):
            found[str(key)] = value
        elif isinstance(value, list) and all(isinstance(v, int | float) for v in value):
            found[str(key)] = list(value)
    return found
