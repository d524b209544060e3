"""Files that are not a job or pump: reported in plain words, never with a traceback."""

import random
import re
import subprocess
import sys
from pathlib import Path

import pytest

from loop.job import JobError, parse_toml
from loop.wrong import wrong
from tests.command_line import EXAMPLES, GOOD, KITTIWAKE, changed, loop, told

# What a file holds, and all that is said about it.
FILES = {
    "empty": (b"", ["is empty; `loop new` writes a job to start from"]),
    "only a comment": (b"# later\n", ["is empty; `loop new` writes a job to start from"]),
    "not TOML": (
        b'title = "Petrel"\nlength = 2 ft\n',
        [
            "is not TOML: Expected newline or end of document after a statement (at line 2, "
            "column 12), which reads 'length = 2 ft'; put text and quantities in quotes"
        ],
    ),
    "no part at all": (
        b'title = "Petrel"\n',
        [
            f"{key}: {wrong('key-missing-so', example=wrong(f'example-whole-{key}'))}"
            for key in ("water", "condenser", "part")
        ],
    ),
    "tables of the wrong shape": (
        b'water = 3\npart = 7\ncondenser = { name = "a" }\n',
        [
            "water: must be a table, not 3",
            "condenser: is one table; there can be several, so write [[condenser]]",
            "part: must be a list, in [ ], not 7",
        ],
    ),
    "binary": (bytes(range(256)), ["is not UTF-8 text; save it as UTF-8"]),
    "UTF-16": ('title = "a"'.encode("utf-16"), ["is not UTF-8 text; save it as UTF-8"]),
    "a megabyte": (b"x" * 1_000_000, ["over 500 kB; a job file is a page of text"]),
    "nested without end": (b"a = " + b"[" * 5000, ["nested too deeply to be a job file"]),
}


@pytest.mark.parametrize("name", FILES)
def test_a_file_that_is_no_job_is_told(name: str, tmp_path: Path) -> None:
    content, expected = FILES[name]
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    assert told(path) == expected


def test_a_missing_file_is_told_with_its_neighbour(tmp_path: Path) -> None:
    (tmp_path / "kittiwake.toml").write_text(GOOD, "utf-8")
    assert told(tmp_path / "kitiwake.toml") == [
        f"no such file; did you mean '{tmp_path / 'kittiwake.toml'}'?"
    ]
    assert told(tmp_path / "other.toml") == ["no such file"]


def test_a_folder_is_told(tmp_path: Path) -> None:
    assert told(tmp_path) == ["is a folder; give the path of a job file"]


def test_mistakes_in_a_branch_are_told_with_its_name(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    text = (EXAMPLES / "razorbill.toml").read_text("utf-8")
    path.write_text(text.replace('label = "stateroom hose"', 'lable = "stateroom hose"'), "utf-8")
    (line,) = told(path)
    assert re.fullmatch(
        r"part \d+ \(manifold\) branch 2 \(to the stateroom\) part 1 \(hose\) lable: "
        r"unknown key; did you mean 'label'\?",
        line,
    )


PUMP = """\
name = "demo-mine"
drive = "dc"
rated_supply = "12 V"
port = "3/4 in"
[curve]
flow = { unit = "gal/h", values = [0, 100, 200, 300] }
head = { unit = "ft", values = [10, 9, 7, 3] }
"""
# What is changed in a good pump file, and all that is said about it.
PUMP_MISTAKES = {
    "not falling": (
        "[10, 9, 7, 3]",
        "[10, 9, 9.5, 3]",
        ["curve: head must fall from point to point; check for a swapped or mistyped pair"],
    ),
    "flow not rising": (
        "[0, 100, 200, 300]",
        "[0, 200, 100, 300]",
        ["curve: flow must rise from point to point"],
    ),
    "too few points": (
        "[0, 100, 200, 300]",
        "[0, 100, 200]",
        [
            "curve: head has 4 values but flow has 3",
        ],
    ),
    "no shut-off head": (
        "[0, 100, 200, 300]",
        "[50, 100, 200, 300]",
        ["curve: the first flow must be 0, so that the shut-off head is known"],
    ),
    "not a number": (
        "[10, 9, 7, 3]",
        "[10, nan, 7, 3]",
        [
            "curve: head: every value must be a finite number, zero or more",
        ],
    ),
    "wrong unit": (
        'unit = "gal/h"',
        'unit = "gal"',
        [
            "curve: flow: unit 'gal' does not fit here; "
            "units that fit: gal/h, gal/min, L/min, L/h, m^3/h"
        ],
    ),
    "frequency of a DC pump": (
        'port = "3/4 in"',
        'port = "3/4 in"\nrated_frequency = "60 Hz"',
        ['rated_frequency: a "dc" pump has none'],
    ),
    "unknown key": (
        "rated_supply",
        "rated_suply",
        [
            "rated_suply: unknown key; did you mean 'rated_supply'?",
        ],
    ),
}


@pytest.mark.parametrize("name", PUMP_MISTAKES)
def test_a_pump_file_and_a_job_that_names_it_are_told_the_same(name: str, tmp_path: Path) -> None:
    old, new, expected = PUMP_MISTAKES[name]
    pump, job = tmp_path / "mine.toml", tmp_path / "job.toml"
    pump.write_text(PUMP.replace(old, new), "utf-8")
    job.write_text(changed(("demo-ac-350", "mine.toml")), "utf-8")
    assert told(pump, "pumps") == expected
    assert told(job) == [f"part 6 (pump) curve: pump file 'mine.toml': {line}" for line in expected]


def test_a_good_pump_file_is_taken(tmp_path: Path) -> None:
    pump, job = tmp_path / "mine.toml", tmp_path / "job.toml"
    pump.write_text(PUMP, "utf-8")
    job.write_text(changed(("demo-ac-350", "mine.toml")), "utf-8")
    assert loop("pumps", pump).exit_code == 0
    assert "demo-mine " in loop("check", job).stdout


def problems_of(text: str) -> list[str]:
    """The mistakes in a job's text; none if it is valid."""
    try:
        parse_toml(text, "job.toml")
    except JobError as error:
        return error.problems
    return []


def test_random_damage_ends_in_a_job_or_in_mistakes_in_plain_words() -> None:
    random.seed(20)
    leaked = re.compile(r"Input should|type=|pydantic|Traceback|<class|Extra inputs|Field required")
    refused = 0
    for _ in range(300):
        letters = list(GOOD)
        for _ in range(random.randrange(1, 6)):
            place = random.randrange(len(letters))
            letters[place] = random.choice(['"', "", "9", "-", "]", "=", " in", "\n", "e", "°"])
        problems = problems_of("".join(letters))
        refused += bool(problems)
        for line in problems:
            assert re.match(r"job\.toml: \S", line)
            assert not leaked.search(line)
    assert refused > 100


@pytest.mark.parametrize(
    ("words", "row", "values"),
    [
        (("size", KITTIWAKE, "--draws", "many"), "not-whole", {"given": "'many'"}),
        (("size", KITTIWAKE, "--seed", "1.5"), "not-whole", {"given": "'1.5'"}),
        (("explain", KITTIWAKE, "--level", "9"), "limit-le", {"given": "'9'", "limit": 3}),
        (("explain", KITTIWAKE, "--level", "0"), "limit-ge", {"given": "'0'", "limit": 1}),
        (("quiz", "--count", "501"), "limit-le", {"given": "'501'", "limit": 500}),
        (("drill", "--seed", "-1"), "limit-ge", {"given": "'-1'", "limit": 0}),
        (("lesson", "none"), "not-whole", {"given": "'none'"}),
    ],
)
def test_a_wrong_option_is_told_as_a_wrong_value_of_a_file(
    words: tuple[object, ...], row: str, values: dict[str, object]
) -> None:
    done = loop(*words, width=200)
    assert done.exit_code == 2
    assert wrong(row, **values) in done.stderr
    assert "Input should" not in done.stderr


@pytest.mark.parametrize(
    ("closed", "words", "status"),
    [
        (">&-", f"check {KITTIWAKE}", 0),
        ("2>&-", "check nowhere.toml", 2),
        ("<&-", "drill --seed 1", 0),
        ("<&-", "quiz --seed 1", 0),
    ],
)
def test_closed_streams_are_no_traceback(closed: str, words: str, status: int) -> None:
    done = subprocess.run(
        ["sh", "-c", f"{sys.executable} -m loop {words} {closed}"],
        cwd=Path(__file__).parent.parent,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == status
    assert "Traceback" not in done.stderr


def test_what_a_terminal_would_obey_is_not_passed_on(tmp_path: Path) -> None:
    for sign in ("\\u001b[31m", "\\u0007", "\\u202e", "\\u2066"):
        path = tmp_path / "job.toml"
        path.write_text(GOOD.replace('title = "', f'title = "{sign}', 1), encoding="utf-8")
        done = loop("check", path)
        assert done.exit_code == 2
        assert f"control character U+{sign[2:6].upper()}" in done.stderr
        assert done.stderr.strip().isprintable()
    named = loop("check", tmp_path / "a\x1b[31m.toml")
    assert named.stderr.strip().isprintable()


def test_a_link_to_nowhere_is_not_proposed_for_itself(tmp_path: Path) -> None:
    link = tmp_path / "job.toml"
    link.symlink_to(tmp_path / "gone.toml")
    done = loop("check", link)
    assert done.exit_code == 2
    assert "no such file" in done.stderr
    assert "did you mean" not in done.stderr


def test_a_number_of_thousands_of_digits_is_told_plainly(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(f"x = {'9' * 5000}\n", encoding="utf-8")
    done = loop("check", path)
    assert done.stderr == f"{path}: holds a number of thousands of digits\n"
