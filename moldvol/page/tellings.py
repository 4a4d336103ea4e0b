"""What each tab tells of the part: the same plans and the same sheets as the command line's, by the knobs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from moldvol.page.tell_cast import plan_holds, plan_part, plan_solid
from moldvol.page.tell_heat import plan_of_heat
from moldvol.page.tell_hollow import plan_of_hollow, plan_side_by_side
from moldvol.page.tell_mould import plan_of_mould
from moldvol.page.told import Plan, Question

PLANS: Mapping[str, Callable[[Question], Plan]] = MappingProxyType({
    "part": plan_part,
    "solid": plan_solid,
    "hollow": plan_of_hollow,
    "side": plan_side_by_side,
    "holds": plan_holds,
    "mould": plan_of_mould,
    "heat": plan_of_heat,
})  # fmt: skip
