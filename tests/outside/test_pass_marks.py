"""What judges propose, against numpy and scipy, which compute the same: numpy.mean, numpy.std and numpy.var with one
degree of freedom less (ddof=1), and scipy.stats.sem.

W. H. Angoff, Scales, norms, and equivalent scores, in R. L. Thorndike (ed.), Educational Measurement, 2nd ed., American
Council on Education, 1971 (from memory), gives the method in words and a footnote, and no worked table.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import sem

from mentor_training.learning.rules.pass_mark import Sheet, proposal

# Five judges of six items.
PANEL = [
    (85, 70, 95, 60, 90, 75),
    (80, 65, 90, 55, 95, 70),
    (90, 80, 100, 70, 85, 80),
    (75, 60, 95, 50, 90, 65),
    (95, 75, 90, 65, 100, 85),
]


def held_to_numpy(panel: Sequence[tuple[int, ...]]) -> None:
    """Compare everything that is proposed with what the two libraries say."""
    table = np.array(panel) / 100
    ours = proposal([Sheet(f"Judge {at}", percents) for at, percents in enumerate(panel)])
    means = table.mean(axis=1)
    assert [float(one) for one in ours.judges] == pytest.approx(means.tolist(), abs=1e-12)
    assert float(ours.whole.mean) == pytest.approx(float(means.mean()), abs=1e-12)
    assert ours.whole.spread == pytest.approx(float(means.std(ddof=1)), abs=1e-7)
    assert ours.whole.standard_error == pytest.approx(float(sem(means)), abs=1e-7)
    assert [float(one.mean) for one in ours.items] == pytest.approx(table.mean(axis=0).tolist(), abs=1e-12)
    assert [float(one.variance or 0) for one in ours.items] == pytest.approx(
        table.var(axis=0, ddof=1).tolist(), abs=1e-12
    )


def test_five_judges_of_six_items() -> None:
    """A panel of the usual size."""
    held_to_numpy(PANEL)


@given(
    st.integers(1, 12).flatmap(
        lambda items: st.lists(st.tuples(*[st.integers(0, 100)] * items), min_size=2, max_size=8)
    )
)
def test_any_panel_of_two_judges_or_more(panel: list[tuple[int, ...]]) -> None:
    """To twelve places; a spread near 0 to seven, since numpy's own sums are not exact."""
    held_to_numpy(panel)
