"""The bounds of figures in a shelf file: what no material of this world has is a slip of the finger."""

from __future__ import annotations

from typing import Annotated

import msgspec

Above0 = Annotated[float, msgspec.Meta(gt=0)]
NotNegative = Annotated[float, msgspec.Meta(ge=0)]
Percent = Annotated[float, msgspec.Meta(gt=0, lt=100)]
# A density of 1100 is one in kg/m³; osmium, the densest of all, has 22.6.
Density = Annotated[float, msgspec.Meta(gt=0, le=25)]
Celsius = Annotated[float, msgspec.Meta(ge=-50, le=500)]
Text = Annotated[str, msgspec.Meta(min_length=1)]
Grades = dict[str, str]
