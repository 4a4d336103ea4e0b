"""Conduction over a step far longer than the plain explicit scheme bears, without solving equations.

Method: the second-order Runge-Kutta-Legendre scheme RKL2 (Meyer, Balsara, Aslam, J. Comput. Phys. 257, 2014, 594): s
stages reach (s² + s − 2)/4 times the explicit limit. Its stages keep sharp starts free of the ringing of a trapezoidal
rule.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, sqrt

import numpy as np
from scipy import sparse

from moldvol.casting.heat.cells import Cells, Floats

MOST_STAGES = 99  # 2,475 explicit steps in one: a thin slow coat needs them, a part never does


@dataclass(frozen=True, slots=True, eq=False)
class Conductor:
    """dy/dt = matrix · y + source, where y is the n temperatures and, last, the heat lost to the air in J.

    The loss rides along as one more unknown, so each step's account closes to rounding if the faces do.
    ``explicit_limit_s`` is the longest stable step of the plain explicit scheme.
    """

    matrix: sparse.csr_matrix
    source: Floats
    explicit_limit_s: float

    @classmethod
    def of(cls, cells: Cells) -> Conductor:
        """The conductor of *cells*, with their film to the air."""
        per_capacity = 1 / cells.capacity_j_k
        inner = sparse.diags_array(per_capacity) @ (cells.exchange_w_k - sparse.diags_array(cells.film_w_k))
        # Gershgorin: no eigenvalue exceeds twice the largest diagonal entry
        limit_s = float(1 / np.max(-inner.diagonal()))
        loss = sparse.csr_matrix(cells.film_w_k[None, :])
        matrix = sparse.vstack([sparse.hstack([inner, sparse.csr_matrix((len(per_capacity), 1))]),
                                sparse.hstack([loss, sparse.csr_matrix((1, 1))])])  # fmt: skip
        source = np.append(cells.film_w * per_capacity, -cells.film_w.sum())
        return cls(sparse.csr_matrix(matrix), source, limit_s)

    @property
    def longest_step_s(self) -> float:
        """The longest step the scheme takes."""
        return self.explicit_limit_s * _reach(MOST_STAGES)

    def rate(self, state: Floats) -> Floats:
        """(n + 1,): dy/dt."""
        return np.asarray(self.matrix @ state + self.source)

    def after(self, state: Floats, seconds: float, heating: Floats | float = 0.0) -> Floats:
        """(n + 1,): y *seconds* later, with *heating* (n + 1,) on top of dy/dt all the while."""
        heated = Conductor(self.matrix, self.source + heating, self.explicit_limit_s)
        return _rkl2(heated, state, seconds, _stages_for(seconds / self.explicit_limit_s))


def _reach(stages: int) -> float:
    return (stages**2 + stages - 2) / 4


def _stages_for(explicit_steps: float) -> int:
    # an odd number of stages damps the fastest modes best
    stages = max(3, ceil((sqrt(9 + 16 * explicit_steps) - 1) / 2))
    return stages + 1 - stages % 2


def _weight(j: int) -> float:
    return 1 / 3 if j < 2 else (j * j + j - 2) / (2 * j * (j + 1))


def _rkl2(conductor: Conductor, start: Floats, seconds: float, stages: int) -> Floats:
    """Stages as in the paper's equations 16 and 17; letters there: μ, ν, γ."""
    w1 = 4 / (stages**2 + stages - 2)
    first_change = seconds * conductor.rate(start)
    before, now = start, start + _weight(1) * w1 * first_change
    for j in range(2, stages + 1):
        mu = (2 * j - 1) / j * _weight(j) / _weight(j - 1)
        nu = -(j - 1) / j * _weight(j) / _weight(j - 2)
        mu_tilde = mu * w1
        gamma = -(1 - _weight(j - 1)) * mu_tilde
        change = conductor.rate(now)
        change *= mu_tilde * seconds
        change += mu * now
        change += nu * before
        change += (1 - mu - nu) * start
        change += gamma * first_change
        before, now = now, change
    return now
