"""Actions that work, as offers for a finding: what each brings and what it leaves."""

from collections.abc import Sequence
from dataclasses import replace

from loop.check.drafts import Draft
from loop.check.too_fast import barely_too_fast
from loop.records import dataclass
from loop.words import Action, Finding

# Maintenance and the dividing of water: cheap, and the flow is measured afterward.
_CHEAP_KINDS = ("set-valve", "fit-valve", "fit-orifice", "clean-strainer", "clean-grate", "descale",
           "set-supply")  # fmt: skip
# Findings that ask for a value that the file leaves out.
_ASKING_CODES = ("rise-unstated", "place-unstated", "limit-unstated")


@dataclass(frozen=True)
class Offer:
    """An action that works; the lesser findings that it brings; the flows that it leaves.

    ``worsens``: findings already present that get worse: water that is too fast, faster still.
    """

    action: Action
    brings: tuple[Draft, ...]
    worsens: tuple[Draft, ...]
    flows: dict[str, float]

    @property
    def has_drawbacks(self) -> bool:
        """Whether what it brings puts it behind an action that brings nothing.

        Water barely over its limit is reported, but is no reason for another pump.
        """
        cheap = all(step.kind in _CHEAP_KINDS for step in self.action.steps)
        return bool(self.worsens) or (bool(self._serious) and not (cheap and self.only_marginal))

    @property
    def only_marginal(self) -> bool:
        """Whether it brings too little margin and nothing else.

        Valves and maintenance with too little margin come before more work with full margin, which
        is bought once the margin is measured: common practice.
        """
        return {one.code for one in self._serious} == {"flow-marginal"}

    @property
    def asks_for_values(self) -> bool:
        """Whether it brings what the file is to say, which is no reason to buy something."""
        return any(one.code in _ASKING_CODES for one in self.brings)

    @property
    def _serious(self) -> list[Draft]:
        return [
            one
            for one in self.brings
            if not barely_too_fast(one.values) and one.code not in _ASKING_CODES
        ]


def finding_with_actions(finding: Finding, offers: Sequence[Offer]) -> Finding:
    """A finding with its actions, and for each the unit's resulting flow and what it brings."""
    if not offers:
        return finding
    offers = list({offer.action: offer for offer in offers}.values())  # each once
    values = dict(finding.values)
    if finding.at.unit is not None:
        values["after"] = tuple(offer.flows[finding.at.unit] for offer in offers)
    for name in ("brings", "worsens"):
        drafts = [getattr(offer, name) for offer in offers]
        if any(drafts):
            values[name] = tuple(" ".join(dict.fromkeys(d.code for d in some)) for some in drafts)
    return replace(finding, values=values, actions=tuple(offer.action for offer in offers))
