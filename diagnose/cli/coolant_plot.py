"""The mix with its margins as a picture: a temperature scale for the terminal and the same as SVG."""

from __future__ import annotations

from html import escape
from typing import Any

COLDEST_C, HOTTEST_C = -70.0, 150.0
COLUMNS = 66
Mark = tuple[str, float, float]
"""Label, temperature [°C], standard deviation [K]; 0 for a limit."""


def marks(one: dict[str, Any]) -> list[Mark]:
    """What there is to show of one assumed glycol, coldest first.

    >>> marks({"freezing_point": {"value": -37.0, "sd": 1.5}, "freezing_margin": {"value": 12.0}})
    [('freezes', -37.0, 1.5), ('needed', -25.0, 0.0)]
    """
    found: list[Mark] = []
    for point, margin, label, limit, sign in (
        ("freezing_point", "freezing_margin", "freezes", "needed", 1.0),
        ("boiling_point", "boiling_margin", "boils", "hottest", -1.0),
    ):
        if point in one:
            at = one[point]["value"]
            found.append((label, at, one[point]["sd"]))
            if margin in one:
                found.append((limit, at + sign * one[margin]["value"], 0.0))
    return sorted(found, key=lambda mark: (mark[1], mark[0]))


def _column(temperature: float) -> int:
    clipped = min(HOTTEST_C, max(COLDEST_C, temperature))
    return round((clipped - COLDEST_C) / (HOTTEST_C - COLDEST_C) * (COLUMNS - 1))


def chart(one: dict[str, Any]) -> str:
    """Lines for a terminal: `*` the point, `-` two standard deviations either side, `|` a limit.

    >>> print(chart({"freezing_point": {"value": -37.0, "sd": 5.0}}).splitlines()[0].split())
    ['freezes', '---*---', '-37', '°C', '±', '5']
    """
    lines = []
    for label, at, sd in marks(one):
        row = [" "] * COLUMNS
        for i in range(_column(at - 2 * sd), _column(at + 2 * sd) + 1):
            row[i] = "-"
        row[_column(at)] = "*" if sd else "|"
        lines.append(f"{label:>8} {''.join(row)} {at:.0f} °C" + (f" ± {sd:.0f}" if sd else ""))
    scale = [" "] * (COLUMNS + 4)
    for tick in range(-70, 151, 50):
        text = str(tick)
        scale[_column(tick) : _column(tick) + len(text)] = text
    return "\n".join([*lines, f"{'':>8} {''.join(scale).rstrip()} °C"])


def svg(one: dict[str, Any], title: str) -> str:
    """The same as an SVG document: bands are two standard deviations, dashed lines are limits.

    >>> svg({"freezing_point": {"value": -37.0, "sd": 5.0}}, "mix").startswith("<svg")
    True
    """
    shown = marks(one)
    height = 60 + 34 * len(shown)

    def x(temperature: float) -> float:
        clipped = min(HOTTEST_C, max(COLDEST_C, temperature))
        return 90 + 560 * (clipped - COLDEST_C) / (HOTTEST_C - COLDEST_C)

    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" width="760" height="{height}" font-family="sans-serif" font-size="13">']
    parts += [f"<title>{escape(title)}</title>", '<rect width="100%" height="100%" fill="white"/>']
    parts.append(f'<text x="10" y="20">{escape(title)}</text>')
    for tick in range(-60, 141, 20):
        parts.append(f'<line x1="{x(tick):.1f}" x2="{x(tick):.1f}" y1="30" y2="{height - 24}" stroke="#ddd"/>')
        parts.append(f'<text x="{x(tick):.1f}" y="{height - 8}" text-anchor="middle" fill="#555">{tick}</text>')
    for i, (label, at, sd) in enumerate(shown):
        y = 50 + 34 * i
        colour = "#1f5fa8" if at < 40 else "#b3361f"
        parts.append(f'<text x="80" y="{y + 4}" text-anchor="end">{label}</text>')
        if sd:
            left, right = x(at - 2 * sd), x(at + 2 * sd)
            parts.append(
                f'<rect x="{left:.1f}" y="{y - 8}" width="{max(1.0, right - left):.1f}" height="16" fill="{colour}" opacity="0.3"/>'
            )
            parts.append(f'<circle cx="{x(at):.1f}" cy="{y}" r="5" fill="{colour}"/>')
        else:
            ends = f'x1="{x(at):.1f}" x2="{x(at):.1f}" y1="{y - 14}" y2="{y + 14}"'
            parts.append(f'<line {ends} stroke="black" stroke-width="2" stroke-dasharray="4 3"/>')
        text = f"{at:.0f} °C" + (f" ± {sd:.0f} K" if sd else "")
        parts.append(f'<text x="660" y="{y + 4}">{text}</text>')
    return "\n".join([*parts, "</svg>"]) + "\n"
