"""What the search over pumps asks about options; each answer is worked out by itself."""

from collections.abc import Mapping

from loop.records import dataclass
from loop.size.bore_search import BoreLists
from loop.size.describe import describe_option
from loop.size.fit_choice import with_choice
from loop.size.option_flows import FlowSolver, OptionFlows
from loop.size.option_search import FIRST_TARGET, Candidate, OptionSearch
from loop.size.options import Choice
from loop.size.result import Option
from loop.size.rules import Rules

KnownFlows = Mapping[Choice, OptionFlows]


@dataclass(frozen=True)
class Answer:
    """An option, described if it has a check, and what was found on the way to it."""

    choice: Choice
    option: Option | None
    flows: KnownFlows
    checked: frozenset[Choice]

    @property
    def passes(self) -> bool:
        """Whether the option has a check that finds nothing wrong."""
        return self.option is not None and self.option.passes


def flows(rules: Rules, choices: tuple[Choice, ...]) -> KnownFlows:
    """The flows of options."""
    solver = FlowSolver(rules.job, {})
    for number, choice in enumerate(choices):
        if choice not in solver:
            solver.ahead(choices[number:])
        solver(choice)
    return solver.known


def option(rules: Rules, choice: Choice, known: OptionFlows, detailed: bool) -> Answer:
    """An option as it is, whose flows are known; described even if they rule it out."""
    search = OptionSearch(rules, {choice: known})
    described = describe_option(rules, search.candidate(choice), detailed)
    return Answer(choice, described, {}, frozenset(search.checked))


def adjusted(
    rules: Rules, choice: Choice, lists: BoreLists, known: KnownFlows, detailed: bool
) -> Answer:
    """An option adjusted in size until it passes, within limits; `known` are flows found before."""
    search = OptionSearch(rules, known)
    return _answer(search, search.adjusted(choice, lists, not detailed), detailed)


def pair(rules: Rules, kit: Choice, lists: BoreLists, detailed: bool) -> Answer:
    """Two pumps in the smallest hoses that work, or in the best hoses if flow rules all out."""
    search = OptionSearch(rules)
    short = search.hopeless(kit, lists)
    if short is not None:
        return _answer(search, search.candidate(short), detailed)
    walk = search.bore_search
    bores, reached = walk.enlarged(kit, lists, walk.start_bores(lists), FIRST_TARGET)
    if not search.ruled_out(kit.with_bores(bores)):
        bores = walk.reduced(kit, lists, bores, reached)
    return _answer(search, search.adjusted(kit.with_bores(bores), lists, not detailed), detailed)


def chances(rules: Rules, choice: Choice, short: bool) -> tuple[float, ...]:
    """The chance that each unit gets its water; `short` where it seems that none does."""
    return rules.chances.unit_chances(with_choice(rules.job, choice), short)


def _answer(search: OptionSearch, found: Candidate, detailed: bool) -> Answer:
    described = describe_option(search.rules, found, detailed) if found.judged else None
    return Answer(found.choice, described, search.flows.known, frozenset(search.checked))
