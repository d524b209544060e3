"""A student's record: what is repeated after 1, 3 and 7 days."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from loop.job import JobError
from loop.teach.classroom import read_class
from loop.teach.record import Entry, due, read_record, record_text, schedule
from loop.words.commands import SAY as COMMANDS
from loop.words.course import SAY
from loop.wrong import wrong
from tests.command_line import loop
from tests.said import pattern

DAY = date(2026, 3, 2)
HEAD = "date,topic,seed,answer,right,believed\n"


def answers(*right_on: tuple[int, bool], topic: str = "ends") -> list[Entry]:
    return [
        Entry(DAY + timedelta(days=n), topic, n, "a", right, not right) for n, right in right_on
    ]


@pytest.mark.parametrize(
    ("history", "after"),
    [
        ([(0, False)], 1),
        ([(0, False), (1, True)], 1 + 3),
        ([(0, False), (1, True), (4, True)], 4 + 7),
        ([(0, False), (1, True), (4, True), (11, True)], None),
        ([(0, True), (3, True), (10, False)], 10 + 1),
        ([(0, True), (0, False)], 1),
        ([], None),
    ],
)
def test_a_topic_comes_again_after_one_three_and_seven_days(
    history: list[tuple[int, bool]], after: int | None
) -> None:
    expected = None if after is None else DAY + timedelta(days=after)
    assert due(answers(*history)) == expected


def test_what_is_due_soonest_comes_first() -> None:
    entries = [*answers((0, True), topic="ends"), *answers((0, False), topic="suction")]
    assert list(schedule(entries)) == ["suction", "ends"]


def test_a_record_is_read_as_it_was_written(tmp_path: Path) -> None:
    path = tmp_path / "record.csv"
    entries = answers((0, False), (1, True))
    path.write_text(record_text(entries), encoding="utf-8")
    assert read_record(path) == entries
    assert read_record(tmp_path / "none.csv") == []


@pytest.mark.parametrize(
    ("content", "row"),
    [
        (None, "file-folder"),
        (b"\xff\xfe", "file-not-utf8"),
        (b"x" * 600_000, "file-large"),
    ],
)
def test_a_file_that_cannot_be_a_record_is_told_before_anything_is_asked(
    tmp_path: Path, content: bytes | None, row: str
) -> None:
    path = tmp_path / "record.csv"
    if content is None:
        path.mkdir()
    else:
        path.write_bytes(content)
    expected = wrong(row, what="record", most=500)
    with pytest.raises(JobError) as error:
        read_record(path)
    assert error.value.problems == [f"{path}: {expected}"]
    done = loop("quiz", "--record", path)
    assert (done.exit_code, done.stdout) == (2, "")


@pytest.mark.parametrize("words", [("quiz", "--record"), ("drill", "--log")])
def test_answers_that_could_not_be_kept_are_not_asked_for(
    words: tuple[str, str], tmp_path: Path
) -> None:
    for target, row in ((tmp_path / "none" / "kept", "no-folder"), (tmp_path, "is-folder")):
        done = loop(*words, target)
        assert (done.exit_code, done.stdout) == (2, "")
        assert done.stderr == f"{COMMANDS(row, file=str(target))}\n"


def test_a_field_without_end_is_told_of_a_record_and_a_class(tmp_path: Path) -> None:
    path = tmp_path / "kept.csv"
    for head, read in ((HEAD, read_record), ("pupil,sheet,topics,date,answers\n", read_class)):
        path.write_text(f'{head}"{"a" * 200_000}', encoding="utf-8")
        with pytest.raises(JobError, match=pattern(SAY, "csv-long", number="2")):
            read(path)


@pytest.mark.wording
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name,score\n", "must begin with the line date,topic"),
        (f"{HEAD}2026-03-02,hoses,1,a,yes,no\n", "line 2: no topic"),
        (f"{HEAD}2026-13-01,ends,1,a,yes,no\n", "line 2: '2026-13-01' is not a day"),
        (f"{HEAD}2026-03-02,ends,x,a,yes,no\n", "line 2: seed: must be a whole number"),
        (f"{HEAD}2026-03-02,ends,{'9' * 5000},a,yes,no\n", "line 2: seed: must be a whole number"),
        (f"{HEAD}2026-03-02,ends,1\n", "line 2: right is ''"),
        (f"{HEAD}2026-03-02,ends,1,a,y,no\n", "right is 'y'"),
    ],
)
def test_what_is_no_record_is_told(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "record.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(JobError, match=said):
        read_record(path)
