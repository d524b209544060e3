"""The quiz: right answers are right, wrong ones wrong, and every topic can be asked for."""

import math
import re

import numpy as np
import pytest
from typer.testing import CliRunner

from loop.cli import app
from loop.hydraulics.clearing import clearing_froude
from loop.teach.question import AnswerError, Question, mixed
from loop.teach.quiz import TOPICS, about, questions
from loop.units import System, convert, parse

SEEDS = range(12)


def ask(topic: str, seed: int, system: System = "us") -> Question:
    return questions(1, seed, [topic], system)[0]


def numbers(text: str) -> list[float]:
    """Every number in a text, mixed fractions read as such."""
    found = re.findall(r"(?:\d+-)?\d+/\d+|-?[\d,]*\d(?:\.\d+)?", text)
    return [_number(one) for one in found]


def _number(text: str) -> float:
    if "/" not in text:
        return float(text.replace(",", ""))
    whole, _, rest = text.rpartition("-")
    top, bottom = rest.split("/")
    return float(whole or 0) + float(top) / float(bottom)


@pytest.mark.parametrize("topic", TOPICS)
@pytest.mark.parametrize("system", ["us", "si"])
def test_the_right_answer_is_right_and_another_is_not(topic: str, system: System) -> None:
    for seed in SEEDS:
        question = ask(topic, seed, system)
        assert "nan" not in question.text + question.why
        if question.choices:
            assert len(question.choices) >= 2
            for letter, _ in question.lettered:
                right = letter == question.right_answer[0]
                assert question.judge(letter) is right
                assert question.judge(letter.upper() + ")") is right
        else:
            shown = convert(question.number, question.quantity, system) if question.quantity else 0
            shown = shown or question.number
            assert question.judge(f"{shown:.6g}")
            assert not question.judge(f"{shown * 1.2 + 2:.6g}")
            assert question.judge(question.right_answer)


@pytest.mark.parametrize("topic", TOPICS)
def test_the_same_seed_asks_the_same_in_either_system(topic: str) -> None:
    for seed in SEEDS:
        us, si = ask(topic, seed), ask(topic, seed, "si")
        assert us == ask(topic, seed)
        assert us.right == si.right or not us.choices
        if us.quantity and topic != "bucket":  # each system has its own bucket
            assert us.number == pytest.approx(si.number, rel=1e-9)


def test_different_seeds_ask_differently() -> None:
    assert len({ask("start", seed).text for seed in SEEDS}) > len(SEEDS) / 2


@pytest.mark.parametrize("seed", SEEDS)
def test_loss_goes_with_the_square_of_flow(seed: int) -> None:
    lost, before, after = numbers(ask("doubled-flow", seed).text)
    found = convert(ask("doubled-flow", seed).number, "head", "us")
    # The flows are printed whole: half a gallon an hour of 150 is a third of a percent.
    assert found == pytest.approx(lost * (after / before) ** 2, rel=0.01)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_bucket_and_the_ton(seed: int) -> None:
    gallons, seconds = numbers(ask("bucket", seed).text)
    assert convert(ask("bucket", seed).number, "flow", "us") == pytest.approx(
        3600 * gallons / seconds
    )
    cooling, per_ton = numbers(ask("needed-flow", seed).text)
    needed = convert(ask("needed-flow", seed).number, "flow", "us")
    assert needed == pytest.approx(cooling / 12000 * per_ton)


@pytest.mark.parametrize("seed", SEEDS)
def test_affinity_laws(seed: int) -> None:
    question = ask("affinity", seed)
    rated, full, supply = numbers(question.text)
    power = {"flow": 1, "head": 2, "power": 3}[question.quantity]
    answer = convert(question.number, question.quantity, "us")
    assert answer == pytest.approx(full * (supply / rated) ** power, rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_blockage_and_gauge(seed: int) -> None:
    (percent,) = numbers(ask("dirty-strainer", seed).text)
    assert ask("dirty-strainer", seed).number == pytest.approx((1 - percent / 100) ** -2)
    (head,) = numbers(ask("gauge", seed).text)
    psi = convert(ask("gauge", seed).number, "pressure", "us")
    assert psi == pytest.approx(head / 2.31 * 1.025, rel=0.005)  # fresh water: 2.31 ft a psi


@pytest.mark.parametrize("seed", SEEDS)
def test_the_hose_chosen_is_the_smallest_that_is_slow_enough(seed: int) -> None:
    question = ask("hose-size", seed)
    flow, limit = numbers(question.text)
    cubic_feet = parse(f"{flow} gal/h", "flow") / 0.3048**3
    speeds = {}
    for choice in question.choices:
        (inches,) = numbers(choice)
        speeds[inches] = cubic_feet / (math.pi / 4 * (inches / 12) ** 2)
    fitting = min(inches for inches, speed in speeds.items() if speed <= limit * 1.01)
    assert numbers(question.choices[question.right]) == [fitting]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_hose_swept_is_the_largest_that_is_fast_enough(seed: int) -> None:
    question = ask("swept-hose", seed)
    slope, flow = numbers(question.text)
    limit = float(clearing_froude(math.radians(slope))[1])
    fast = []
    for choice in question.choices:
        (inches,) = numbers(choice)
        bore = inches * 0.0254
        speed = parse(f"{flow} gal/h", "flow") / (math.pi / 4 * bore**2)
        if speed / math.sqrt(9.80665 * bore) > limit:
            fast.append(inches)
    assert numbers(question.choices[question.right]) == [max(fast)]


@pytest.mark.parametrize("topic", ["trapped-air", "bleed-place"])
@pytest.mark.parametrize("seed", SEEDS)
def test_air_sits_at_a_point_with_lower_ones_on_both_sides(topic: str, seed: int) -> None:
    question = ask(topic, seed)
    listed = re.search(
        r"pump (.*?) in, B (.*?) in, C (.*?) in, D (.*?) in, discharge", question.text
    )
    assert listed
    pump, b, c, d = (float(height) for height in listed.groups())
    heights = {"B": (pump, b, c), "C": (b, c, d), "D": (c, d, 5.0)}
    right = question.choices[question.right].split()[-1]
    before, here, after = heights[right]
    assert here > before
    assert here > after


@pytest.mark.parametrize("seed", SEEDS)
def test_start_head_adds_the_drop_behind_the_first_crest(seed: int) -> None:
    first, low, second = numbers(ask("start", seed).text)
    needed = convert(ask("start", seed).number, "height", "us")
    assert needed == pytest.approx(max(first, second + first - low))


@pytest.mark.parametrize("seed", SEEDS)
def test_heat_balance_and_its_reverse(seed: int) -> None:
    heat, flow, gallon = numbers(ask("heat-balance", seed).text)
    # A pound of sea water takes up 0.95 BTU a °F, and a gallon of it weighs 8.55 lb (1025 kg/m³).
    assert gallon == pytest.approx(0.955 * 8.55, rel=0.01)
    rise = convert(ask("heat-balance", seed).number, "temperature_difference", "us")
    assert rise == pytest.approx(heat / (flow * gallon), rel=0.01)
    heat, flow, litre = numbers(ask("heat-balance", seed, "si").text)
    rise = ask("heat-balance", seed, "si").number
    assert rise == pytest.approx(heat / (flow / 60 * litre), rel=0.01)
    full, before, after = numbers(ask("flow-from-rise", seed).text)
    now = convert(ask("flow-from-rise", seed).number, "flow", "us")
    assert now == pytest.approx(full * before / after, rel=0.02)


def test_no_topic_comes_twice_before_each_has_come_once() -> None:
    asked = questions(len(TOPICS), 4)
    assert {question.topic for question in asked} == set(TOPICS)


def test_every_topic_says_what_it_asks() -> None:
    assert all(len(about(topic)) > 10 for topic in TOPICS)


def test_an_unknown_topic_is_told_with_those_that_are() -> None:
    with pytest.raises(LookupError, match=r"no topic 'hoses'; topics: doubled-flow"):
        questions(1, 0, ["hoses"])


def test_an_answer_that_cannot_be_read_says_what_would_be_right() -> None:
    with pytest.raises(AnswerError, match="a letter, a to"):
        ask("hose-size", 0).judge("z")
    with pytest.raises(AnswerError, match="a number in gal/h, or with a unit of your own"):
        ask("needed-flow", 0).judge("plenty")
    with pytest.raises(AnswerError, match="answer with a number"):
        ask("dirty-strainer", 0).judge("twice")


def test_a_number_may_have_its_own_unit() -> None:
    question = ask("needed-flow", 0)
    litres = convert(question.number, "flow", "si")
    assert question.judge(f"{litres:.3f} L/min")
    assert not question.judge(f"{litres:.3f}")


def test_choices_that_read_alike_are_offered_once() -> None:
    choices, right = mixed(np.random.default_rng(0), "1 ft", ["2 ft", "1 ft", "2 ft"])
    assert sorted(choices) == ["1 ft", "2 ft"]
    assert choices[right] == "1 ft"


def test_the_command_asks_judges_and_counts() -> None:
    question = ask("bucket", 3)
    answer = f"{convert(question.number, 'flow', 'us'):.1f}"
    command = ["quiz", "--topic", "bucket", "--seed", "3", "--count", "2"]
    done = CliRunner().invoke(app, command, input=f"hm\n{answer}\nq\n")
    assert done.exit_code == 0
    assert "Answer with a number in gal/h" in done.output
    assert "Right." in done.output
    assert "1 right of 1 answered." in done.output


def test_the_command_ends_well_at_the_end_of_its_input() -> None:
    done = CliRunner().invoke(app, ["quiz", "--seed", "1"], input="")
    assert done.exit_code == 0
    assert "0 right of 0 answered." in done.output


def test_the_command_lists_topics_and_tells_an_unknown_one() -> None:
    listed = CliRunner().invoke(app, ["quiz", "--list"])
    assert all(topic in listed.output for topic in TOPICS)
    assert CliRunner().invoke(app, ["quiz", "--topic", "x"]).exit_code == 2
