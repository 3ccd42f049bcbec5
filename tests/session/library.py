"""The case library played by a simulated mechanic: prompts, minutes, cost, how often the decision is right, and how long each answer
takes; the program's own order, the expert's frozen one, and the cheapest first.

Run: python tests/session/library.py [own expert cheapest] [--part N/OF] > FILE; then python tests/session/library.py --sum FILES.
The truth is the case as it is written, and one world drawn from the knowledge for all that it does not mention; one answer in ten
is "unknown". Cases that are set aside are counted and never told one by one.
"""

from __future__ import annotations

import json
import statistics
import sys
import zlib
from collections.abc import Sequence
from pathlib import Path
from random import Random
from typing import Any

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from mechanic import Played, play, right  # noqa: E402
from ordered import cheapest, expert  # noqa: E402
from truth import rest_of  # noqa: E402

from diagnose.case.case import Case  # noqa: E402
from diagnose.intake.casefile import read_case  # noqa: E402
from diagnose.knowledge.knowledge import Knowledge  # noqa: E402
from diagnose.knowledge.load import load  # noqa: E402
from diagnose.plan.settings import Settings  # noqa: E402

CASES = Path(__file__).parents[2] / "cases"
WAYS = ("own", "expert", "cheapest")
SLIPS = 0.1
PACE = 0.18  # seconds for three million turns of an empty loop with one multiplication, on a current desktop
DRAWS = 2000  # of the bootstrap


def library(knowledge: Knowledge) -> list[tuple[str, Case]]:
    """Cases with a complaint and a decision to be right about, before anything was repaired."""
    cases = [(p.stem, read_case(p, None, knowledge)) for p in sorted(CASES.glob("*.yaml"))]
    return [(n, c) for n, c in cases if c.complaint and not c.done and ("leader" in (c.expect or {}) or _sound(c))]


def _sound(case: Case) -> bool:
    return bool((case.expect or {}).get("nothing_wrong") == "yes")


def said(case: Case, knowledge: Knowledge) -> list[str]:
    """What the customer's words name, as the program understands them, in the order of the words."""
    from diagnose.intake.words.observe import understand

    heard = understand(case.complaint or "", knowledge).heard
    return [h.observation.of for h in heard if h.observation.answer in ("yes", "unsure") or h.observation.answer not in ("no", "unknown")]


def one(name: str, case: Case, knowledge: Knowledge, ways: Sequence[str]) -> dict[str, Any]:
    """All ways of one case, as plain data."""
    seed = zlib.crc32(name.encode())
    rest = rest_of(case, knowledge, Random(seed))
    out: dict[str, Any] = {"name": name, "set": (case.expect or {}).get("set", "none"), "sound": _sound(case)}
    for way in ways:
        order = None
        if way == "expert":
            order = expert(said(case, knowledge))
        elif way == "cheapest":
            order = cheapest(knowledge, Settings(), case.vehicle.model_dump(exclude={"name"}))
        played = play(case, knowledge, slips=SLIPS, seed=seed, rest=rest, order=order)
        out[way] = _plain(played, case)
    return out


def _plain(played: Played, case: Case) -> dict[str, Any]:
    return {
        "prompts": played.prompts, "minutes": played.minutes, "hours": round(played.hours, 4),
        "right": right(played.end, case.expect or {}),
        "verdict": played.end.verdict, "why": played.why, "first": played.end.ranking[0].id if played.end.ranking else "",
        "asked": played.asked, "gone": played.gone, "took": [[round(x, 4) for x in t] for t in played.took],
    }  # fmt: skip


def interval(values: Sequence[float], of: Any = statistics.fmean) -> tuple[float, float]:
    """The middle 95 % of the bootstrap of a statistic."""
    rng = Random(1)
    drawn = sorted(of(rng.choices(values, k=len(values))) for _ in range(DRAWS))
    return drawn[int(0.025 * DRAWS)], drawn[int(0.975 * DRAWS)]


def saved(rows: Sequence[dict[str, Any]], than: str, what: str) -> tuple[float, float, float]:
    """How much less the own order takes, as a share, with its interval: cases drawn, both ways of a case together."""
    pairs = [(r["own"][what], r[than][what]) for r in rows]

    def share(chosen: Sequence[tuple[float, float]]) -> float:
        return 1.0 - sum(a for a, _ in chosen) / sum(b for _, b in chosen)

    rng = Random(1)
    drawn = sorted(share(rng.choices(pairs, k=len(pairs))) for _ in range(DRAWS))
    return share(pairs), drawn[int(0.025 * DRAWS)], drawn[int(0.975 * DRAWS)]


def summed(rows: Sequence[dict[str, Any]]) -> None:
    """Print the figures of all cases, then of those set aside and the others."""
    ways = [w for w in WAYS if w in rows[0]]
    groups = {"all": rows, "set aside": [r for r in rows if r["set"] == "aside"], "the others": [r for r in rows if r["set"] != "aside"]}
    for title, group in groups.items():
        print(f"{title}: {len(group)} cases")
        for way in ways if group else []:
            prompts = sorted(r[way]["prompts"] for r in group)
            good = [float(bool(r[way]["right"])) for r in group]
            minutes = [r[way]["minutes"] for r in group]
            hours = [r[way]["hours"] for r in group]
            print(
                f"  {way:9} prompts median {statistics.median(prompts):g}, 90 % {prompts[int(0.9 * len(prompts))]}, most {prompts[-1]}; "
                f"right {statistics.fmean(good):.1%} [{_span(good, 100)}]; minutes {statistics.fmean(minutes):.1f} [{_span(minutes)}]; "
                f"hours' worth {statistics.fmean(hours):.2f} [{_span(hours)}]"
            )
        for than in ways[1:] if group and ways[0] == "own" else []:
            for what in ("prompts", "minutes", "hours"):
                share, low, high = saved(group, than, what)
                print(f"  own against {than}: {what} {share:.1%} less [{low:.1%}, {high:.1%}]")
    if "own" in rows[0]:
        _told(rows)


def _span(values: Sequence[float], times: float = 1.0) -> str:
    low, high = interval(values)
    return f"{low * times:.2f} to {high * times:.2f}"


def _told(rows: Sequence[dict[str, Any]]) -> None:
    prompts = [r["own"]["prompts"] for r in rows]
    print("prompts, how many cases: " + ", ".join(f"{n}: {prompts.count(n)}" for n in sorted(set(prompts))))
    times = [t for r in rows for t in r["own"]["took"]]
    _spread("wall", [t[0] for t in times])
    _spread("processor", [t[1] for t in times])
    _spread(f"processor, where three million turns take {PACE} s", [PACE * t[1] / t[2] for t in times])
    shown = [r for r in rows if r["set"] != "aside"]
    print("the ten longest of those not set aside:")
    for r in sorted(shown, key=lambda r: (-r["own"]["prompts"], r["name"]))[:10]:
        print(f"  {r['own']['prompts']} prompts, {r['own']['minutes']:g} min, {'right' if r['own']['right'] else 'WRONG'}: {r['name']}")
    print("wrong, of those not set aside:")
    for r in shown:
        if not r["own"]["right"]:
            print(f"  {r['own']['prompts']} prompts, {r['own']['verdict']}, {r['own']['first']}: {r['name']}")


def _spread(label: str, took: list[float]) -> None:
    took.sort()
    late = took[int(0.95 * len(took))]
    print(f"answer to next question, {label}: median {took[len(took) // 2]:.3f} s, p95 {late:.3f} s, most {took[-1]:.3f} s")


def main(words: list[str]) -> None:
    """Play, one line of JSON a case; or sum up the lines of earlier runs."""
    if words and words[0] == "--sum":
        lines = [line for file in words[1:] for line in Path(file).read_text(encoding="utf-8").splitlines() if line.startswith("{")]
        rows: dict[str, dict[str, Any]] = {}
        for line in lines:
            row = json.loads(line)
            rows.setdefault(row["name"], {}).update(row)
        ways = [w for w in WAYS if any(w in r for r in rows.values())]
        summed([r for _, r in sorted(rows.items()) if all(w in r for w in ways)])
        return
    part, of = 0, 1
    if "--part" in words:
        part, of = (int(x) for x in words[words.index("--part") + 1].split("/"))
    ways = [w for w in WAYS if w in words] or list(WAYS)
    knowledge = load()
    for name, case in library(knowledge)[part % of :: of]:
        print(json.dumps(one(name, case, knowledge, ways)), flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
