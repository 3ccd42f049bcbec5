"""Logs in the styles of many loggers. Names and layouts are invented after common practice."""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from diagnose.derive.measure import CannotJudge
from diagnose.derive.trace import columns
from diagnose.derive.trace.reader import open_log
from diagnose.derive.trace.trip import Trip

Read = tuple[list[Trip], dict[str, str], list[str]]


def read(text: str) -> Read:
    log = open_log(text.splitlines(keepends=True))
    trips = list(log.trips())
    return trips, {c.meaning: c.unit for c in log.columns}, log.notes


def warm_up(rows: int = 60, scale: float = 1.0, offset: float = 0.0) -> list[float]:
    return [(20 + 70 * min(1.0, i / 40)) * scale + offset for i in range(rows)]


@pytest.mark.parametrize(
    ("header", "meaning"),
    [
        ("Engine Coolant Temperature(°C)", "coolant"),
        ("ECT", "coolant"),
        ("clt [C]", "coolant"),
        ("water_temp_f", "coolant"),
        ("Kühlmitteltemperatur", "coolant"),
        ("coolantTemp", "coolant"),
        ("0105", "coolant"),
        ("Vehicle Speed (km/h)", "speed"),
        ("VSS mph", "speed"),
        ("Engine RPM", "rpm"),
        ("Drehzahl", "rpm"),
        ("Ambient air temp", "ambient"),
        ("Intake Air Temperature", "intake"),
        ("IAT", "intake"),
        ("Fan state", "fan"),
        ("Calculated load %", "load"),
        ("Radiator outlet temp", "outlet"),
        ("timestamp", "time"),
        ("Time (s)", "time"),
        ("Zeit", "time"),
    ],
)
def test_names_are_understood(header: str, meaning: str) -> None:
    assert [c.meaning for c in columns.map_header([header])] == [meaning]


@pytest.mark.parametrize("header", ["Coolant pressure", "Coolant level", "Oil temperature", "Fan speed rpm x", "Latitude", "Fuel rail"])
def test_other_names_are_not_taken_for_coolant(header: str) -> None:
    assert all(c.meaning not in ("coolant", "speed") for c in columns.map_header([header]))


def test_semicolons_and_decimal_commas() -> None:
    rows = [f"{i},5;{v:.1f}".replace(".", ",") for i, v in enumerate(warm_up())]
    (trip,), units, _ = read("Zeit;ECT (°C)\n" + "\n".join(rows))
    assert trip.seconds[0] == 0.5
    assert trip.coolant[10] == pytest.approx(37.5)
    assert units["coolant"] == "degC"


def test_fahrenheit_and_miles_written() -> None:
    rows = [f"{i},{v:.1f},60" for i, v in enumerate(warm_up(scale=1.8, offset=32))]
    (trip,), _, _ = read("time,coolant (F),speed (mph)\n" + "\n".join(rows))
    assert trip.coolant.max() == pytest.approx(90.0, abs=0.1)
    assert trip.columns["speed"][0] == pytest.approx(96.56, abs=0.01)  # 60 mph: the statute mile, 1609.344 m


def test_fahrenheit_guessed_and_said() -> None:
    log = open_log(["time,coolant\n", *(f"{i},{v:.1f}\n" for i, v in enumerate(warm_up(scale=1.8, offset=32)))])
    (trip,) = log.trips()
    assert trip.coolant.max() == pytest.approx(90.0, abs=0.1)
    assert any("degF" in c.told() and "guessed" in c.told() for c in log.columns)


def test_a_sensor_stuck_at_140_is_not_taken_for_fahrenheit() -> None:
    (trip,), units, _ = read("time,coolant\n" + "\n".join(f"{i},140" for i in range(60)))
    assert units["coolant"] == "degC"
    assert trip.coolant[0] == 140


def test_milliseconds_written_and_guessed() -> None:
    for header in ("time (ms)", "time"):
        (trip,), _, _ = read(f"{header},ect\n" + "\n".join(f"{1000 * i},{v:.1f}" for i, v in enumerate(warm_up())))
        assert trip.seconds[-1] == pytest.approx(59)


def test_row_of_units_and_lines_before_the_header() -> None:
    rows = [f"{i};{v:.1f};10" for i, v in enumerate(warm_up(scale=1.8, offset=32))]
    text = "Logger of nobody\nDate;2024-01-02\ntime;ECT;speed\ns;°F;mph\n" + "\n".join(rows)
    (trip,), units, notes = read(text)
    assert units == {"time": "s", "coolant": "degF", "speed": "mph"}
    assert len(trip.seconds) == 60
    assert any("before the header" in n for n in notes)


def test_clock_times_over_midnight() -> None:
    times = [(86380 + i) % 86400 for i in range(60)]
    rows = [f"{t // 3600:02d}:{t % 3600 // 60:02d}:{t % 60:02d},{v:.0f}" for t, v in zip(times, warm_up(), strict=True)]
    (trip,), _, _ = read("time,ect\n" + "\n".join(rows))
    assert trip.seconds[-1] - trip.seconds[0] == pytest.approx(59)


def test_hexadecimal_bytes_of_j1979() -> None:
    """0x82 is 90 °C, 0x0C80 is 800 rpm (tests/reference/obd_pids.csv)."""
    (trip,), _, _ = read("time,0105,010C,010D\n" + "\n".join(f"{i},82,41 0C 0C 80,3C" for i in range(30)))
    assert trip.coolant[0] == 90
    assert trip.columns["rpm"][0] == 800
    assert trip.columns["speed"][0] == 60


def test_duplicates_backward_steps_gaps_and_rubbish_are_handled_and_told() -> None:
    lines = [f"{i},{v:.1f}" for i, v in enumerate(warm_up())]
    lines.insert(10, "9,99")  # a duplicate time
    lines.insert(20, "5,99")  # out of order
    lines[30] = "29.5,???"
    lines[31] = "n/a,50"
    lines[32] = "31.5,"
    (trip,), _, notes = read("time,ect\n" + "\n".join(lines))
    assert bool(np.all(np.diff(trip.seconds) > 0))
    assert not np.any(trip.coolant == 99)
    assert np.isnan(trip.coolant).sum() == 2
    told = " ".join(notes)
    for word in ("repeated", "out of order", "readable time", "not values"):
        assert word in told


def test_a_long_gap_or_a_new_start_of_the_clock_is_a_new_trip() -> None:
    first = [f"{i},{v:.0f}" for i, v in enumerate(warm_up())]
    later = [f"{i + 5000},{v:.0f}" for i, v in enumerate(warm_up())]
    again = [f"{i},{v:.0f}" for i, v in enumerate(warm_up())]
    trips, _, _ = read("time,ect\n" + "\n".join(first + later + again))
    assert [len(t.seconds) for t in trips] == [60, 60, 60]
    assert trips[1].rows[0] == 61


def test_a_stopped_engine_ends_the_trip() -> None:
    """A cooling engine is not an over-cooled one."""
    rows = [f"{i},{90 if i < 300 else 90 - (i - 300) / 20:.1f},{800 if i < 300 else 0}" for i in range(900)]
    trips, _, _ = read("time,ect,rpm\n" + "\n".join(rows))
    assert [len(t.seconds) for t in trips] == [300]


def test_missing_columns_say_what_is_allowed() -> None:
    with pytest.raises(CannotJudge, match=r"no column for coolant among: time, oil temp.*ECT"):
        open_log(["time,oil temp\n", "1,2\n"])
    with pytest.raises(CannotJudge, match="empty"):
        open_log([])
    with pytest.raises(CannotJudge, match="no samples"):
        read("time,ect\n")


MILLION = """
import sys, time
start = time.process_time()  # this program's own time, whatever else the machine does
from pathlib import Path
from diagnose.derive.trace.reader import open_log
from diagnose.derive.trace.verdict import judge
with Path(sys.argv[1]).open(newline="") as lines:
    log = open_log(lines)
    verdicts = [judge(t) for t in log.trips()]
took = time.process_time() - start
status = Path("/proc/self/status").read_text()  # the peak of this very program; getrusage may tell the parent's
peak = next(line for line in status.splitlines() if line.startswith("VmHWM"))
print(log.read, len(verdicts), took, int(peak.split()[1]) / 1024)
"""


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="reads the peak memory from /proc")
def test_a_million_rows_in_ten_seconds_and_300_megabytes(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    path = tmp_path / "long.csv"
    with path.open("w") as file:
        file.write("time,Engine coolant temperature (°C),speed (km/h),rpm,intake air temp,load\n")
        for start in range(0, 1_000_000, 100_000):
            t = np.arange(start, start + 100_000)
            y = np.round(88 + 3 * np.sin(t / 90) + rng.normal(0, 0.2, len(t)))
            file.writelines(f"{a},{b:.0f},60,2000,21,40.5\n" for a, b in zip(t, y, strict=True))
    done = subprocess.run([sys.executable, "-c", MILLION, str(path)], capture_output=True, text=True, check=True)
    rows, trips, seconds, megabytes = (float(x) for x in done.stdout.split())
    print(f"{rows:.0f} rows, {trips:.0f} parts, {seconds:.1f} s, {megabytes:.0f} MB")
    assert rows == 1_000_000
    assert trips >= 6
    assert seconds < 10
    assert megabytes < 300


def test_reading_is_quick_in_small(tmp_path: Path) -> None:
    start, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    (trip,), _, _ = read("time,ect\n" + "\n".join(f"{i},{88 + i % 3}" for i in range(50_000)))
    assert len(trip.seconds) == 50_000
    assert time.perf_counter() - start < 2
    assert (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024 < 100


def test_plain_and_quoted_cells_read_the_same() -> None:
    """The quick way for plain numbers and the patient way for everything else agree."""
    plain, _, _ = read("time,ect,speed\n" + "\n".join(f"{i},{v:.2f},{i % 50}" for i, v in enumerate(warm_up())))
    quoted, _, _ = read("time,ect,speed\n" + "\n".join(f'"{i}","{v:.2f}","{i % 50}"' for i, v in enumerate(warm_up())))
    for name in ("rows", "seconds", "coolant"):
        assert np.array_equal(getattr(plain[0], name), getattr(quoted[0], name)), name
    assert np.array_equal(plain[0].columns["speed"], quoted[0].columns["speed"])
