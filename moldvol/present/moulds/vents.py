"""How air that stays in a mould is told, and how rigid moulds come off: shared by moulds to make and moulds to fill."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from moldvol.geometry.moulding.levels import AirPocket
from moldvol.geometry.moulding.orientation import Vector
from moldvol.geometry.moulding.undercuts import Release, Split
from moldvol.present import numbers
from moldvol.present.numbers import Units
from moldvol.present.report import Row, Table
from moldvol.quantities import MM_PER_INCH

MOST_SHOWN = 12
AXIS_COSINE = 0.9999  # a direction within a degree of an axis is told as that axis
LEAST_DEPTH_MM = 1.0  # a pocket shallower than this is rubbed or shaken out, not vented: common practice, no source
COMES_OFF = 0.005  # of the surface: less is the grain of sampling and a rough mesh


def way(direction: Vector) -> str:
    """A direction of the mesh: an axis by its name, else as it is typed.

    >>> way((0, 0, -1.0)), way((0.57735, -0.57735, 0.57735))
    ('-z', '0.58,-0.58,0.58')
    """
    for axis, along in zip("xyz", direction, strict=True):
        if abs(along) > AXIS_COSINE:
            return f"{'+' if along > 0 else '-'}{axis}"
    return ",".join(numbers.significant(round(along, 2) + 0.0, 2) for along in direction)


def worth_a_vent(pockets: Sequence[AirPocket]) -> tuple[AirPocket, ...]:
    """Those of *pockets* that are deep enough to be drilled for."""
    return tuple(pocket for pocket in pockets if pocket.depth_mm >= LEAST_DEPTH_MM)


def shallow_pockets(pockets: Sequence[AirPocket], units: Units) -> tuple[str, ...]:
    """A remark on those that are not worth a vent."""
    left_out = len(pockets) - len(worth_a_vent(pockets))
    if not left_out:
        return ()
    are = "is left out: it wants" if left_out == 1 else "are left out: they want"
    return (f"{_counted(left_out)} less than {numbers.length(LEAST_DEPTH_MM, units)} deep {are} no vent.",)


def _counted(pockets: int) -> str:
    return "1 pocket" if pockets == 1 else f"{pockets} pockets"


def vents_table(pockets: Sequence[AirPocket], units: Units) -> Table | None:
    """Where vents belong, the largest pocket first; none where no air stays."""
    if not pockets:
        return None
    rows = tuple(
        (
            str(number),
            numbers.place(pocket.at_mm),
            room(pocket.volume_mm3, units),
            numbers.length(pocket.depth_mm, units),
        )
        for number, pocket in enumerate(pockets[:MOST_SHOWN], start=1)
    )
    return Table(("vent", "at", "frees", "air deep"), rows, frozenset({2, 3}))


def more_pockets(pockets: Sequence[AirPocket]) -> tuple[str, ...]:
    """A remark where the table does not show them all."""
    more = len(pockets) - MOST_SHOWN
    return (f"… and {more} smaller {'one' if more == 1 else 'ones'}.",) if more > 0 else ()


def air_row(volume_mm3: float, error_mm3: float, pockets: Sequence[AirPocket], units: Units) -> Row:
    """How much air stays, and in how many places."""
    if not pockets:
        return Row("Air stays", "none")
    doubt = f", ± {room(error_mm3, units, 2)}" if error_mm3 > 5e-3 * volume_mm3 else ""
    return Row("Air stays", room(volume_mm3, units), f"in {places(len(pockets))}{doubt}", "strong")


def room(mm3: float, units: Units, digits: int = 3) -> str:
    """A small volume for the column of a table, never in two units.

    >>> room(582.1, Units.METRIC), room(582.1, Units.US)
    ('0.582 ml', '0.0355 in³')
    """
    if units is Units.US:
        return f"{numbers.significant(mm3 / MM_PER_INCH**3, digits)} in³"
    return f"{numbers.significant(mm3 / 1000, digits)} ml"


def places(count: int) -> str:
    """A number of places.

    >>> places(1), places(3)
    ('1 place', '3 places')
    """
    return "1 place" if count == 1 else f"{count} places"


def release_rows(freed: Release, best: Release | None, splits: Sequence[Split], units: Units) -> tuple[Row, ...]:
    """How rigid moulds in one part come off a master, and in two parts along each of *splits* that is better."""
    rows = [Row("One rigid part", held_back(freed), f"pulled off towards {way(freed.pull)}")]
    if best is not None and best.undercut_share < freed.undercut_share - COMES_OFF:
        rows.append(Row("Best pull", held_back(best), f"towards {way(best.pull)}"))
    for number, split in enumerate(splits):
        if number == 0 or split.undercut_share < splits[0].undercut_share - COMES_OFF:
            label = "Two rigid parts" if number == 0 else "Better parted"
            rows.append(Row(label, held_back(split), f"pulled apart along {way(split.pull)}"))
    if freed.worst_at_mm is not None and freed.undercut_share > COMES_OFF:
        rows.append(held_around(freed.worst_at_mm, freed.undercut_mm2, units))
    return tuple(rows)


def held_around(at_mm: Sequence[float], undercut_mm2: float, units: Units) -> Row:
    """The midst of the surface that holds a rigid mould, and how much there is of it in all."""
    return Row("Held around", numbers.place(at_mm), f"the midst of {numbers.area(undercut_mm2, units)} that hold it")


def held_back(found: Release | Split) -> str:
    """How much of the surface holds a rigid mould."""
    if found.undercut_share <= COMES_OFF:
        return "comes off"
    return f"{100 * found.undercut_share:.0f} % of the surface holds it"


def air_json(pockets: Sequence[AirPocket]) -> list[dict[str, Any]]:
    """The ``pockets`` of the contract."""
    return [
        {
            "at_mm": pocket.at_mm,
            "volume_mm3": pocket.volume_mm3,
            "volume_error_mm3": pocket.volume_error_mm3,
            "depth_mm": pocket.depth_mm,
        }
        for pocket in pockets
    ]


def release_json(freed: Release | None) -> dict[str, Any] | None:
    """A one-part rigid mould, and how it comes off."""
    if freed is None:
        return None
    return {
        "pull": freed.pull,
        "undercut_share": freed.undercut_share,
        "undercut_share_error": freed.error_share,
        "undercut_mm2": freed.undercut_mm2,
        "undraughted_share": freed.undraughted_share,
        "worst_at_mm": freed.worst_at_mm,
    }


def split_json(split: Split | None) -> dict[str, Any] | None:
    """Two rigid halves, and how they come off."""
    if split is None:
        return None
    return {
        "pull": split.pull,
        "undercut_share": split.undercut_share,
        "undercut_share_error": split.error_share,
        "undercut_mm2": split.undercut_mm2,
        "parting_mm": split.parting_mm,
        "misplaced_share": split.misplaced_share,
    }
