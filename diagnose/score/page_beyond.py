"""What goes beyond the worked cases' own score, told on the page: plain methods, noise, coverage, numbers, simulated cases."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from diagnose.score.alternatives.compare import PROGRAM
from diagnose.score.table import count, number, rows, said, share, title

WORDS = {
    "first": "truth comes first",
    "first_three": "truth in first three",
    "nothing_kept": "nothing wrong, said",
    "no_false_quiet": "fault not denied",
}
NAMES = {"aside": "set aside", "open": "open"}
SHORT = {"certainty factors": "certainty"}
BESIDE = 22
SHOWN = 12  # rows of a list that are shown; the JSON document holds more


def alternatives(found: Mapping[str, Any], width: int) -> list[str]:
    """A table a set, and case by case who alone was right."""
    lines = title("Plainer methods on the same knowledge and the same cases")
    for which, methods in found.items():
        heads = [SHORT.get(name, name) for name in methods]
        table = [(words, [count(m.get(measure)) for m in methods.values()]) for measure, words in WORDS.items()]
        lines += ["", *rows(NAMES[which], heads, table, BESIDE)]
        others = {SHORT.get(name, name): m for name, m in methods.items() if name != PROGRAM}
        table = [(words, [_pair(m.get(measure)) for m in others.values()]) for measure, words in WORDS.items()]
        lines += ["", *rows("right alone (p)", list(others), table, BESIDE)]
    return [
        *lines,
        *said(
            "Right alone: cases that this program gets right and the method does not – and the other way; p: chance of so uneven a "
            "split between equals. Fault not denied: a real fault is there, and the answer is not that nothing is wrong.",
            width,
        ),
    ]


def _pair(measured: Mapping[str, Any] | None) -> str:
    if not measured:
        return "–"
    p = measured["sign_test"]
    return f"{measured['only_program']} – {measured['only_this']} ({'<0.001' if p < 0.001 else f'{p:.3f}'})"


def robustness(found: Mapping[str, Any], width: int) -> list[str]:
    """First place with every number a little wrong."""
    lines = title("Every number a little wrong")
    lines += said(
        f"Each number moved by its own normal deviate of {found['noise']} in log-odds; {found['draws']} draws of all numbers.", width
    )
    for which in NAMES:
        if which in found:
            part = found[which]
            shares = ", ".join(count(d) for d in part["disturbed"])
            lines += said(f"{NAMES[which]}: truth first {count(part['undisturbed'])} undisturbed; disturbed {shares}.", width)
            lines += said(f"same leader as undisturbed: {share(part['same_leader'])}", width, "  ")
    return lines


def coverage(found: Mapping[str, Any], width: int) -> list[str]:
    """How much of the knowledge the cases touch."""
    lines = title("What the cases touch")
    rules, links = found["rules"], found["links"]
    lines += rows(
        "",
        ["of", "never", "once", "twice or more", "decide somewhere"],
        [
            ("rules fire", [str(rules[k]) for k in ("of", "never", "once", "twice_or_more", "decide")]),
            ("links take part", [str(links[k]) for k in ("of", "never", "once", "twice_or_more", "decide")]),
        ],
    )
    return lines + said(
        f"Decide: without it some case gets another leader or urgency ({found['links_tried']:,} times a link was taken away, "
        f"cases: {found['cases']}, {found['seconds']:.0f} s). {rules['speak_alone']} advising rules say somewhere what no other says. "
        "Each rule and link: --json.",
        width,
    )


def sensitivity(found: Mapping[str, Any], width: int) -> list[str]:
    """The numbers on which answers hang."""
    lines = title("The numbers that matter most (open cases)")
    lines += said(
        f"{found['tried']:,} numbers of {found['cases']} cases, moved one at a time up to ±{found['limit']:g} in log-odds "
        f"({found['seconds']:.0f} s): {found['numbers_that_turn_a_case']} turn the leader or the urgency of some case, "
        f"{found['within_half']} of them within ±0.5; {found['cases_turned_within_half']} cases turn on one number within ±0.5.",
        width,
    )
    table = [(f"{r['least']:+.2f}", f"{r['turns_within_half']}", f"{r['turns']}", _what(r), r["number"]) for r in found["most"][:SHOWN]]
    if not table:
        return lines
    lines += [f"{'least':>6} {'cases ±0.5':>11} {'±' + format(found['limit'], 'g'):>4}  turns     number"]
    return lines + [f"{a:>6} {b:>11} {c:>4}  {d:9} {e}" for a, b, c, d, e in table]


def _what(row: Mapping[str, Any]) -> str:
    return "both" if row["leader"] and row["urgency"] else "leader" if row["leader"] else "urgency"


def simulated(found: Mapping[str, Any], width: int) -> list[str]:
    """Calibration, and what is taken for what."""
    lines = title(f"Simulated: {found['cases']:,} cases drawn from the knowledge itself")
    lines += said(
        "Told apart, since simulated calibration is nearly free: the numbers that draw a case are those that rank it. What is looked "
        f"at is chosen without knowing what it shows. {found['seconds']:.0f} s; {found['without_leader']:,} cases show nothing "
        "and have no leader.",
        width,
    )
    lines += said(f"What comes first is there: {count(found['leader_there'])}, {share(found['leader_there'])}.", width)
    for name, words in (
        ("leader", "the leader"),
        ("pairs", f"every cause and case from {found['pairs_from']:g}"),
        ("pairs_of_faults", "the same, real faults only"),
    ):
        part = found[name]
        if part["of"]:
            lines += ["", f"{words}: {part['of']:,} chances", *_calibrated(part)]
    if found["confusion"]:
        lines += ["", "One fault there, another told first:"]
        lines += [f"{p['times']:>6}  {p['truth']} → {p['told']}" for p in found["confusion"][:SHOWN]]
    return lines


def _calibrated(part: Mapping[str, Any]) -> list[str]:
    bins: Sequence[Mapping[str, Any]] = part["bins"]
    return [
        f"  calibration error {number(part['error'])}",
        f"  slope             {number(part['slope'])}; right is 1",
        f"  intercept         {number(part['intercept'])}; right is 0",
        f"  Brier             {part['brier']:.4f}",
        "  told  " + " ".join(f"{100 * b['told']:5.1f}" for b in bins) + "  %",
        "  there " + " ".join(f"{100 * b['there']:5.1f}" for b in bins) + "  %",
    ]
