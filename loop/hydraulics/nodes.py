"""Heads of the joints of a linear network: lines of known ease between joints and the sea."""

import numpy as np

from loop.curve import Array
from loop.hydraulics.network import Network


def joint_drops(network: Network, ease: Array, known: Array) -> Array:
    """Head of the joint before each line less that of the one after, where joints balance.

    Parameters
    ----------
    network : Network
    ease : array, shape (n, lines)
        Flow that a metre of head drives through each line [m²/s], 0 or more.
    known : array, shape (n, lines)
        Flow of each line with every joint at no head [m³/s].

    Returns
    -------
    array, shape (n, lines)
        Head [m]; 0 throughout where there are no joints.
    """
    if not network.joints:
        return np.zeros_like(ease)
    heads = np.zeros((len(ease), network.joints + 2))
    heads[:, :-2] = _joint_heads(network, ease, known)
    # The sea's two places, -1 and -2, are the last two columns: at no head.
    return heads[:, network.starts] - heads[:, network.ends]


def _joint_heads(network: Network, ease: Array, known: Array) -> Array:
    """Heads of the joints [m], shape (n, joints), at which what comes in goes out."""
    n, joints = len(ease), network.joints
    between, outside = np.zeros((n, joints, joints)), np.zeros((n, joints))
    right = np.zeros((n, joints))
    for i, line in enumerate(network.lines):
        a, b = line.start, line.end
        if a >= 0:
            right[:, a] -= known[:, i]
        if b >= 0:
            right[:, b] += known[:, i]
        if a >= 0 and b >= 0:
            between[:, a, b] += ease[:, i]
            between[:, b, a] += ease[:, i]
        else:  # where there are joints, every line meets one
            outside[:, max(a, b)] += ease[:, i]
    return _eliminated(between, outside, right)


def _eliminated(between: Array, outside: Array, right: Array) -> Array:
    """Potentials of nodes joined `between` each other and to the `outside`, which has none.

    Gauss elimination that keeps the two kinds of link apart, so that nothing is ever subtracted:
    walls of 1e17 beside open lines would leave a plain elimination nothing but rounding
    (Grassmann, Taksar & Heyman, Oper. Res. 33 (1985) 1107, for the like sums of Markov chains).
    """
    joints = right.shape[1]
    whole = np.empty_like(right)
    for k in reversed(range(joints)):
        linked = outside[:, k] + between[:, k, :k].sum(axis=1)
        # A joint that only shut lines reach has no head of its own; any number will do.
        whole[:, k] = np.where(linked > 0, linked, 1.0)
        share = between[:, :k, k] / whole[:, k, None]
        between[:, :k, :k] += share[:, :, None] * between[:, None, k, :k]
        outside[:, :k] += share * outside[:, k, None]
        right[:, :k] += share * right[:, k, None]
    heads = np.empty_like(right)
    for k in range(joints):
        known = np.einsum("nj,nj->n", between[:, k, :k], heads[:, :k])
        heads[:, k] = (right[:, k] + known) / whole[:, k]
    return heads
