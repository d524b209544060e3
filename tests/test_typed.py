"""What ends a prompt: the same words everywhere."""

from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from loop.cli import app
from loop.cli.typed import ask
from loop.words.commands import SAY as COMMANDS
from loop.words.course import SAY
from loop.words.help import ANSWERS
from tests.said import pattern

QUIZ = ("quiz", "--topic", "bigger-hose", "--count", "2", "--seed", "3")
DRILL = ("drill", "--seed", "7")
JOB = str(Path(__file__).parent.parent / "examples" / "curlew.toml")


def test_a_question_breaks_between_words(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    monkeypatch.setattr(typer, "prompt", lambda text, **_: asked.append(text) or "  ")
    for columns in range(12, 60):
        monkeypatch.setenv("COLUMNS", str(columns))
        assert ask(ANSWERS["pressure_length"], "16 ft") == ""
        lines = asked[-1].split("\n")
        assert all(len(line) <= columns - 2 for line in lines)  # ": " comes after it
        assert " ".join(lines) == f"{ANSWERS['pressure_length']} [16 ft]"
        assert lines[-1].endswith("[16 ft]")


WORDS = ("done", "Stop", "end", "quit", "exit", "q")


@pytest.mark.parametrize("word", WORDS)
def test_one_word_ends_each(word: str, tmp_path: Path) -> None:
    """Anything after the word is not read, nor is the word itself taken for an answer.

    A drill and a call take long to start, so each gets half of the words.
    """
    call = ("call", JOB, "-f", str(tmp_path / "call.toml"))
    slow = [
        (DRILL, lambda said: len(pattern(SAY, "drill-score").findall(said)) == 1),
        (call, lambda said: pattern(COMMANDS, "call-kept").search(said)),
    ]
    for words, ended in (
        (QUIZ, lambda said: pattern(SAY, "quiz-score", right="0", count="0").search(said)),
        (("lesson", "1"), lambda said: SAY("lesson-reveal") not in said),
        slow[WORDS.index(word) % 2],
    ):
        done = CliRunner().invoke(app, words, input=f"{word}\nnonsense\n")
        assert done.exit_code == 0, done.output
        assert ended(" ".join(done.output.split()))
        assert "nonsense" not in done.output
