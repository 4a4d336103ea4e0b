"""Every class has its cautions, and all of them end with whose word counts."""

from __future__ import annotations

import pytest

from moldvol.errors import RequestError
from moldvol.materials.cautions import caution, cautions_for
from moldvol.materials.resin import KINDS
from tests.bench import polyester, powder, urethane

LONGEST = 320  # letters: a caution is read at the bench, with gloves on


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_cautioned_and_the_sheet_governs(kind: str) -> None:
    said = cautions_for(urethane(kind=kind))
    assert len(said) >= 2
    assert said[-1].startswith("The product's own safety data sheet and local rules govern")
    assert all(len(text) <= LONGEST for text in said)


def test_peroxide_and_accelerator_are_kept_apart() -> None:
    assert any("Never let it touch an accelerator directly" in text for text in cautions_for(polyester()))


def test_isocyanates_are_named() -> None:
    assert "isocyanates" in cautions_for(urethane())[0]


def test_powders_bring_their_own() -> None:
    plain = cautions_for(urethane())
    dusty = cautions_for(urethane(), [powder(), powder(kind="thickener"), powder(kind="pigment"), powder(kind="metal")])
    assert set(plain) < set(dusty)
    assert set(dusty) - set(plain) == {caution("powder"), caution("metal-powder"), caution("fumed-silica")}
    assert dusty[-1] == plain[-1]


@pytest.mark.parametrize("topic", ["plaster", "pressure", "vacuum", "dust", "foam"])
def test_the_work_around_it(topic: str) -> None:
    assert caution(topic).endswith(".")


def test_nothing_claims_to_be_safe() -> None:
    everything = " ".join(text for kind in KINDS for text in cautions_for(urethane(kind=kind))).casefold()
    assert "nothing here says that a cast is fit for food, toys or medicine" in everything
    assert "is safe" not in everything


def test_an_unknown_topic_is_refused() -> None:
    with pytest.raises(RequestError, match="There is no caution on 'lightning'; there is one on amine, dust,"):
        caution("lightning")
