"""What a loop has of the parts that a step speaks of, so that none is named that is not there."""

from loop.records import dataclass
from loop.words.template import fill


@dataclass(frozen=True)
class Has:
    """Whether there are a seacock and a strainer before the pump, a bleed after it, valves in
    branches; a check valve after the pump, through which nothing is filled backwards; a stream to
    be seen, of an outlet above the water; and whether the pump stands above the waterline
    (``{high}``, else ``{low}``), where none runs to it."""

    seacock: bool = True
    strainer: bool = True
    bleed: bool = True
    valves: bool = True
    check_valve: bool = False
    stream: bool = True
    high: bool = False

    def text(self, row: str) -> str:
        """A row with its blanks: ``{bleed}`` is there with a bleed, ``{no_bleed}`` without.

        >>> Has(bleed=False).text("on [the {bleed} or ]a tee")
        'on a tee'
        """
        parts = {"seacock": self.seacock, "strainer": self.strainer, "bleed": self.bleed}
        parts |= {"valves": self.valves, "check_valve": self.check_valve, "stream": self.stream}
        values = {
            name if there else f"no_{name}": name.replace("_", " ") * there
            for name, there in parts.items()
        }
        return fill(row, values | {"high" if self.high else "low": ""}, "us")


ALL = Has()
