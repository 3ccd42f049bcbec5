"""NTC formulas against published points, and the verdict on a sensor."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.derive.measure import CannotJudge
from diagnose.derive.ntc import beta_resistance, beta_temperature, fit_beta, steinhart_hart, steinhart_hart_resistance
from diagnose.derive.sensor import compare

COEFFICIENTS = (1.129148e-3, 2.34125e-4, 8.76741e-8)
CURVE = (2500.0, 3450.0)


def best(verdict) -> str:
    return max(verdict.likelihood, key=verdict.likelihood.get)


def test_the_senders_published_band_gives_its_implied_beta(reference):
    """Source: US TM 5-6115-545-12 para 3-209: 2100 to 2600 ohm at 120 °F, 680 to 745 at 200 °F; implied B 3169 K."""
    row = next(r for r in reference("thermostat_sensor") if r["item"] == "NTC coolant sender")
    assert row["value"] == "2100-2600 at 120 F; 680-745 at 200 F"
    _, beta = fit_beta((2100 + 2600) / 2, (120 - 32) / 1.8, (680 + 745) / 2, (200 - 32) / 1.8)
    assert beta == pytest.approx(3169, abs=5)


def test_the_published_sender_reads_its_own_temperatures():
    """Source: US TM 5-6115-545-12 para 3-209. Every resistance in the band at 120 °F is within 8 K of it by the fitted curve."""
    curve = fit_beta(2350, 48.889, 712.5, 93.333)
    for ohm, temp in ((2100, 48.889), (2600, 48.889), (680, 93.333), (745, 93.333)):
        assert beta_temperature(ohm, *curve) == pytest.approx(temp, abs=4)


def test_the_widely_published_10k_example():
    """Steinhart–Hart round trip, value from memory (thermostat_sensor.csv); the inverse and the beta checks stand beside it."""
    assert steinhart_hart(10000, *COEFFICIENTS) == pytest.approx(25.0, abs=0.05)


@given(st.floats(-40, 150))
def test_resistance_and_temperature_are_inverse(temp):
    """Property: both formulas, both ways."""
    assert beta_temperature(beta_resistance(temp, *CURVE), *CURVE) == pytest.approx(temp, abs=1e-6)
    assert steinhart_hart(steinhart_hart_resistance(temp, *COEFFICIENTS), *COEFFICIENTS) == pytest.approx(temp, abs=1e-6)


@given(st.floats(-40, 140))
def test_resistance_falls_with_temperature(temp):
    """Property: an NTC is monotonic."""
    assert beta_resistance(temp + 1, *CURVE) < beta_resistance(temp, *CURVE)


@pytest.mark.parametrize(
    "call",
    [
        lambda: beta_temperature(0, *CURVE),
        lambda: beta_temperature(5e6, *CURVE),
        lambda: beta_temperature(5, *CURVE),
        lambda: beta_temperature(1000, 2500, 100),
        lambda: beta_resistance(300, *CURVE),
        lambda: fit_beta(1000, 50, 990, 52),
        lambda: fit_beta(1000, 50, 2000, 90),
        lambda: steinhart_hart(1000, -1, 0, 0),
        lambda: compare(500, 20),
    ],
)
def test_no_answer_outside_the_range(call):
    """Open, short, wrong curve, points too close, a PTC, nonsense: a refusal."""
    with pytest.raises(CannotJudge):
        call()


def test_both_agree_is_real():
    """Shown 104, thermometer 102: the engine is hot, the sensor is not to be changed."""
    assert best(compare(104, 102)) == "real"


def test_open_and_short_show_the_ends_of_the_scale():
    """SAE J1979 PID 05 spans -40 to 215 degC (obd_pids.csv); with no current the module shows its lowest, shorted its highest."""
    assert best(compare(-40, 60)) == "open circuit"
    assert best(compare(150, 20)) == "short circuit"


def test_a_real_cold_of_minus_40_is_not_an_open_circuit():
    """Thermometer also -38: real."""
    assert best(compare(-40, -38)) == "real"


def test_wiring_when_the_sensor_alone_is_right():
    """Display 60, truth 90, sensor alone reads 90 by its curve: extra resistance of R(60) - R(90)."""
    ohm = beta_resistance(90, *CURVE)
    verdict = compare(60, 90, sensor_ohm=ohm, curve=CURVE)
    assert best(verdict) == "extra resistance"
    assert verdict.extra_ohm is not None
    assert verdict.extra_ohm.value == pytest.approx(beta_resistance(60, *CURVE) - ohm)


def test_sensor_when_the_sensor_alone_is_wrong():
    """Display 60, truth 90, sensor alone reads 60: the sensor."""
    assert best(compare(60, 90, sensor_ohm=beta_resistance(60, *CURVE), curve=CURVE)) == "sensor"
    assert best(compare(-40, 60, sensor_ohm=1e9, curve=CURVE)) in ("sensor", "open circuit")


@given(st.floats(-30, 130), st.floats(-30, 120))
def test_every_state_keeps_a_chance_and_there_is_no_cliff(shown, truth):
    """Property: nothing is ruled out, and half a kelvin never flips the verdict."""
    a, b = compare(shown, truth).likelihood, compare(shown + 0.5, truth).likelihood
    assert min(a.values()) > 0
    assert all(abs(a[k] - b[k]) < 0.25 for k in a)
