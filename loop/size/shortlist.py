"""The options of a sizing, of which only those are checked that may come first or explain it.

An option's flows bound what its check can find (`loop.size.promise`). Options are checked in order
of the best that each may be, until none that is left can come before those found: the result is
that of checking all of them.
"""

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from loop.size.describe import describe_option
from loop.size.option_flows import OptionFlows
from loop.size.option_questions import Answer, option
from loop.size.option_search import OptionSearch
from loop.size.options import Choice
from loop.size.processes import Asked
from loop.size.progress import Step
from loop.size.promise import Promise, promise
from loop.size.rank import (
    Key,
    failing_key,
    kit_of,
    least_objectives,
    nearest,
    objectives,
    passing_keys,
    ranked,
)
from loop.size.result import Option
from loop.size.words import by_bores, neighbors

# Of the options that flow alone rules out, how many of the nearest are reported.
_MAX_SHORT = 40


class Shortlist:
    """The options of a search, the loop as it stands first.

    Unless `detailed`, they are described as far as needed to compare those that pass. ``step`` is
    called at each check; ``passed_over`` counts options that are not reported at all.
    """

    def __init__(self, search: OptionSearch, detailed: bool, step: Step) -> None:
        self.search, self.detailed = search, detailed
        self.passed_over = 0
        self.step = step
        self._kept: list[tuple[Key, Option]] | None = None
        present = search.present_loop()
        self._found: dict[Choice, Option | Promise] = {
            present.choice: describe_option(search.rules, present, detailed)
        }

    @property
    def options(self) -> list[Option]:
        """The options that are checked."""
        return [one for one in self._found.values() if isinstance(one, Option)]

    @property
    def passing(self) -> list[Option]:
        """The options that are checked and pass, best first."""
        return [one for _, one in self._ranked]

    @property
    def _ranked(self) -> list[tuple[Key, Option]]:
        """The same with their keys."""
        if self._kept is None:
            passing = [one for one in self.options if one.passes]
            keys = passing_keys(passing, least_objectives(passing))
            self._kept = sorted(zip(keys, passing, strict=True), key=lambda pair: pair[0])
        return self._kept

    @property
    def waiting(self) -> list[Promise]:
        """The options that are not checked."""
        return [one for one in self._found.values() if isinstance(one, Promise)]

    @property
    def unchecked(self) -> list[Promise]:
        """The options that may pass and are not checked."""
        return [one for one in self.waiting if one.may_pass]

    def wait(self, flows: Mapping[Choice, OptionFlows]) -> None:
        """Add options of which the flows are known."""
        self.search.note(flows, frozenset())
        for choice, known in flows.items():
            if choice not in self._found:
                self._found[choice] = promise(self.search.job, choice, known)

    def note(self, answer: Answer) -> None:
        """Add an option that is checked, unless it is the loop as it stands."""
        self.search.note(answer.flows, answer.checked)
        if answer.option is None:
            self.wait({answer.choice: answer.flows[answer.choice]})
        elif not self.search.is_present_loop(answer.choice):
            self.replace([answer.option])

    def replace(self, options: Iterable[Option]) -> None:
        """Add options that are checked, or state more about them."""
        self._kept = None
        self._found |= {one.choice: one for one in options}

    def pass_over_short(self) -> None:
        """Leave out all but the nearest of the options that flow alone rules out."""
        short = [one for one in self.waiting if self.search.ruled_out(one.choice)]
        short.sort(key=lambda one: -min(one.flows.flow_ratios))
        for one in short[_MAX_SHORT:]:
            del self._found[one.choice]
            self.passed_over += 1

    def check(self, wanted: Callable[[Promise], bool], in_order: Sequence[Promise]) -> None:
        """Check options in order, each if it is still `wanted` then."""
        rules = self.search.rules

        def ask(one: Promise) -> Asked[Answer]:
            return rules.ask_once(option, one.choice, one.flows, self.detailed)

        for one, answer in rules.processes.in_order(ask, filter(wanted, in_order)):
            if wanted(one):
                self.note(answer())
                self.step()

    def check_all(self) -> list[Option]:
        """Every option, checked."""
        self.check(lambda _: True, self.waiting)
        return self.options

    def ranked(self, count: int) -> tuple[Option, ...]:
        """The options that are checked, in order; no other comes before the first `count`."""
        self._settle_passing(count)
        place = count - len(self.passing) - 1

        def may_be_among(one: Promise) -> bool:
            failing = sorted(failing_key(other) for other in self.options if not other.passes)
            return len(failing) <= place or failing_key(one) <= failing[place]

        if place >= 0:
            self.check(may_be_among, sorted(self.waiting, key=failing_key))
        return ranked(self.options)

    def _settle_passing(self, count: int) -> None:
        """Check until the first `count` that pass are known."""
        self._settle_least()

        def may_be_among(key: Key, _: Promise) -> bool:
            return len(self._ranked) < count or key <= self._ranked[count - 1][0]

        self._check_by_rank(may_be_among)

    def best_first(self) -> Iterator[Option]:
        """The options that pass, in order of rank."""
        for count in itertools.count():
            self._settle_passing(count + 1)
            if count == len(self.passing):
                return
            yield replace(self.passing[count], rank=count + 1)

    def settle_first(self, has: Callable[[Option | Promise], object]) -> None:
        """Check until it is known which comes first of those that pass and have a property.

        Of an option that waits `has` tells whether it may have the property.
        """

        def may_be_first(key: Key, one: Promise) -> bool:
            before = itertools.takewhile(lambda pair: pair[0] < key, self._ranked)
            return bool(has(one)) and not any(has(other) for _, other in before)

        self._check_by_rank(may_be_first)

    def settle_nearest(
        self, count: int, has: Callable[[Option | Promise], object] = lambda _: True
    ) -> None:
        """Check until the first `count` of those `nearest` to passing are known.

        Of those with a property that are known to fail, by their flows or a check. Of a pump's
        options that are short of water, and wrong in nothing else, that with the most is nearest.
        """

        def may_be_among(one: Promise) -> bool:
            found = nearest(ranked(filter(has, self.options)))
            same = [other for other in found if kit_of(other.choice) == kit_of(one.choice)]
            return not any(map(_is_only_short, same)) and all(
                failing_key(one) <= failing_key(other)
                for other in (*same, *found[count - 1 : count])
            )

        failing = [one for one in self.waiting if not one.may_pass and has(one)]
        self.check(may_be_among, sorted(failing, key=failing_key))

    def settle_neighbors(self, first: Option) -> None:
        """Check what differs from an option in one bore, each way up to the first that fails."""
        for _, run in neighbors(first.choice, self._found):
            for _, choice in run:
                one = self._found.get(choice)
                if isinstance(one, Promise):
                    self.check(lambda _: True, [one])
                other = by_bores(ranked(self.options)).get(choice)
                if other is not None and not other.passes:
                    break

    def _settle_least(self) -> None:
        """Check what may have the least power, price or bore of all that pass."""
        for at in (1, 2, 3):

            def may_be_least(one: Promise, at: int = at) -> bool:
                least = min((_objective(at, other) for other in self.passing), default=math.inf)
                return _objective(at, one) < least

            rest = sorted(self.unchecked, key=objectives)
            self.check(may_be_least, sorted(rest, key=partial(_objective, at)))

    def _check_by_rank(self, wanted: Callable[[Key, Promise], bool]) -> None:
        """Check options that may pass in order of the first rank they may have, if `wanted`."""
        rest = self.unchecked
        keys = passing_keys(rest, least_objectives(self.passing))
        key_of = {one.choice: key for one, key in zip(rest, keys, strict=True)}
        rest.sort(key=lambda one: key_of[one.choice])
        self.check(lambda one: wanted(key_of[one.choice], one), rest)


def _is_only_short(option: Option) -> bool:
    short = any(unit.flow < unit.needed_flow for unit in option.units)
    return short and len(option.reasons) == 1


def _objective(number: int, one: Option | Promise) -> float:
    return objectives(one)[number]
