"""Which parts a loop has, so that no step names a part that is not there."""

from loop.records import dataclass
from loop.words.template import fill


@dataclass(frozen=True)
class Has:
    """Parts of a loop: seacock and strainer before the pump, bleed after it, branch valves; a check
    valve after the pump, which stops filling backwards; a visible stream, from an outlet above the
    water; whether the pump is above the waterline (``{high}``, else ``{low}``), where no water runs
    to it by itself; and whether each outlet under water has a seacock (else ``{open_outlet}``).
    ``{sea_shut}`` has a value where seacocks keep the sea out of an open line, else ``{sea_open}``.
    """

    seacock: bool = True
    strainer: bool = True
    bleed: bool = True
    valves: bool = True
    check_valve: bool = False
    stream: bool = True
    high: bool = False
    outlets_shut: bool = True

    def text(self, row: str) -> str:
        """Fill a row: ``{bleed}`` has a value with a bleed, ``{no_bleed}`` without.

        >>> Has(bleed=False).text("on [the {bleed} or ]a tee")
        'on a tee'
        """
        parts = {"seacock": self.seacock, "strainer": self.strainer, "bleed": self.bleed}
        parts |= {"valves": self.valves, "check_valve": self.check_valve, "stream": self.stream}
        values = {
            name if there else f"no_{name}": name.replace("_", " ") * there
            for name, there in parts.items()
        }
        shut = self.seacock and self.outlets_shut
        found = ["high" if self.high else "low", "sea_shut" if shut else "sea_open"]
        found += ["open_outlet"] * (self.seacock and not shut)
        return fill(row, values | dict.fromkeys(found, ""), "us")


ALL = Has()
