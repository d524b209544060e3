"""A pupil's record: what comes again after 1, 3 and 7 days."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from loop.job import JobError
from loop.teach.record import Entry, due, read_record, record_text, schedule

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


@pytest.mark.wording
@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name,score\n", "begins with the line date,topic"),
        (
            "date,topic,seed,answer,right,believed\n2026-03-02,hoses,1,a,yes,no\n",
            "line 2: no topic",
        ),
        ("date,topic,seed,answer,right,believed\nlast week,ends,1,a,yes,no\n", "line 2: Invalid"),
        ("date,topic,seed,answer,right,believed\n2026-03-02,ends,1,a,y,no\n", "right is 'y'"),
    ],
)
def test_what_is_no_record_is_told(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "record.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(JobError, match=said):
        read_record(path)
