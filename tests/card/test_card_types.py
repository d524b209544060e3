"""The card's script agrees with the types that its comments name."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

import loop.card.html
from loop.card.html import script

TSC = os.environ.get("LOOP_TSC", "")
_TYPES = Path(loop.card.html.__file__).parent / "static" / "types.d.ts"


@pytest.mark.skipif(
    not TSC or shutil.which("node") is None,
    reason="no type checker for scripts: set LOOP_TSC to typescript's lib/tsc.js, beside node",
)
def test_the_scripts_types_hold(tmp_path: Path) -> None:
    file = tmp_path / "card.js"
    file.write_text(script(), encoding="utf-8")
    options = "--allowJs --checkJs --noEmit --strict false --target es2022"
    done = subprocess.run(
        ["node", TSC, *options.split(), "--lib", "es2022,dom,dom.iterable", file, _TYPES],
        capture_output=True,
        text=True,
    )
    assert done.stdout == ""
