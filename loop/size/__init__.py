"""Choose hose and pump, with the chance that each choice works."""

from loop.size.as_json import to_json
from loop.size.fit_choice import edits
from loop.size.overrides import with_sizing
from loop.size.recommend import size
from loop.size.result import Change, Option, SizeResult

__all__ = ["Change", "Option", "SizeResult", "edits", "size", "to_json", "with_sizing"]
