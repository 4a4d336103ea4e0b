"""Bodies inside bodies, and bodies through bodies: what is material, what is void, what was counted twice.

The rule is positive fill: a place is material where more outward-facing than inward-facing skins surround it.
Two solids in the same place are one; a skin facing inward within a solid is a void.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from moldvol.geometry.mesh import Floats, Mesh
from moldvol.geometry.soundness.booleans import common, from_kernel, less, to_kernel, united
from moldvol.geometry.triangles import measures

if TYPE_CHECKING:
    from moldvol.geometry.soundness.booleans import KernelSolid

# Bodies below this share of the largest are specks: counted and listed, not searched for overlaps.
SPECK_SHARE = 1e-4
# More significant bodies than this make the pairwise search long and the file a scene, not a part.
MOST_COMPARED_BODIES = 400
_SAME = 1e-6  # relative: volumes closer than this are one volume to the kernel's own tolerance


class Role(Enum):
    """What a body's skin bounds."""

    SOLID = "solid"
    VOID = "void"
    BURIED = "solid within a solid"


@dataclass(frozen=True, slots=True, eq=False)
class Shell:
    """One closed skin: ``mesh`` faces outward when ``sign`` is +1, inward (a void's skin) when −1."""

    mesh: Mesh
    volume_mm3: float
    area_mm2: float
    largest_mm2: float  # of its triangles
    sign: int
    parts: frozenset[int]
    parent: int | None = None
    role: Role = Role.SOLID

    @classmethod
    def of(cls, mesh: Mesh, parts: frozenset[int] = frozenset()) -> Shell:
        """The skin with its enclosed volume (never negative) and the way it faces."""
        sizes = measures(mesh)
        volume, sign = abs(sizes.signed_volume_mm3), 1 if sizes.signed_volume_mm3 >= 0 else -1
        return cls(mesh, volume, sizes.area_mm2, sizes.largest_mm2, sign, parts)

    @property
    def signed_volume_mm3(self) -> float:
        """The volume, negative for a skin that faces inward."""
        return self.sign * self.volume_mm3

    def outward(self) -> Mesh:
        """The skin turned to face outward."""
        return self.mesh if self.sign > 0 else self.mesh.flipped()

    def turned(self) -> Shell:
        """The skin inside out."""
        return replace(self, mesh=self.mesh.flipped(), sign=-self.sign)


@dataclass(frozen=True, slots=True)
class Nest:
    """Shells with parents and roles resolved, and what resolving them changed."""

    shells: tuple[Shell, ...]
    inside_out: int = 0
    counted_twice_mm3: float = 0.0
    counted_twice_at_mm: tuple[float, float, float] | None = None
    unresolved: bool = False


def nest(shells: list[Shell], *, inner_are_voids: bool = False) -> Nest:
    """Parents, roles and unions of *shells*.

    *inner_are_voids* reads every skin within a solid as a void by depth, whatever way it faces, for files that lost
    their orientation.
    """
    shells = sorted(shells, key=lambda shell: -shell.volume_mm3)
    about = np.mean([shell.mesh.bounds.mean(axis=0) for shell in shells[:50]], axis=0)
    finder = _Relations(shells, about)
    shells = [replace(shell, parent=finder.parent(i)) for i, shell in enumerate(shells)]
    shells, inside_out = _roots_outward(shells)
    if inner_are_voids:
        shells = _alternating(shells)
    shells, twice, where, unresolved = _united(shells, finder, about)
    return Nest(tuple(_with_roles(shells)), inside_out, twice, where, unresolved)


class _Relations:
    """Who is inside whom, and who crosses whom, among shells sorted by falling volume."""

    def __init__(self, shells: list[Shell], about: Floats) -> None:
        self.kernel: dict[int, KernelSolid | None] = {}
        self._shells, self._about = shells, about
        self.crossing: list[tuple[int, int, float]] = []
        self._parent: dict[int, int] = {}
        self._search()

    def parent(self, index: int) -> int | None:
        return self._parent.get(index)

    def _search(self) -> None:
        boxes = np.array([shell.mesh.bounds for shell in self._shells])
        largest = self._shells[0].volume_mm3
        compared = [i for i, s in enumerate(self._shells) if s.volume_mm3 > SPECK_SHARE * largest]
        compared = compared[:MOST_COMPARED_BODIES]
        for inner in range(len(self._shells)):
            if len(self._shells) > MOST_COMPARED_BODIES and inner >= MOST_COMPARED_BODIES:
                break
            for outer in reversed(compared):  # smallest first, so that the first that contains is the parent
                if (
                    outer < inner
                    and np.all(boxes[outer, 0] <= boxes[inner, 1])
                    and np.all(boxes[inner, 0] <= boxes[outer, 1])
                ):
                    self._relate(inner, outer)

    def _relate(self, inner: int, outer: int) -> None:
        shared = self._shared_volume(inner, outer)
        own = self._shells[inner].volume_mm3
        if shared >= own * (1 - _SAME):
            # An exact copy is an overlap, not a body within a body.
            if self._shells[outer].volume_mm3 <= own * (1 + _SAME) and self._same_way(inner, outer):
                self.crossing.append((inner, outer, shared))
            else:
                self._parent.setdefault(inner, outer)
        elif shared > own * _SAME:
            self.crossing.append((inner, outer, shared))

    def _same_way(self, inner: int, outer: int) -> bool:
        return self._shells[inner].sign == self._shells[outer].sign

    def solid(self, index: int) -> KernelSolid | None:
        if index not in self.kernel:
            self.kernel[index] = to_kernel(self._shells[index].outward(), self._about)
        return self.kernel[index]

    def _shared_volume(self, inner: int, outer: int) -> float:
        one, other = self.solid(inner), self.solid(outer)
        if one is not None and other is not None:
            shared = common(one, other)
            if shared is not None:
                return float(shared.volume())
        return self._shells[inner].volume_mm3 * _share_inside(self._shells[inner].mesh, self._shells[outer].outward())


def _share_inside(mesh: Mesh, container: Mesh) -> float:
    """Share of the vertices of *mesh* inside *container*, by generalised winding number (Jacobson et al. 2013)."""
    import igl  # only for bodies that the kernel refuses

    points = mesh.vertices[:: max(1, len(mesh.vertices) // 500)].astype(np.float64)
    winding = igl.fast_winding_number(
        np.ascontiguousarray(container.vertices, dtype=np.float64), container.faces.astype(np.int64), points
    )
    return float(np.mean(np.asarray(winding) > 0.5))


def _roots_outward(shells: list[Shell]) -> tuple[list[Shell], int]:
    """Turn every tree of shells whose root faces inward; a mirrored file turns all of them."""
    root = [i if shell.parent is None else -1 for i, shell in enumerate(shells)]
    for i, shell in enumerate(shells):  # parents are larger, so they come first
        if shell.parent is not None:
            root[i] = root[shell.parent]
    inward = [shells[r].sign < 0 for r in root]
    turned = [shell.turned() if flip else shell for shell, flip in zip(shells, inward, strict=True)]
    return turned, sum(flip and shell.parent is None for shell, flip in zip(shells, inward, strict=True))


def _alternating(shells: list[Shell]) -> list[Shell]:
    """Face each shell by its depth: solid, void, solid."""
    depth: list[int] = []
    faced = []
    for shell in shells:
        depth.append(0 if shell.parent is None else depth[shell.parent] + 1)
        faced.append(shell.turned() if (shell.sign > 0) == bool(depth[-1] % 2) else shell)
    return faced


def _united(
    shells: list[Shell], finder: _Relations, about: Floats
) -> tuple[list[Shell], float, tuple[float, float, float] | None, bool]:
    """Replace every group of crossing shells by their union, less the voids in them."""
    if not finder.crossing:
        return shells, 0.0, None, False
    twice, unresolved, gone = 0.0, False, {}
    made: list[Shell] = []
    for group in _groups(finder.crossing):
        union = _union_of(shells, finder, group)
        if union is None:
            unresolved = True
            continue
        before = sum(shells[i].sign * shells[i].volume_mm3 for i in group)
        mesh = from_kernel(union, about)
        whole = Shell.of(mesh, frozenset().union(*(shells[i].parts for i in group)))
        twice += before - whole.volume_mm3
        gone.update(dict.fromkeys(group, len(made)))
        outer = {shells[i].parent for i in group} - set(group)
        made.append(replace(whole, parent=outer.pop() if len(outer) == 1 else None))
    first = max(finder.crossing, key=lambda pair: pair[2])
    low = np.maximum(*(shells[i].mesh.bounds[0] for i in first[:2]))
    high = np.minimum(*(shells[i].mesh.bounds[1] for i in first[:2]))
    place = (low + high) / 2
    where = (float(place[0]), float(place[1]), float(place[2]))
    return _reparented(shells, made, gone), twice, where, unresolved


def _groups(crossing: list[tuple[int, int, float]]) -> list[list[int]]:
    """Connected groups of shells that cross each other."""
    groups: list[set[int]] = []
    for one, other, _ in crossing:
        touching = [group for group in groups if one in group or other in group]
        merged = {one, other}.union(*touching)
        groups = [group for group in groups if group not in touching] + [merged]
    return [sorted(group) for group in groups]


def _union_of(shells: list[Shell], finder: _Relations, group: list[int]) -> KernelSolid | None:
    """Outward shells of *group*, each less its own voids, as one; then less the voids that break into it."""
    solids = {i: finder.solid(i) for i in group}
    outward = [i for i in group if shells[i].sign > 0]
    own = {i: [solids[j] for j in group if shells[j].sign < 0 and shells[j].parent == i] for i in outward}
    breaking = [solids[i] for i in group if shells[i].sign < 0 and shells[i].parent not in outward]
    return less(united([less(solids[i], own[i]) for i in outward]), breaking)


def _reparented(shells: list[Shell], made: list[Shell], gone: dict[int, int]) -> list[Shell]:
    """The shells that stay and the unions in one list, largest first, with parents pointing into it."""
    entries = [(("kept", i), shell) for i, shell in enumerate(shells) if i not in gone]
    entries += [(("made", k), shell) for k, shell in enumerate(made)]
    entries.sort(key=lambda entry: -entry[1].volume_mm3)
    place = {key: position for position, (key, _) in enumerate(entries)}

    def now(parent: int | None) -> int | None:
        if parent is None:
            return None
        return place[("made", gone[parent]) if parent in gone else ("kept", parent)]

    return [replace(shell, parent=now(shell.parent)) for _, shell in entries]


def _with_roles(shells: list[Shell]) -> list[Shell]:
    """Positive fill: count skins from the outside in."""
    around: list[int] = []
    resolved = []
    for shell in shells:
        outside = 0 if shell.parent is None else around[shell.parent]
        inside = outside + shell.sign
        around.append(inside)
        changes_nothing = (inside > 0) == (outside > 0)
        role = Role.BURIED if changes_nothing else Role.SOLID if inside > 0 else Role.VOID
        resolved.append(replace(shell, role=role))
    return resolved


def labels_to_shells(mesh: Mesh, labels: NDArray[np.int32], part_of_face: NDArray[np.int32]) -> list[Shell]:
    """One shell per body label of a closed *mesh*."""
    order = np.argsort(labels, kind="stable")
    cuts = np.flatnonzero(np.diff(labels[order])) + 1
    shells = []
    for rows in np.split(order, cuts):
        used, faces = np.unique(mesh.faces[rows], return_inverse=True)
        body = Mesh(mesh.vertices[used], faces.reshape(-1, 3).astype(np.int32))
        shells.append(Shell.of(body, frozenset(np.unique(part_of_face[rows]).tolist())))
    return shells
