"""What README tells a stranger to type and to write works."""

import re
from pathlib import Path

import loop
from tests.readme import ROOT

TEXT = (ROOT / "README.md").read_text(encoding="utf-8")


def block(language: str) -> str:
    """The first fenced block of a language."""
    found = re.search(rf"```{language}\n(.*?)```", TEXT, re.DOTALL)
    assert found is not None
    return found[1]


def test_the_job_that_readme_shows_is_checked_without_a_danger():
    result = loop.check(loop.parse_toml(block("toml")))
    assert all(finding.level != "danger" for finding in result.findings)


def test_the_python_that_readme_shows_runs(capsys, monkeypatch):
    monkeypatch.chdir(ROOT)
    exec(compile(block("python"), "README", "exec"), {})
    verdict, flow = capsys.readouterr().out.split()
    assert verdict == "good"
    assert 0 < float(flow) < 1e-3


def test_every_picture_is_there_and_every_command_is_named():
    for name in re.findall(r"\]\((examples/pictures/[^)]+)\)", TEXT):
        assert Path(ROOT / name).stat().st_size > 5_000, name
    from loop.cli import COMMANDS

    assert all(f"loop {name}" in TEXT for name in COMMANDS)
