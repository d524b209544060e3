"""The loop with some of its hoses in another bore."""

from collections.abc import Sequence

from loop.check.remedy import resized, with_parts
from loop.check.subject import Subject
from loop.hydraulics import Network, build
from loop.parts import AnyPart, Hose


def rehosed(subject: Subject, indices: Sequence[int], bore: float) -> Network:
    """The network with these hoses in `bore` [m], barbs in proportion."""
    hoses = {id(subject.network.parts[index]) for index in indices}

    def change(part: AnyPart) -> AnyPart:
        return resized(part, bore) if id(part) in hoses and isinstance(part, Hose) else part

    return build(with_parts(subject.job, change))
