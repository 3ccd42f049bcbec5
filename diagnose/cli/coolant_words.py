"""Sentences for the figures of `diagnose coolant`; they take the same plain data that --json prints."""

from __future__ import annotations

from typing import Any

CAUTION = "Coolant poisons people and pets: catch it, wipe it, lock it away. Open the cap only on a cold engine."

NAMES = {"eg": "ethylene glycol", "pg": "propylene glycol"}


def mix_words(result: dict[str, Any], known: str | None) -> str:
    """The mix: which glycol, then each assumed glycol with its points and margins."""
    lines: list[str] = []
    who = result["glycol_likelihood"]
    if who:
        lines.append(
            f"Which glycol, from weight and refraction: ethylene {who['eg']:.0%}, propylene {who['pg']:.0%}, "
            f"unclear (a mixture, glycerin) {who['unclear']:.0%}."
        )
        if known and who[known] < 0.1:
            lines.append(f"These two instruments speak against {NAMES[known]}.")
    elif known is None:
        lines.append("The glycol is not known and these readings cannot tell: both are shown, no verdict.")
    for one in result["if_it_is"]:
        lines += ["", *_one_mix(one)]
    return "\n".join([*lines, "", CAUTION]).strip()


def _one_mix(one: dict[str, Any]) -> list[str]:
    name = NAMES[one["glycol"]]
    if "cannot_judge" in one:
        return [f"As {name}: cannot judge: {one['cannot_judge']}."]
    share = one["concentrate"]
    lines = [f"As {name}: {share['value']:.0%} concentrate, ± {share['sd']:.0%}."]
    for key, words in (("freezing_point", "Freezes at"), ("boiling_point", "Boils at")):
        if key in one:
            lines.append(f"  {words} {one[key]['value']:.0f} °C, ± {one[key]['sd']:.1f} K ({one[key]['source']}).")
    for key, words in (("freezing_margin", "Margin against freezing"), ("boiling_margin", "Margin against boiling")):
        if key in one:
            m = one[key]
            lines.append(f"  {words}: {round(m['value']) or 0:+d} ± {m['sd']:.1f} K ({m['formula']});")
            lines.append(f"    chance that it is too little: {m['chance_short']:.0%}.")
    for reading in one["readings"]:
        lines.append(f"  From the {reading['instrument']}: {reading['value']:.0%} ± {reading['sd']:.0%} pure glycol.")
    return lines + [f"  Not used: {why}." for why in one["refused"]]


def correct_words(result: dict[str, Any]) -> str:
    """The ways to the target, one line a product."""
    lines = [f"Target: {result['target']:.0%} concentrate."]
    for p in result["plans"]:
        if "cannot" in p:
            lines.append(f"With {p['add']}: not possible: {p['cannot']}.")
            continue
        got = f"gives {p['reached']['value']:.0%} ± {p['reached']['sd']:.0%}"
        if p["rounds"] == 0:
            lines.append(f"With {p['add']}: add {p['added_l']:.1f} L, drain nothing: {got}.")
        elif p["rounds"] == 1:
            lines.append(f"With {p['add']}: drain {p['drained_l']:.1f} L, add {p['added_l']:.1f} L: {got}.")
        else:
            lines.append(
                f"With {p['add']}: {p['rounds']} times: drain cold to {p['level_below_full_l']:.1f} L below full, fill, run until "
                f"the thermostat opens, let cool; {p['drained_l']:.1f} L drained and {p['added_l']:.1f} L added in all: {got}."
            )
    lines.append("Use demineralised water and only the specified coolant; measure again after a warm run. Bleed as the manual says.")
    return "\n".join([*lines, CAUTION])


def due_words(result: dict[str, Any], on: str) -> str:
    """The date with its spread, and what it rests on."""
    names = {"maker": "the maker's life", "trend": "the readings"}
    lines = [f"Due about {result['due']} (nine in ten: {result['earliest_likely']} to {result['latest_likely']})."]
    lines.append(f"Chance that it is due already on {on}: {result['chance_overdue']:.0%}.")
    lines += [f"By {names[n]}: {m['due']}, ± {m['sd_years']:.1f} years ({m['source']})." for n, m in result["by"].items()]
    return "\n".join(lines + [f"Cannot judge the {why}." for why in result["cannot_judge"]])


def refill_words(result: dict[str, Any]) -> str:
    """What stays behind, how to fill, and how many rounds make it clean."""
    lines = [f"One draining leaves {result['old_left_once']:.0%} of the old fluid in the system."]
    if "product_l" in result:
        lines.append(f"Then fill {result['product_l']:.1f} L of the product and {result['water_l']:.1f} L of demineralised water.")
    if "cannot" in result:
        lines.append(f"The target cannot be filled at once: {result['cannot']}.")
    if "rounds" in result:
        lines.append(
            f"{result['rounds']} rounds of drain, fill and warm run leave {result['old_left']:.1%} of the old fluid; "
            "the last fill sets the mix."
        )
    return "\n".join([*lines, "Let the engine cool before each draining; keep hands from fan and belt while it runs.", CAUTION])
