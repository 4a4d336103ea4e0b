"""What is kept of a run: histories of a few places, and for every cell when it gelled and how hot it became."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from moldvol.casting.heat.cells import Cells, Floats, Indices


@dataclass(frozen=True, slots=True, eq=False)
class Moment:
    """The state after a step: temperature of all n cells, conversion of the r resin cells, heat lost so far."""

    time_s: float
    temperature_c: Floats
    conversion: Floats
    lost_j: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Course:
    """What happened. Histories are (steps + 1,); ``gel_s`` (r,) is infinite where a cell had not gelled by the end.

    ``skin_c`` is the mean over the resin's surface, ``face_c`` the hottest place where mould touches resin.
    ``peak_cell`` is the cell that became hottest, ``highest_c`` (n,) the most each became. ``balance_error`` is
    |released − stored − lost| as a share of the larger of the heat released and the heat that crossed the surface or
    is stored.
    """

    time_s: Floats
    core_c: Floats
    skin_c: Floats
    face_c: Floats
    core_conversion: Floats
    mean_conversion: Floats
    peak_c: float
    peak_cell: int
    peak_s: float
    face_peak_c: float
    face_peak_s: float
    gel_s: Floats
    core_gel_s: float
    skin_gel_s: float
    highest_c: Floats
    last: Moment
    released_j: float
    stored_j: float
    lost_j: float

    @property
    def balance_error(self) -> float:
        """How far the heat balance is from closing, as a share."""
        moved = max(abs(self.released_j), abs(self.stored_j), abs(self.lost_j))
        return abs(self.released_j - self.stored_j - self.lost_j) / moved if moved > 0 else 0.0


def _summit_s(time_s: Floats, height: Floats) -> float:
    """When the curve is highest: the parabola through the highest point and its neighbours."""
    top = int(np.argmax(height))
    if not 0 < top < len(height) - 1:
        return float(time_s[top])
    before, after = time_s[top] - time_s[top - 1], time_s[top + 1] - time_s[top]
    rise, fall = (height[top] - height[top - 1]) / before, (height[top + 1] - height[top]) / after
    bend = (fall - rise) / (before + after)
    return float(time_s[top] - ((rise + bend * before) / (2 * bend) if bend < 0 else 0.0))


class Recorder:
    """Takes in every moment of a run."""

    def __init__(self, cells: Cells, gel_conversion: float, start: Moment) -> None:
        self.cells, self.gel_conversion = cells, gel_conversion
        self.resin: Indices = cells.resin
        self._where = np.full(len(cells.heat_j), -1)
        self._where[self.resin] = np.arange(len(self.resin))
        heat = cells.heat_j[self.resin]
        # without a mould the resin's own skin is its face; a body without resin has its core only
        self._surface = cells.skin if len(cells.skin) else np.array([cells.core])
        self._weight = heat / heat.sum() if len(heat) else heat
        self.gel_s = np.full(len(self.resin), np.inf)
        self.highest_c = start.temperature_c.copy()
        self.start = self.last = start
        self.peak_c, self.peak_cell = -np.inf, cells.core
        self.face_peak_c, self.face_peak_s = -np.inf, start.time_s
        self.hottest_c = -np.inf
        self._rows: list[tuple[float, ...]] = []
        self._note(start)

    @property
    def all_gelled(self) -> bool:
        """Whether no liquid is left."""
        return bool(np.isfinite(self.gel_s).all())

    @property
    def any_gelled(self) -> bool:
        """Whether any place has gelled."""
        return bool(np.isfinite(self.gel_s).any())

    @property
    def core_gelled(self) -> bool:
        """Whether the deepest cell has gelled."""
        return bool(np.isfinite(self.gel_s[self._where[self.cells.core]]))

    @property
    def mean_conversion(self) -> float:
        """Conversion of the resin as a whole, weighted by heat."""
        return self._rows[-1][5]

    def add(self, moment: Moment) -> None:
        """Take in the next moment."""
        self._note_gel(moment)
        np.maximum(self.highest_c, moment.temperature_c, out=self.highest_c)
        self.last = moment
        self._note(moment)

    def _note_gel(self, moment: Moment) -> None:
        before = self.last
        new = np.flatnonzero((moment.conversion >= self.gel_conversion) & ~np.isfinite(self.gel_s))
        low, high = before.conversion[new], moment.conversion[new]
        share = (self.gel_conversion - low) / np.maximum(high - low, 1e-300)
        self.gel_s[new] = before.time_s + share * (moment.time_s - before.time_s)

    def _note(self, moment: Moment) -> None:
        temperature = moment.temperature_c
        if len(self.resin):
            hottest = int(self.resin[np.argmax(temperature[self.resin])])
            self.hottest_c = float(temperature[hottest])
            if self.hottest_c > self.peak_c:
                self.peak_c, self.peak_cell = self.hottest_c, hottest
        face = self.cells.contact.temperatures_c(temperature)
        self.face_c = float((face if len(face) else temperature[self._surface]).max())
        if self.face_c > self.face_peak_c:
            self.face_peak_c, self.face_peak_s = self.face_c, moment.time_s
        self._rows.append((*self._row(moment, face), self.hottest_c))

    def _row(self, moment: Moment, face: Floats) -> tuple[float, ...]:
        core = float(moment.temperature_c[self.cells.core])
        if not len(self.resin):
            return (moment.time_s, core, core, core, 0.0, 0.0)
        skin = float(face.mean()) if len(face) else float(moment.temperature_c[self.cells.skin].mean())
        # not numpy.dot: its threads cost more than they save on vectors this short
        mean = float((moment.conversion * self._weight).sum())
        return (moment.time_s, core, skin, self.face_c, float(moment.conversion[self._where[self.cells.core]]), mean)

    def course(self) -> Course:
        """All that was seen."""
        cells, last = self.cells, self.last
        gained = np.asarray(last.conversion - self.start.conversion)
        time, core, skin, face, core_conversion, mean_conversion, hottest = np.array(self._rows).T
        skin_gel = self.gel_s[self._where[cells.skin]]
        return Course(
            time_s=time, core_c=core, skin_c=skin, face_c=face,
            core_conversion=core_conversion, mean_conversion=mean_conversion,
            peak_c=self.peak_c, peak_cell=self.peak_cell, peak_s=_summit_s(time, hottest),
            face_peak_c=self.face_peak_c, face_peak_s=self.face_peak_s,
            gel_s=self.gel_s,
            core_gel_s=float(self.gel_s[self._where[cells.core]]) if len(self.resin) else np.inf,
            skin_gel_s=float(np.median(skin_gel)) if len(skin_gel) else np.inf,
            highest_c=self.highest_c,
            last=last,
            released_j=float((cells.heat_j[self.resin] * gained).sum()),
            stored_j=float((cells.capacity_j_k * (last.temperature_c - self.start.temperature_c)).sum()),
            lost_j=last.lost_j,
        )  # fmt: skip
