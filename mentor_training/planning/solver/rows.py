"""A linear program put together row by row, as the solver wants it; pure."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
from scipy.optimize import LinearConstraint
from scipy.sparse import csr_array

Indices = npt.NDArray[np.int64]
Numbers = npt.NDArray[np.float64]


@dataclass
class Rows:
    """Rows of a linear program; each group of rows is added at once, by the row of each entry within it."""

    entries: list[tuple[Indices, Indices, Numbers]] = field(default_factory=list)
    lower: list[Numbers] = field(default_factory=list)
    upper: list[Numbers] = field(default_factory=list)
    count: int = 0

    def add(self, parts: list[tuple[Indices, Indices, Numbers | float]], lower: Numbers, upper: Numbers) -> None:
        """Add as many rows as there are bounds; each part has the row within the group, the column, and the number."""
        for rows, columns, numbers in parts:
            values = np.broadcast_to(np.asarray(numbers, dtype=np.float64), rows.shape)
            self.entries.append((rows + self.count, columns, values))
        self.lower.append(lower)
        self.upper.append(upper)
        self.count += len(lower)

    def at_most(self, parts: list[tuple[Indices, Indices, Numbers | float]], upper: Numbers) -> None:
        """Add rows with an upper bound alone."""
        self.add(parts, np.full(len(upper), -np.inf), upper)

    def constraint(self, width: int) -> LinearConstraint:
        """Return them as the solver takes them."""
        rows, columns, numbers = (np.concatenate(parts) for parts in zip(*self.entries, strict=True))
        matrix = csr_array((numbers, (rows, columns)), shape=(self.count, width))
        return LinearConstraint(matrix, np.concatenate(self.lower), np.concatenate(self.upper))
