"""The card's script in node, an engine that is not the browser's."""

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

from loop.card.packed import packed
from loop.card.script import ENGINE, script

NODE = shutil.which("node")
_RUNNER = """
const fs = require("fs"), given = JSON.parse(fs.readFileSync(0, "utf8"));
unpacked(given.tables).then((tables) => {
  const s = study(tables);
  process.stdout.write(JSON.stringify(given.calls.map((call) => {
    try { return diagnose(s, call, s.spellings); }
    catch (error) { return { error: String(error.message), stack: error.stack }; }
  })));
});
"""


def answers(tables: dict[str, Any], calls: list[dict[str, Any]], folder: Path) -> Any:
    """What the script says of each call, or its error."""
    file = folder / "engine.cjs"
    whole = script(ENGINE).rstrip().removesuffix("})();")
    file.write_text(f"{whole}{_RUNNER}}})();\n", encoding="utf-8")
    assert NODE is not None
    done = subprocess.run(
        [NODE, str(file)],
        input=json.dumps({"tables": packed(tables), "calls": calls}),
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
    )
    return json.loads(done.stdout)
