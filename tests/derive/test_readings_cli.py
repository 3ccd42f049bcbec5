"""The shell's faces of the derivations: every command, as text and as JSON, and what is refused."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from diagnose.cli import cylinders, pressure, readings, voltage
from diagnose.errors import DiagnoseError, InputError

POINTS = ["--point", "25 C=2500 ohm", "--point", "90 C=315 ohm"]
TEST = ["test", "--start", "15psi", "--time", "15min", "--start-temp", "22C", "--end-temp", "22C", "--gas", "1L", "--cap", "15psi"]
CALLS = [
    (pressure.app, [*TEST, "--end", "12 psi"], "unexplained", "leaks"),
    (
        pressure.app,
        ["cap", "--mark", "1.1bar", "--opened", "15.9psi", "--held", "60s", "--still-held", "--vacuum", "0.6psi"],
        "sound",
        "in its window",
    ),
    (pressure.app, ["heat", "--start-temp", "68 F", "--end-temp", "40 C", "--gas", "1 L"], "pressure", "0.168"),
    (cylinders.app, ["compression", "175 psi", "90 psi", "88 psi", "174 psi", "--wet", "2=92 psi"], "likelihood", "gasket"),
    (
        cylinders.app,
        ["leakage", "--cold", "1=8", "--cold", "2=40", "--heard", "crankcase", "--silent", "coolant"],
        "worst",
        "rings",
    ),
    (cylinders.app, ["both", "12", "6", "6", "12", "--cold", "1=8", "--cold", "2=40", "--banks", "1,2,3,4"], None, "rings"),
    (cylinders.app, ["percent", "80 psi", "60 psi"], "value", "25"),
    (
        voltage.app,
        ["read", "--state", "engine_off=80 mV", "--load", "blower=0.6 V", "--block", "blower=0.01 V"],
        "circuits",
        "blower",
    ),
    (
        readings.app,
        ["sensor", "--shown", "-40 C", "--thermometer", "60 C", "--ohm", "700 ohm", *POINTS],
        "difference",
        "open circuit",
    ),
    (readings.app, ["ntc", "315 ohm", *POINTS], "value", "90"),
    (readings.app, ["infrared", "85 C", "--surface", "rubber"], "value", "°C"),
    (readings.app, ["thermostat", "--engine", "108 C", "--hose", "40 C", "--nominal", "190 F"], "drop", "stuck shut"),
    (readings.app, ["radiator", "--inlet", "95 C", "--outlet", "87 C", "--ambient", "20 C", "--no-fan"], "drop", "usual"),
    (readings.app, ["heater", "--inlet", "85 C", "--outlet", "40 C", "--engine", "90 C"], "drop", "restricted"),
    (readings.app, ["patches", "a=80 C", "b=78 C", "c=50 C", "d=74 C", "e=72 C"], "patches", "c"),
    (readings.app, ["loss", "0.5 L,400 km,10 days", "0.6 L,300 miles,-"], "per_1000km", "leak"),
    (readings.app, ["indicator", "yellow", "--fuel", "petrol", "--engine", "load", "--blank", "clear"], "ratio", "times likelier"),
    (readings.app, ["analyser", "--fuel", "petrol", "--engine", "load", "--hc", "300", "--co2", "3", "--rises"], "gas", "probe"),
    (readings.app, ["code", "p0128"], "tests", "thermostat"),
    (readings.app, ["warm-up", "--highest", "70 C", "--nominal", "88 C"], "would_set", "76.9"),
]


@pytest.mark.parametrize(("app", "words", "key", "says"), CALLS, ids=[c[1][0] for c in CALLS])
def test_every_command_tells_and_prints_json(app, words, key, says):
    """Each use answers in words and as JSON with the same figures."""
    told = CliRunner().invoke(app, words, catch_exceptions=False)
    assert told.exit_code == 0, told.output
    assert says in told.output
    printed = CliRunner().invoke(app, [*words, "--json"], catch_exceptions=False)
    data = json.loads(printed.output)
    assert (key or "likelihood") in data


def test_a_record_from_a_file(tmp_path):
    """Pressure against time from a CSV; a line without numbers is named."""
    good = tmp_path / "record.csv"
    good.write_text("minutes,temp_c,bar\n0,20,0\n2,24,0.5\n4,30,0.9\n")
    told = CliRunner().invoke(pressure.app, ["record", str(good), "--gas", "1 L", "--json"], catch_exceptions=False)
    assert json.loads(told.output)["first_clear_minutes"] == 2
    bad = tmp_path / "bad.csv"
    bad.write_text("minutes,temp_c,bar\n0,20,0\n2,warm,0.5\n")
    with pytest.raises(InputError, match=r"bad\.csv:3"):
        CliRunner().invoke(pressure.app, ["record", str(bad), "--gas", "1 L"], catch_exceptions=False)
    with pytest.raises(InputError, match="cannot be read"):
        CliRunner().invoke(pressure.app, ["record", str(tmp_path / "none.csv")], catch_exceptions=False)


@pytest.mark.parametrize(
    ("app", "words", "says"),
    [
        (pressure.app, [*TEST, "--end", "12 ohm"], "unit"),
        (pressure.app, ["heat", "--start-temp", "20 C", "--end-temp", "40 C", "--gas", "0.05 L"], "brim-full"),
        (pressure.app, ["heat", "--start-temp", "20 C", "--end-temp", "40 C", "--gas", "1 L", "--glycol", "x"], "glycol"),
        (cylinders.app, ["compression", "12 bar"], "two cylinders"),
        (cylinders.app, ["compression", "12", "12", "--wet", "two=9"], "cylinder numbers"),
        (cylinders.app, ["compression", "12", "12", "--banks", "a/b"], "--banks"),
        (voltage.app, ["read", "--state", "0.3 V"], "NAME=READING"),
        (voltage.app, ["read", "--state", "idle=0.3", "--block", "blower=0.1"], "blower"),
        (readings.app, ["infrared", "35 C", "--surface", "bare aluminium"], "tape"),
        (readings.app, ["ntc", "315 ohm", "--point", "25 C=2500 ohm"], "two"),
        (readings.app, ["ntc", "315 ohm", "--point", "25 C=2500 ohm", "--point", "30 C=2400 ohm"], "10 K"),
        (readings.app, ["loss", "half a litre"], "top-up"),
        (readings.app, ["code", "P1128"], "maker"),
    ],
)
def test_what_cannot_be_understood_or_judged_is_said(app, words, says):
    """A message with what was wrong and what is allowed, as the program's own error."""
    with pytest.raises(DiagnoseError, match=says):
        CliRunner().invoke(app, words, catch_exceptions=False)


def test_loading_the_faces_loads_neither_units_nor_arrays():
    """Start-up is not slowed for those who do not use them: measured in a fresh process."""
    program = (
        "import sys; import diagnose.cli.pressure, diagnose.cli.cylinders, diagnose.cli.voltage, diagnose.cli.readings; "
        "print([m for m in ('pint', 'numpy', 'networkx', 'experta') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_derivations_import_nothing_but_each_other():
    """Pure functions: no other room of the project, no third-party package."""
    modules = "cap codes compression cylinders expansion gas heating hoses indicator infrared leakage loss ntc pressure sensor voltage"
    program = (
        f"import sys, importlib; ["
        f"importlib.import_module('diagnose.derive.' + m) for m in {modules!r}.split()]; "
        "new = {m for m in sys.modules if m.startswith('diagnose.')}; "
        "print(sorted(m for m in new if not m.startswith('diagnose.derive')), [m for m in ('numpy', 'pint') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[] []"
