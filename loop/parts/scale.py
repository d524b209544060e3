"""Scale in a condenser tube, which narrows and insulates it: one model for every command."""

from loop.parts.friction import Numbers

# Loss versus bore at constant flow, in turbulent flow in a smooth tube, f ~ Re^−0.2 (Blasius-type
# law, any fluid-mechanics textbook): V² f/D ~ D^(−4 −1 +0.2).
BORE_EXPONENT = 4.8
# Thermal conductivity of carbonate scale [W/(m K)], from memory.
CONDUCTIVITY = 2.0
# Overall heat transfer coefficient of a clean seawater condenser [W/(m² K)], and the bore of its
# tube if the job gives none [m]: engineering estimates.
CLEAN_U = 2500.0
TUBE_BORE = 0.014


def narrowing(share: Numbers) -> Numbers:
    """Factor on the loss at constant flow of a bore reduced by `share` of it, 0 to below 1.

    >>> round(narrowing(0.25), 2)
    3.98
    """
    factor: Numbers = (1.0 - share) ** -BORE_EXPONENT
    return factor


def insulation(thickness: Numbers) -> Numbers:
    """Thermal resistance of scale of `thickness` [m], as a share of the clean condenser's.

    t/k over 1/U; the tube's wall is thin, so its inner and outer areas are taken as equal.

    >>> insulation(0.0004)
    0.5
    """
    return thickness / CONDUCTIVITY * CLEAN_U
