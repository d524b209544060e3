"""Parts under the names used in the trade."""

from typing import get_args

import pytest

from loop.job import JobError, parse_job
from loop.parts import AnyPart
from loop.trade_names import _KINDS, kinds_meant
from tests.loops import changed

KINDS = [
    one.model_fields["kind"].default for one in get_args(get_args(AnyPart)[0]) if one is not None
]


@pytest.mark.parametrize(
    ("name", "asked"),
    [
        ("through-hull", "did you mean 'intake' or 'discharge'?"),
        ("Skin fitting", "did you mean 'intake' or 'discharge'?"),
        ("scoop", "did you mean 'intake'?"),
        ("ball valve", "did you mean 'seacock' or 'fitting'?"),
        ("sea strainer", "did you mean 'strainer'?"),
        ("raw-water strainer", "did you mean 'strainer'?"),
        ("strianer", "did you mean 'strainer'?"),
    ],
)
def test_a_name_of_the_trade_is_asked_about(name: str, asked: str) -> None:
    with pytest.raises(JobError) as refused:
        parse_job(changed((4, "kind", name)))
    assert f"unknown kind {name!r}; {asked}" in str(refused.value)


@pytest.mark.parametrize(
    ("part", "key", "asked"),
    [
        (3, "elevation", "to"),
        (3, "ID", "bore"),
        (3, "name", "label"),
        (1, "depth", "height"),
        (3, "bends", "sweeps"),
    ],
)
def test_a_key_under_a_name_of_the_trade_is_asked_about(part: int, key: str, asked: str) -> None:
    with pytest.raises(JobError, match=f"{key}: unknown key; did you mean {asked!r}"):
        parse_job(changed((part, key, "1 in")))


@pytest.mark.parametrize("name", ["keel-cooler", "Skin cooler", "expansion tanks"])
def test_a_part_of_a_closed_loop_is_told_to_be_one(name: str) -> None:
    with pytest.raises(JobError, match="part of a closed loop, which loop does not cover"):
        parse_job(changed((4, "kind", name)))


def test_no_name_of_the_trade_is_a_kind_of_ours() -> None:
    assert not {*_KINDS} & {*KINDS}
    assert all(kinds_meant(name, KINDS) for name in _KINDS if "siphon" not in name)
