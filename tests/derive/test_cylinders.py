"""Compression and leakage patterns against the published rules."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.compression import compression
from diagnose.derive.cylinder_patterns import BETWEEN, CRACK, JACKET, NONE, RINGS, VALVES
from diagnose.derive.cylinders import together
from diagnose.derive.leakage import differential, leakage
from diagnose.derive.measure import CannotJudge


def best(result) -> str:
    return max(result.likelihood, key=result.likelihood.get)


def test_lowest_over_highest_at_75_percent_is_even(reference):
    """Source: US TM 5-4210-230-14&P-1 Addendum 2, lowest 75 % of highest at least."""
    limit = float(next(r for r in reference("compression_leakage") if r["item"] == "lowest / highest compression")["value"]) / 100
    at, under, over = (compression({1: 12, 2: 12 * limit * k, 3: 12, 4: 12}).even for k in (1.0, 0.8, 1.2))
    assert at == pytest.approx(0.5, abs=0.01)
    assert under < 0.05
    assert over > 0.95


def test_two_adjacent_low_and_oil_no_help_is_the_gasket(reference):
    """Source: US TM 5-4210-230-14&P-1 Addendum 2."""
    rule = next(r for r in reference("compression_leakage") if r["item"].startswith("two adjacent"))
    assert rule["value"] == "suspect head gasket"
    result = compression({1: 12, 2: 6, 3: 6.2, 4: 12.1}, wet={2: 6.2, 3: 6.3})
    assert best(result) == BETWEEN
    assert result.likelihood[VALVES] > 0.05  # two adjacent low also means valves or timing: common practice, no source
    assert result.pairs == ((2, 3),)


def test_oil_helps_is_rings_and_oil_no_help_is_not():
    """Source: US TM 5-4210-230-14&P-1 Addendum 2 (note: oil helps, rings; not, valves)."""
    helped = compression({1: 12, 2: 7, 3: 12, 4: 12}, wet={2: 10})
    not_helped = compression({1: 12, 2: 7, 3: 12, 4: 12}, wet={2: 7.1})
    assert best(helped) == RINGS
    assert best(not_helped) == VALVES


def test_neighbours_follow_the_banks():
    """Cylinders 1 and 2 of a V engine, numbered across, share no gasket; 1 and 3 do."""
    banks = [[1, 3, 5], [2, 4, 6]]
    readings = dict.fromkeys(range(1, 7), 12.0)
    assert compression({**readings, 1: 6, 2: 6}, banks=banks).pairs == ()
    assert compression({**readings, 1: 6, 3: 6}, banks=banks).pairs == ((1, 3),)


def test_an_unmeasured_cylinder_stands_between():
    """Cylinders 1 and 3 low, 2 not measured: not neighbours; and a cylinder outside the banks is refused."""
    assert compression({1: 6, 3: 6, 4: 12, 5: 12}).pairs == ()
    with pytest.raises(CannotJudge, match="banks"):
        compression({1: 12, 2: 12}, banks=[[1]])


def test_even_wear_needs_the_limit():
    """All equal and below the maker's limit: not "no pattern"; without a limit it cannot be seen, and that is said."""
    low = dict.fromkeys(range(1, 5), 7.0)
    assert best(compression(low)) == NONE
    assert any("limit" in n for n in compression(low).notes)
    assert best(compression(low, limit_bar=9, wet=dict.fromkeys(low, 9.5))) == RINGS
    assert best(compression(low, limit_bar=9, wet=dict.fromkeys(low, 7.1))) == VALVES


def test_diesel_wet_readings_are_left_out_with_a_caution():
    """No wet test on a diesel: common practice, no source. What was done is heard, not used."""
    dry = {1: 25.0, 2: 15.0, 3: 25.0, 4: 25.0}
    wet = compression(dry, fuel="diesel", wet={2: 24.0})
    assert wet.likelihood == compression(dry, fuel="diesel").likelihood
    assert any("Do not repeat" in n for n in wet.notes)


@given(st.lists(st.floats(8, 14), min_size=2, max_size=8))
def test_no_compression_ever_clears_a_gasket(values):
    """Property: good figures never clear a gasket (common practice, no source): likelihood never 0 and never negligible."""
    result = compression(dict(enumerate(values, 1)))
    assert result.likelihood[JACKET] >= 0.3
    assert result.likelihood[CRACK] >= 0.3
    assert result.likelihood[BETWEEN] >= 0.05
    assert max(result.likelihood.values()) == pytest.approx(1)


@given(st.floats(4, 12), st.floats(0.0, 0.05))
def test_a_hundredth_of_a_bar_never_flips_a_pattern(value, step):
    """Property: no cliffs."""
    a, b = (compression({1: 12, 2: v, 3: 12, 4: 12}).likelihood for v in (value, value + step))
    assert all(abs(a[k] - b[k]) < 0.12 for k in a)


@pytest.mark.parametrize("bad", [{1: 12.0}, {1: 150.0, 2: 160.0}, {1: 0.0, 2: 0.0}])
def test_compressions_that_cannot_be_judged_are_refused(bad):
    """One cylinder, psi read as bar, no compression at all."""
    with pytest.raises(CannotJudge):
        compression(bad)


def test_the_aircraft_limit_is_25_percent(reference):
    """Source: FAA AC 43.13-1B para 8-14, 60/80, 25 % leakage."""
    row = next(r for r in reference("compression_leakage") if r["item"] == "aircraft differential test limit")
    held, supply = (float(x) for x in row["value"].split("/"))
    assert differential(supply, held) == pytest.approx(25.0)
    with pytest.raises(CannotJudge):
        differential(60, 80)


def test_percent_bands_belong_to_one_instrument(reference):
    """compression_leakage.csv, cylinder leakage bands, from memory: so only that 5 % is not over and 50 % is, by any instrument."""
    bands = next(r for r in reference("compression_leakage") if r["item"] == "cylinder leakage bands")
    assert bands["status"] == "from_memory"
    unknown = leakage({1: 5, 2: 50})
    assert unknown.over[1] < 0.1
    assert unknown.over[2] > 0.99
    assert leakage({1: 22}, limit=30).over[1] < leakage({1: 22}).over[1] < leakage({1: 22}, limit=15).over[1]


def test_leak_paths_name_the_part(reference):
    """Leak paths: US TM purpose of the leakage test (found) plus practice from memory (compression_leakage.csv)."""
    paths = next(r for r in reference("compression_leakage") if r["item"] == "leak path")["value"]
    assert "bubbles in coolant -> gasket/crack" in paths
    high = {1: 8.0, 2: 45.0, 3: 9.0, 4: 8.0}
    assert best(leakage(high, heard={"crankcase": True})) == RINGS
    assert best(leakage(high, heard={"exhaust": True})) == VALVES
    assert best(leakage(high, heard={"next cylinder": True})) == BETWEEN
    assert best(leakage(high, heard={"coolant": True})) == JACKET


def test_a_crack_that_opens_hot_shows_by_the_rise():
    """Leakage that grows hot, with bubbles: crack; sound rings leak less hot. common practice, no source."""
    cold, hot = {1: 8.0, 2: 9.0, 3: 8.0, 4: 10.0}, {1: 6.0, 2: 7.0, 3: 30.0, 4: 8.0}
    result = leakage(cold, hot, heard={"coolant": True})
    assert best(result) == CRACK
    assert result.opens_hot[3] > 0.9
    assert result.rise[3].value == 22.0
    assert best(leakage(cold, {c: v - 2 for c, v in cold.items()})) == NONE


@given(st.lists(st.floats(0, 100), min_size=2, max_size=6))
def test_no_leakage_ever_clears_a_gasket(values):
    """Property: the gasket and the crack keep their floor whatever the percents."""
    result = leakage(dict(enumerate(values, 1)))
    assert result.likelihood[BETWEEN] >= 0.05
    assert result.likelihood[JACKET] >= 0.3


def test_one_cylinder_has_no_neighbour():
    """A single-cylinder engine cannot leak into its neighbour, but can into the jacket."""
    result = leakage({1: 5})
    assert result.likelihood[BETWEEN] == 0
    assert result.likelihood[JACKET] >= 0.3


def test_both_tests_together_count_once_and_a_half():
    """Two views of one leak sharpen the answer; neither alone reverses it."""
    c = compression({1: 12, 2: 6, 3: 6.2, 4: 12})
    x = leakage({1: 8, 2: 45, 3: 44, 4: 9}, heard={"next cylinder": True})
    both = together(c, x)
    assert both.best[0] == BETWEEN
    assert both.likelihood[VALVES] <= x.likelihood[VALVES]
    with pytest.raises(CannotJudge):
        together(None, None)


@pytest.mark.parametrize(
    "bad", [{"cold": {1: 120.0}}, {"cold": {}}, {"cold": {1: 5.0}, "limit": 0}, {"cold": {1: 5.0}, "heard": {"moon": True}}]
)
def test_leakages_that_cannot_be_judged_are_refused(bad):
    """Outside 0 to 100 %, none given, no limit, an unknown place."""
    with pytest.raises(CannotJudge):
        leakage(**bad)


def test_a_place_listened_at_in_vain_counts_against_its_part():
    """Nothing at the oil filler speaks against rings; a place not listened at says nothing. common practice, no source."""
    high = {1: 8.0, 2: 45.0, 3: 9.0, 4: 8.0}
    silent, unheard = leakage(high, heard={"crankcase": False}), leakage(high)
    assert silent.likelihood[RINGS] / silent.likelihood[VALVES] < 0.3 * unheard.likelihood[RINGS] / unheard.likelihood[VALVES]


def test_the_second_test_counts_half():
    """By hand: leakage times the square root of compression, scaled to the best."""
    c, x = compression({1: 12, 2: 7, 3: 12, 4: 12}), leakage({1: 8, 2: 45, 3: 9, 4: 8})
    raw = {k: x.likelihood[k] * c.likelihood[k] ** 0.5 for k in (RINGS, VALVES)}
    both = together(c, x).likelihood
    assert both[RINGS] / both[VALVES] == pytest.approx(raw[RINGS] / raw[VALVES])
