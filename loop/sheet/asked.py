"""What the findings ask to be bought, read from what they say to do: adapters, and valves."""

import re
from collections.abc import Iterator

from loop.check import CheckResult, Finding
from loop.hydraulics import Network
from loop.sheet.content import Item

_NUMBER = r"[\d./-]+(?: in| mm)"
_ADAPTER = re.compile(rf"an adapter (?P<size>{_NUMBER} to {_NUMBER})")
_PLACE = r"(?P<place>after the pump|in the branch (?:of )?[^;,]+)"
_VALVE = re.compile(
    rf"fit a (?P<size>{_NUMBER}) ball valve {_PLACE}, (?:set )?(?P<angle>\d+°) from open"
)
_ORIFICE = re.compile(rf"fit an orifice of (?P<size>K \d+ on {_NUMBER}) {_PLACE}")


def asked(result: CheckResult) -> tuple[Item, ...]:
    """Lines for what findings ask to be fitted that the job does not have; bleeds are `vents`."""
    return (*_adapters(result), *_valves(result))


def part_of(network: Network, finding: Finding) -> int | None:
    """Index of the part that a finding is about; None for one about a unit or the manifold."""
    for index, place in enumerate(network.places):
        if finding.where == place or finding.where.startswith(f"{place}, "):
            return index
    return None


def _adapters(result: CheckResult) -> Iterator[Item]:
    sizes: dict[str, int] = {}
    for finding in result.findings:
        if found := _ADAPTER.search(finding.fix):
            sizes[found["size"]] = sizes.get(found["size"], 0) + 1
    for size, count in sizes.items():
        yield Item(str(count), "adapter, proposed", size, "flat side up")


def _valves(result: CheckResult) -> Iterator[Item]:
    """One a place: of two findings that ask for a valve there, the graver one's."""
    placed: dict[str, Item] = {}
    for finding in result.findings:
        for found in _VALVE.finditer(finding.fix):
            note = f"{found['place']}, set {found['angle']} from open"
            valve = Item("1", "ball valve, proposed", f"{found['size']} port", note)
            placed.setdefault(found["place"], valve)
        for found in _ORIFICE.finditer(finding.fix):
            orifice = Item("1", "orifice, proposed", found["size"], found["place"])
            placed.setdefault(found["place"], orifice)
    yield from placed.values()
