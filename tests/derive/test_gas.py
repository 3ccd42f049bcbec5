"""Gas in the coolant against stoichiometry and carbonate chemistry computed elsewhere."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.gas import analyser, indicator
from diagnose.derive.indicator import blue_share, exhaust_co2, indicator_ph, turning_co2
from diagnose.derive.measure import CannotJudge


def test_exhaust_co2_at_every_row(reference):
    """Source: combustion_leak.csv, complete-combustion stoichiometry, ±0.1 vol %."""
    rows = [r for r in reference("combustion_leak") if r["item"].startswith("dry CO2 / O2 at lambda")]
    assert len(rows) == 12
    for row in rows:
        lambda_ = float(row["item"].split("lambda ")[1].split(",")[0])
        fuel = "diesel" if "diesel" in row["item"] else "petrol"
        assert exhaust_co2(lambda_, fuel) == pytest.approx(float(row["value"].split("/")[0]), abs=0.1)


def test_indicator_ph_and_blue_form_at_every_row(reference):
    """Source: combustion_leak.csv, carbonate equilibrium, ±0.1 pH (Henry constant computed, first pK from memory)."""
    rows = [r for r in reference("combustion_leak") if r["item"].startswith("indicator in 1 mM")]
    assert len(rows) == 6
    for row in rows:
        co2 = float(row["item"].split("under ")[1].split(" ")[0])
        ph, blue = (float(part.split()[-1]) for part in row["value"].split(","))
        assert indicator_ph(co2) == pytest.approx(ph, abs=0.1)
        assert blue_share(ph) == pytest.approx(blue, abs=0.01)


def test_the_fluid_turns_within_its_published_range(reference):
    """Source: public pages, bromothymol blue: yellow below 6.0, green between, blue above 7.6."""
    low, high = (float(x) for x in next(r for r in reference("combustion_leak") if "blue range" in r["item"])["value"].split("-"))
    assert blue_share(high) > 0.7
    assert blue_share(low) < 0.1
    assert low < indicator_ph(turning_co2()) < high


@given(st.floats(0.05, 50), st.floats(0.1, 10))
def test_turning_co2_is_the_inverse_of_ph(co2, strength):
    """Property: inverse of forward."""
    assert turning_co2(strength, indicator_ph(co2, strength)) == pytest.approx(co2, rel=1e-9)


def test_a_loaded_petrol_engine_turns_it_and_an_idling_diesel_hardly():
    """Common practice: a petrol exhaust about 15 % CO2, an idling diesel 2 to 3 %: needs load and its own reagent."""
    petrol, diesel = (indicator("blue", f, e, blank="clear") for f, e in (("petrol", "load"), ("diesel", "idle")))
    assert petrol.ratio < 0.2
    assert 0.5 < diesel.ratio < 1
    assert indicator("blue", "diesel", "idle", blank="clear", bicarbonate_mm=0.1).ratio < diesel.ratio
    assert 2 < diesel.expected_co2 < 3


def test_a_positive_needs_a_blank_and_no_liquid():
    """A turned blank is refused; carried-over liquid leaves next to nothing; no blank weakens. common practice, no source."""
    clean = indicator("yellow", "petrol", "load", blank="clear").ratio
    assert clean > 20
    assert indicator("yellow", "petrol", "load").ratio < clean / 2
    assert indicator("yellow", "petrol", "load", blank="clear", liquid_carried=True).ratio == pytest.approx(1, abs=0.2)
    with pytest.raises(CannotJudge, match="clean air"):
        indicator("yellow", "petrol", "load", blank="turned")


@pytest.mark.parametrize("fuel", ["petrol", "diesel"])
@pytest.mark.parametrize("engine", ["idle", "load"])
def test_colours_are_a_whole_and_none_clears(fuel, engine):
    """The three colours' likelihoods sum to 1 under each; blue never excludes gas (one negative proves little)."""
    found = [indicator(c, fuel, engine, blank="clear") for c in ("blue", "green", "yellow")]
    assert sum(f.gas for f in found) == pytest.approx(1)
    assert sum(f.no_gas for f in found) == pytest.approx(1)
    assert found[0].gas > 0.05
    assert found[2].ratio > 1


def test_analyser():
    """HC alone with a smell of fuel says little; CO2 with HC that rises with load says much. common practice, no source."""
    much = analyser("petrol", "load", hc_ppm=400, co2_percent=3, rises_with_load=True)
    little = analyser("petrol", "idle", hc_ppm=400, fuel_smell=True)
    clear = analyser("petrol", "load", hc_ppm=12, co2_percent=0.06, co_percent=0.0)
    assert much.ratio > 50
    assert 1 < little.ratio < 3
    assert 0.02 < clear.ratio < 0.3
    assert any("HC alone" in n for n in little.notes)
    assert any("liquid" in n for n in much.notes)


@given(st.floats(0, 10), st.floats(0.0, 0.02))
def test_analyser_has_no_cliff(co2, step):
    """Property: 0.02 % of CO2 never moves the odds by more than a third; more CO2 never argues against gas."""
    a, b = (analyser("petrol", "load", co2_percent=x).ratio for x in (co2, co2 + step))
    assert a * 0.999 <= b <= a * 1.34


@pytest.mark.parametrize(
    "call",
    [
        lambda: analyser("petrol", "load"),
        lambda: analyser("petrol", "load", co2_percent=60),
        lambda: analyser("steam", "load", co2_percent=1),
        lambda: indicator("pink", "petrol", "load"),
        lambda: exhaust_co2(0.5, "petrol"),
        lambda: exhaust_co2(1.0, "steam"),
        lambda: indicator_ph(0.0),
        lambda: turning_co2(100),
    ],
)
def test_refused_outside_the_range(call):
    """Nothing read, impossible figures, unknown words."""
    with pytest.raises(CannotJudge):
        call()


def test_what_the_room_holds_is_taken_off():
    """400 ppm HC in a room of 390 ppm is a clean neck; in clean air it is not."""
    foul, clean = (analyser("petrol", "load", hc_ppm=400, room_hc_ppm=room).ratio for room in (390, 10))
    assert foul < 1 < clean


def test_gases_that_come_together_do_not_multiply():
    """HC, CO2 and CO of one whiff: more than the clearest alone, less than the product."""
    one = {"hc_ppm": 400.0}, {"co2_percent": 3.0}, {"co_percent": 1.0}
    alone = [analyser("petrol", "load", **kind).ratio for kind in one]
    together = analyser("petrol", "load", hc_ppm=400, co2_percent=3, co_percent=1).ratio
    assert max(alone) < together < alone[0] * alone[1] * alone[2] / 10
