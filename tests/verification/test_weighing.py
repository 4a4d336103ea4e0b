"""Scales against the tables of legal metrology, and errors of ratios worked out by hand.

Table 6 of OIML R 76-1 stands word for word in Directive 2014/31/EU, annex I, table 3, and in the United Kingdom's
Non-automatic Weighing Instruments (EEC Requirements) Regulations 1995, schedule 2, paragraph 4.
"""

from __future__ import annotations

from functools import partial

from moldvol.materials.weighing.scales import AccuracyClass, Scale
from moldvol.materials.weighing.weighing_error import ratio_error, weighed_ratio_error
from tests.verification.checks import Check, Grade, Group, rel
from tests.verification.held import each_holds

TABLE_6 = "OIML R 76-1:2006, table 6"
IN_SERVICE = "twice those at verification: Directive 2014/31/EU, annex I, 4.2"
GUM = "JCGM 100:2008 (GUM), 5.1.6: relative errors of a quotient add in squares, or at worst as they are"
EXACT = rel(1e-9)

printed = partial(Check, grade=Grade.PRINTED, allowed=EXACT)
by_hand = partial(Check, grade=Grade.ARITHMETIC)


def permissible(grade: AccuracyClass, half: int, one: int) -> tuple[Check, Check]:
    """*half* and *one*: the last loads, in e of 1 g, at which 0.5 e and 1 e are allowed."""
    new = Scale(readability_g=1.0, accuracy_class=grade, newly_verified=True)
    used = Scale(readability_g=1.0, accuracy_class=grade)
    loads = (0, half, half + 1, one, one + 1)
    return (
        printed(
            name=f"class {grade}, permissible error at verification of {', '.join(f'{load:,}' for load in loads)} e",
            source=TABLE_6,
            expected=(0.5, 0.5, 1.0, 1.0, 1.5),
            unit="e",
            got=lambda: [new.permissible_error_g(load) for load in loads],
        ),
        printed(
            name=f"class {grade}, permissible error in service of {half:,}, {one:,} and {one + 1:,} e",
            source=IN_SERVICE,
            expected=(1.0, 2.0, 3.0),
            unit="e",
            got=lambda: [used.permissible_error_g(load) for load in (half, one, one + 1)],
        ),
    )


def lower_limit(grade: AccuracyClass, interval_g: float, least_g: float) -> Check:
    return printed(
        name=f"class {grade}, e of {interval_g:g} g: lower limit of capacity",
        source="OIML R 76-1:2006, table 3",
        expected=least_g,
        unit="g",
        got=lambda: Scale(readability_g=interval_g, accuracy_class=grade).least_load_g,
    )


def errors_of_ratio(name: str, masses_g: tuple[float, float], error_g: float, likely: float, worst: float) -> Check:
    def percents() -> tuple[float, float]:
        error = ratio_error(masses_g, (error_g, error_g))
        return 100 * error.root_sum_square, 100 * error.worst

    first_g, second_g = masses_g
    return by_hand(
        name=f"{name}, {first_g:g} g to {second_g:g} g, each ± {error_g:g} g: likely and worst error of the ratio",
        source=GUM,
        expected=(likely, worst),
        unit="%",
        got=percents,
        allowed=rel(1e-3),
    )


NEW_CLASS_III = Scale(readability_g=1.0, accuracy_class="III", newly_verified=True)
LOADS_G = (20, 50, 500, 1000, 2000, 2500)

GROUP = Group(
    "Weighing",
    __doc__,
    (
        *permissible("I", 50_000, 200_000),
        *permissible("II", 5_000, 20_000),
        *permissible("III", 500, 2_000),
        *permissible("IIII", 50, 200),
        printed(
            name="class III in service at 500, 2,000 and 4,000 divisions",
            source="NIST Handbook 44, scales, table 6, maintenance tolerance",
            expected=(1, 2, 3),
            unit="divisions",
            got=lambda: [
                Scale(readability_g=1.0, accuracy_class="III").permissible_error_g(load) for load in (500, 2000, 4000)
            ],
        ),
        lower_limit("I", 0.001, 0.1),
        lower_limit("II", 0.01, 0.2),
        lower_limit("II", 0.1, 5.0),
        lower_limit("III", 1.0, 20.0),
        lower_limit("IIII", 5.0, 50.0),
        by_hand(
            name="class III, e of 1 g, at verification: relative error of 20, 50, 500, 1,000, 2,000 and 2,500 g",
            source="OIML R 76-1:2006, table 6, divided by the load",
            expected=(2.5, 1.0, 0.1, 0.1, 0.05, 0.06),
            unit="%",
            got=lambda: [100 * NEW_CLASS_III.permissible_error_g(load) / load for load in LOADS_G],
            allowed=EXACT,
        ),
        errors_of_ratio("silicone", (200, 10), 0.5, 5.006, 5.25),
        errors_of_ratio("silicone", (200, 10), 0.05, 0.5006, 0.525),
        errors_of_ratio("one to one", (50, 50), 0.5, 1.414, 2.0),
        errors_of_ratio("one to one", (50, 50), 0.05, 0.1414, 0.2),
        errors_of_ratio("polyester and 1 % of peroxide", (150, 1.5), 0.5, 33.335, 33.667),
        errors_of_ratio("polyester and 1 % of peroxide", (150, 1.5), 0.005, 0.33335, 0.33667),
        by_hand(
            name="4 g and 4 g on a kitchen scale in steps of 1 g without a class mark: worst error of the ratio",
            source="± 1 g in service and ± 0.5 g of display are 1.5 of 4 g; a tared second part, read twice, 2 of 4 g",
            expected=0.875,
            got=lambda: weighed_ratio_error((4, 4), (4, 4), Scale(readability_g=1.0)).worst,
            allowed=rel(1e-6),
        ),
    ),
)
test_weighing = each_holds(GROUP)
