"""The card's script in node, an engine other than the browser's."""

import json
import shutil
import subprocess
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from loop.card.html import ENGINE, packed, script

NODE = shutil.which("node")
# The parts of the page that do not touch the document.
_PLAIN = (*ENGINE, "readings_file.js", "fields.js", "store.js")
_RUN = """
const told = JSON.parse(require("fs").readFileSync(0, "utf8"));
(async () => {
  const { given } = told, s = told.tables && study(await unpacked(told.tables));
  process.stdout.write(JSON.stringify(%s));
})();
"""


def in_node(expression: str, given: Any, tables: dict[str, Any] | None = None) -> Any:
    """The value of an expression over the script's functions, `given`, and the study `s`."""
    whole = script(_PLAIN).rstrip().removesuffix("})();")
    assert NODE is not None
    with TemporaryDirectory() as folder:
        # The script is too long for a command-line argument.
        file = Path(folder, "card.cjs")
        file.write_text(f"{whole}{_RUN % expression}}})();", encoding="utf-8")
        done = subprocess.run(
            [NODE, file],
            input=json.dumps({"given": given, "tables": packed(tables) if tables else None}),
            capture_output=True,
            text=True,
            timeout=300,
        )
    assert done.returncode == 0, done.stderr[-2000:]
    return json.loads(done.stdout)


def answers(tables: dict[str, Any], calls: list[dict[str, Any]]) -> Any:
    """What the script says of each call, or its error."""
    expression = """given.map((call) => {
      try { return diagnose(s, call, s.spellings); }
      catch (error) { return { error: String(error.message), stack: error.stack }; }
    })"""
    return in_node(expression, calls, tables)
