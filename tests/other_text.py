"""The room of words, loaded with other text in place of every sentence."""

import ast
import dataclasses
import importlib.machinery
import re
import sys
from collections.abc import Mapping, Sequence
from types import CodeType, ModuleType
from typing import Any

_ROOM = "loop.words."
_BLANK = re.compile(r"(\{[^}]*\})")
# About as wide, so that pages and tables have the same layout; idempotent.
_OTHER = str.maketrans("aeiouyAEIOUY", "czlbnvVFJCHT")
# Modules of the room that hold only facts: actions with their edits, findings, numbers.
_FACTS = (
    "actions",
    "base",
    "bleed_actions",
    "finding",
    "guesses",
    "height_actions",
    "moved",
    "numbers",
    "part_actions",
    "size_actions",
    "tables",
    "template",
    "worst",
)
# Tables made of rows that are already reworded; the parts' names in their blanks are facts.
_FILLED = ("DOING",)
# Fields of rows that hold keys of other tables, and those that do in some tables: there a text is a
# sentence.
_KEYS = ("levels", "quantity", "result", "given")
_KEYS_OR_TEXT = ("basis", "hazard")


def other(text: str) -> str:
    """Other text of the same length with the same blanks; idempotent."""
    pieces = _BLANK.split(text)
    return "".join(p if _BLANK.fullmatch(p) else p.translate(_OTHER) for p in pieces)


def reworded(value: Any) -> Any:
    """A row, or a table of rows, with other text; keys are unchanged."""
    if isinstance(value, str):
        return other(value)
    if isinstance(value, tuple):
        return tuple(reworded(one) for one in value)
    if isinstance(value, dict):
        return {name: reworded(one) for name, one in value.items()}
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        texts = {
            field.name: reworded(getattr(value, field.name))
            for field in dataclasses.fields(value)
            if not _holds_keys(field.name, getattr(value, field.name))
        }
        return dataclasses.replace(value, **texts)
    return value


def _holds_keys(field: str, value: Any) -> bool:
    """Whether the value of a row's field is a key, or several."""
    is_text = isinstance(value, str) and " " in value
    return field in _KEYS or (field in _KEYS_OR_TEXT and not is_text)


class _Sentences(ast.NodeTransformer):
    """Rewords text in the code itself: texts of several words, f-strings too."""

    def visit_JoinedStr(self, node: ast.JoinedStr) -> ast.AST:
        texts = [piece for piece in node.values if isinstance(piece, ast.Constant)]
        # A single word is a name: ``no_bleed``, an address.
        sentence = any(" " in piece.value for piece in texts)
        for piece in node.values:
            if isinstance(piece, ast.Constant):
                piece.value = other(piece.value) if sentence else piece.value
            elif isinstance(piece, ast.FormattedValue):
                piece.value = self.visit(piece.value)
        return node

    def visit_Constant(self, node: ast.Constant) -> ast.AST:
        if isinstance(node.value, str) and " " in node.value:
            node.value = other(node.value)
        return node

    def visit_Dict(self, node: ast.Dict) -> ast.AST:
        node.values = [self.visit(value) for value in node.values]
        return node

    def visit_keyword(self, node: ast.keyword) -> ast.AST:
        return node if node.arg in (*_KEYS, *_KEYS_OR_TEXT) else self.generic_visit(node)


class _Loader(importlib.machinery.SourceFileLoader):
    """Loads a module of the room with other text."""

    def get_code(self, fullname: str) -> CodeType:
        path = self.get_filename(fullname)
        return compile(_Sentences().visit(ast.parse(self.get_data(path))), path, "exec")

    def exec_module(self, module: ModuleType) -> None:
        super().exec_module(module)
        for name, value in list(vars(module).items()):
            if isinstance(value, dict) and not name.startswith("__") and name not in _FILLED:
                value.update(reworded(value))
            elif isinstance(getattr(value, "rows", None), dict):
                # Rows that are parsed when asked for are all parsed here.
                value.rows = reworded(dict(value) if isinstance(value, Mapping) else value.rows)


class _Finder(importlib.machinery.PathFinder):
    """Finds the modules of the room."""

    @classmethod
    def find_spec(
        cls, fullname: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        if not fullname.startswith(_ROOM) or fullname.removeprefix(_ROOM) in _FACTS:
            return None
        found = super().find_spec(fullname, path, target)
        if found is not None and found.origin is not None:
            found.loader = _Loader(fullname, found.origin)
        return found


def reword() -> None:
    """From now on this process loads the room with other text."""
    sys.meta_path.insert(0, _Finder)
