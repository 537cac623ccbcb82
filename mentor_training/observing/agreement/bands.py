"""The words of Landis and Koch for a coefficient of agreement; pure."""

from __future__ import annotations

from enum import StrEnum


class Band(StrEnum):
    """What Landis and Koch call the strength of agreement (Biometrics 1977;33:159-174)."""

    POOR = "poor"
    SLIGHT = "slight"
    FAIR = "fair"
    MODERATE = "moderate"
    SUBSTANTIAL = "substantial"
    ALMOST_PERFECT = "almost perfect"


# The paper writes .00-.20, .21-.40 and so on, and leaves open what lies between. Here a band reaches to its upper edge,
# that edge included, and whatever is above belongs to the next: a rule of this program.
UPPER_EDGES = (
    (0.2, Band.SLIGHT),
    (0.4, Band.FAIR),
    (0.6, Band.MODERATE),
    (0.8, Band.SUBSTANTIAL),
    (1.0, Band.ALMOST_PERFECT),
)


def band(coefficient: float | None) -> Band | None:
    """Return the word for a coefficient, None where it is not defined."""
    if coefficient is None:
        return None
    # Rounded, because 0.2 computed in binary fractions may come out a hair above 0.2.
    rounded = round(coefficient, 9)
    if rounded < 0:
        return Band.POOR
    return next(word for edge, word in UPPER_EDGES if rounded <= edge)
