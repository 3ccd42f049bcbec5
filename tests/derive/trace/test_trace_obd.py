"""SAE J1979 bytes against the published table (tests/reference/obd_pids.csv)."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.derive.measure import CannotJudge
from diagnose.derive.trace import obd

Rows = Callable[[str], "list[dict[str, str]]"]


def test_every_parameter_of_the_table(reference: Rows) -> None:
    checked = 0
    for row in reference("obd_pids"):
        pid, data = int(row["pid_hex"], 16), bytes.fromhex(row["example_bytes_hex"])
        if pid == 0x67:
            assert obd.coolant_pair(data) == (90.0, 80.0)  # byte layout from memory
            continue
        assert obd.decode(pid, data) == pytest.approx(float(row["example_value"]), abs=1e-3), row["name"]
        assert obd.PARAMETERS[pid].length == int(row["bytes"])
        assert obd.decode(pid, bytes([0] * int(row["bytes"]))) == pytest.approx(float(row["min"]))
        if pid != 0x5C:  # the table gives oil a maximum of 210 by decree, the formula 215
            assert obd.decode(pid, bytes([255] * int(row["bytes"]))) == pytest.approx(float(row["max"]), abs=1e-2)
        checked += 1
    assert checked == 16


@pytest.mark.parametrize(("pid", "data"), [(0x05, b""), (0x05, b"\x01\x02"), (0x0C, b"\x01"), (0x99, b"\x01")])
def test_wrong_bytes_are_refused(pid: int, data: bytes) -> None:
    with pytest.raises(CannotJudge):
        obd.decode(pid, data)


@pytest.mark.parametrize("text", ["zz", "8", "41 05"])
def test_cells_that_are_no_bytes_are_refused(text: str) -> None:
    with pytest.raises(CannotJudge):
        obd.cell(0x05, text)


def test_neither_sensor_fitted_is_refused() -> None:
    with pytest.raises(CannotJudge, match="neither"):
        obd.cell(0x67, "008278")
