"""`diagnose coolant`: the mix from its readings, how to correct it, and when it is due."""

from __future__ import annotations

import json as jsonlib
from typing import TYPE_CHECKING, Annotated, Any

import typer

from diagnose.cli import coolant_words as words

if TYPE_CHECKING:
    from diagnose.derive.glycol import Glycol
    from diagnose.derive.measure import Measure
    from diagnose.derive.sample import Mix, Sample
    from diagnose.errors import DiagnoseError

app = typer.Typer(no_args_is_help=True, help="Coolant: what the readings mean, how to correct the mix, when it is due.")

Json = Annotated[bool, typer.Option("--json", help="Print the figures as JSON instead of sentences.")]


def _quantity(text: str | None, unit: str) -> float | None:
    """A quantity in the canonical `unit`, or None where it was not given."""
    if text is None:
        return None
    from diagnose.case.quantity import parse

    return parse(text, unit)


def _given(text: str, unit: str) -> float:
    from diagnose.case.quantity import parse

    return parse(text, unit)


def _share(text: str) -> float:
    """A strength as a fraction 0..1, from "50 %", "0.5", or the words concentrate, premix and water."""
    named = {"concentrate": 1.0, "premix": 0.5, "water": 0.0}
    if text.strip().lower() in named:
        return named[text.strip().lower()]
    value = _given(text, "vol %")
    # a bare number up to 1 is a fraction, as printed by this tool itself
    return value if value <= 1.0 and "%" not in text else value / 100.0


def _glycol(text: str) -> Glycol | None:
    from diagnose.errors import InputError, Problem

    word = text.strip().lower()
    if word in ("eg", "ethylene", "ethylene glycol"):
        return "eg"
    if word in ("pg", "propylene", "propylene glycol"):
        return "pg"
    if word in ("unknown", "?", ""):
        return None
    raise InputError(Problem(f"'{text}' is not a glycol known here", allowed="Use eg (ethylene), pg (propylene) or unknown."))


def _plain(m: Measure | None) -> dict[str, Any] | None:
    """A figure for JSON, rounded well below its own spread."""
    if m is None:
        return None
    return {"value": round(m.value, 4), "sd": round(m.sd, 4), "unit": m.unit, "formula": m.formula, "source": m.source}


def _fail(why: Exception) -> DiagnoseError:
    """What a derivation refuses, as an error whose text a user may read."""
    from diagnose.errors import DiagnoseError

    return DiagnoseError(f"Cannot judge: {why}.")


@app.command()
def mix(
    glycol: Annotated[str, typer.Option(help="eg (ethylene), pg (propylene) or unknown.")] = "unknown",
    float_: Annotated[str | None, typer.Option("--float", help='Mark of a float tester for ethylene glycol, e.g. "-20 °F".')] = None,
    float_at: Annotated[str, typer.Option(help="Temperature of the coolant in the float tester.")] = "20 °C",
    float_corrected: Annotated[bool, typer.Option(help="The tester's own thermometer table was applied already.")] = False,
    gravity: Annotated[str | None, typer.Option(help="Specific gravity, e.g. 1.067.")] = None,
    gravity_at: Annotated[str, typer.Option(help="Temperature of the coolant at that reading.")] = "20 °C",
    refractometer: Annotated[str | None, typer.Option(help='Mark on a freezing scale, e.g. "-34 °F".')] = None,
    scale: Annotated[str, typer.Option(help="Whose scale that is: eg or pg.")] = "eg",
    refractometer_at: Annotated[str, typer.Option(help="Temperature of prism and drop.")] = "20 °C",
    uncompensated: Annotated[bool, typer.Option(help="The refractometer does not correct for temperature itself.")] = False,
    index: Annotated[str | None, typer.Option(help="Refractive index nD, e.g. 1.3838.")] = None,
    index_at: Annotated[str, typer.Option(help="Temperature of that reading.")] = "20 °C",
    freezing: Annotated[str | None, typer.Option(help='Freezing point found by cooling, e.g. "-36 °C".')] = None,
    strip: Annotated[str | None, typer.Option(help='Strip field as concentrate, e.g. "50 %".')] = None,
    float_accuracy: Annotated[str | None, typer.Option(help="One standard deviation of the float, a specific gravity, e.g. 0.004.")] = None,
    gravity_accuracy: Annotated[str | None, typer.Option(help="The same of the specific gravity.")] = None,
    refractometer_accuracy: Annotated[str | None, typer.Option(help="The same of the freezing scale, e.g. 1 K.")] = None,
    strip_accuracy: Annotated[str | None, typer.Option(help='The same of the strip, e.g. "5 %".')] = None,
    cap: Annotated[str, typer.Option(help='What the cap holds, e.g. "15 psi" or "1.1 bar"; 0 is open.')] = "0 bar",
    altitude: Annotated[str, typer.Option(help="Where the vehicle works, above sea level.")] = "0 m",
    coldest: Annotated[str | None, typer.Option(help="Coldest temperature where the vehicle stands.")] = None,
    maker_minimum: Annotated[str | None, typer.Option(help="Freezing point that the maker asks for.")] = None,
    hottest: Annotated[str | None, typer.Option(help="Hottest running temperature seen or specified.")] = None,
    chart: Annotated[bool, typer.Option("--chart", help="Draw the points and margins on a temperature scale below.")] = False,
    svg: Annotated[str | None, typer.Option(help="Write that picture to this SVG file.")] = None,
    json: Json = False,
) -> None:
    """What the readings of the coolant mean: concentration, freezing and boiling point, and the margins."""
    from dataclasses import replace

    from diagnose.derive.measure import CannotJudge
    from diagnose.derive.sample import Sample

    known, scale_glycol = _glycol(glycol), _glycol(scale) or "eg"
    sample = Sample(
        float_c=_quantity(float_, "degC"),
        float_temperature_c=_given(float_at, "degC"),
        float_compensated=float_corrected,
        gravity=_quantity(gravity, "SG"),
        gravity_temperature_c=_given(gravity_at, "degC"),
        scale_c=_quantity(refractometer, "degC"),
        scale=scale_glycol,
        scale_temperature_c=_given(refractometer_at, "degC"),
        scale_compensated=not uncompensated,
        index=_quantity(index, ""),
        index_temperature_c=_given(index_at, "degC"),
        freezing_c=_quantity(freezing, "degC"),
        strip=None if strip is None else _share(strip),
    )
    stated: dict[str, Any] = {
        "float_sd": _quantity(float_accuracy, ""),
        "gravity_sd": _quantity(gravity_accuracy, ""),
        "scale_sd": _quantity(refractometer_accuracy, "K"),
        "strip_sd": None if strip_accuracy is None else _share(strip_accuracy),
    }
    given: dict[str, Any] = {name: value for name, value in stated.items() if value is not None}
    sample = replace(sample, **given)
    place = {
        "cap_bar": _given(cap, "bar"),
        "altitude_m": _given(altitude, "m"),
        "coldest_c": _quantity(coldest, "degC"),
        "maker_minimum_c": _quantity(maker_minimum, "degC"),
        "hottest_c": _quantity(hottest, "degC"),
    }
    found: list[dict[str, Any]] = []
    for each in (known,) if known else ("eg", "pg"):
        try:
            found.append(_judge(sample, each, place))
        except CannotJudge as why:
            found.append({"glycol": each, "cannot_judge": str(why)})
    if all("cannot_judge" in one for one in found):
        raise _fail(CannotJudge("; ".join(dict.fromkeys(one["cannot_judge"] for one in found))))
    result = {"glycol_likelihood": _identity(sample), "if_it_is": found}
    typer.echo(jsonlib.dumps(result, indent=2, ensure_ascii=False) if json else words.mix_words(result, known))
    _draw([one for one in found if "cannot_judge" not in one], chart and not json, svg)


def _draw(found: list[dict[str, Any]], chart: bool, svg: str | None) -> None:
    """The picture in the terminal, and as a file; with two glycols in question the file shows the first that fits the readings."""
    if not chart and svg is None:
        return
    from diagnose.cli import coolant_plot as plot

    if chart:
        for one in found:
            typer.echo(f"\n{words.NAMES[one['glycol']]}\n{plot.chart(one)}")
    if svg is not None:
        from pathlib import Path

        from diagnose.errors import InputError, Problem

        title = f"{found[0]['concentrate']['value']:.0%} concentrate, taken as {words.NAMES[found[0]['glycol']]}"
        try:
            Path(svg).write_text(plot.svg(found[0], title), encoding="utf-8")
        except OSError as why:
            raise InputError(
                Problem(f"'{svg}' cannot be written: {why.strerror}", allowed="Give a file in a folder that exists.")
            ) from None


def _identity(sample: Sample) -> dict[str, Any] | None:
    from diagnose.derive.measure import CannotJudge
    from diagnose.derive.sample import identify_sample

    try:
        who = identify_sample(sample)
    except CannotJudge:
        return None  # one instrument alone never tells; said in words by the caller
    return {"eg": round(who.eg, 3), "pg": round(who.pg, 3), "unclear": round(who.unclear, 3)}


def _judge(sample: Sample, glycol: Glycol, place: dict[str, Any]) -> dict[str, Any]:
    """Everything about one assumed glycol, as plain data."""
    from diagnose.derive.boiling import boiling_measure
    from diagnose.derive.freezing import freezing_measure
    from diagnose.derive.margin import boiling_margin, freezing_margin
    from diagnose.derive.measure import CannotJudge, below
    from diagnose.derive.sample import mix_of

    found: Mix = mix_of(sample, glycol)
    refused = list(found.refused)
    out: dict[str, Any] = {"glycol": glycol, "concentrate": _plain(found.concentrate)}
    out["readings"] = [{"instrument": name, **(_plain(m) or {})} for name, m in found.readings]
    try:
        freezing = freezing_measure(found.concentration, glycol)
        out["freezing_point"] = _plain(freezing)
        if place["coldest_c"] is not None or place["maker_minimum_c"] is not None:
            margin = freezing_margin(freezing, place["coldest_c"], place["maker_minimum_c"])
            out["freezing_margin"] = {**(_plain(margin) or {}), "chance_short": round(below(0.0, margin.value, margin.sd), 3)}
    except CannotJudge as why:
        refused.append(f"freezing point: {why}")
    try:
        boiling = boiling_measure(found.concentration, glycol, place["cap_bar"], place["altitude_m"])
        out["boiling_point"] = _plain(boiling)
        if place["hottest_c"] is not None:
            margin = boiling_margin(boiling, place["hottest_c"])
            out["boiling_margin"] = {**(_plain(margin) or {}), "chance_short": round(below(0.0, margin.value, margin.sd), 3)}
    except CannotJudge as why:
        refused.append(f"boiling point: {why}")
    out["refused"] = refused
    return out


@app.command()
def correct(
    volume: Annotated[str, typer.Option(help="The full system, e.g. 7.5 L.")],
    present: Annotated[str, typer.Option(help='The mix now as concentrate, e.g. "35 %".')],
    present_sd: Annotated[str, typer.Option(help="How sure that is.")] = "3 %",
    glycol: Annotated[str, typer.Option(help="eg or pg: for the target and for freezing points.")] = "eg",
    target: Annotated[str | None, typer.Option(help="Target as concentrate, 40 to 60 %; without it the climate decides.")] = None,
    coldest: Annotated[str | None, typer.Option(help="Coldest temperature where the vehicle stands.")] = None,
    maker_minimum: Annotated[str | None, typer.Option(help="Freezing point that the maker asks for.")] = None,
    add: Annotated[str | None, typer.Option(help='What is added: concentrate, premix, water, or a strength such as "50 %".')] = None,
    drainable: Annotated[
        str | None, typer.Option(help="What one draining yields from the full system (radiator only); all without it.")
    ] = None,
    missing: Annotated[str, typer.Option(help="By how much the system is low now.")] = "0 L",
    json: Json = False,
) -> None:
    """How much to drain and what to add to bring the mix to its target."""
    from diagnose.derive.correction import correct as derive
    from diagnose.derive.correction import target_fraction
    from diagnose.derive.measure import CannotJudge, Measure
    from diagnose.errors import InputError, Problem

    kind = _glycol(glycol)
    if kind is None:
        raise InputError(Problem("the glycol must be known to correct a mix", allowed="Use eg or pg; top up only with the same coolant."))
    if target is None and coldest is None and maker_minimum is None:
        raise InputError(Problem("no target", allowed="Give a target, the coldest temperature, or the maker's minimum."))
    litres, now = _given(volume, "L"), Measure(_share(present), _share(present_sd), "concentrate fraction")
    drain, low = _quantity(drainable, "L"), _given(missing, "L")
    try:
        aim = _share(target) if target else target_fraction(kind, _quantity(coldest, "degC"), _quantity(maker_minimum, "degC"))
    except CannotJudge as why:
        raise _fail(why) from None
    plans: list[dict[str, Any]] = []
    for product in [add] if add else ["concentrate", "premix", "water"]:
        try:
            c = derive(litres, now, aim, _share(product), drain, low)
        except CannotJudge as why:
            plans.append({"add": product, "cannot": str(why)})
            continue
        plans.append(
            {
                "add": product,
                "rounds": c.rounds,
                "first_drain_l": round(c.first_drain_l, 2),
                "level_below_full_l": round(c.level_l, 2),
                "drained_l": round(c.drained_l, 2),
                "added_l": round(c.added_l, 2),
                "reached": _plain(c.reached),
            }
        )
    if all("cannot" in p for p in plans):
        raise _fail(CannotJudge("; ".join(dict.fromkeys(p["cannot"] for p in plans))))
    result = {"target": round(aim, 3), "plans": plans}
    typer.echo(jsonlib.dumps(result, indent=2, ensure_ascii=False) if json else words.correct_words(result))


@app.command()
def refill(
    volume: Annotated[str, typer.Option(help="The full system, e.g. 7.5 L.")],
    drainable: Annotated[str, typer.Option(help="What one draining yields: radiator only, or with the block's plugs.")],
    target: Annotated[str | None, typer.Option(help='The mix wanted, as concentrate, e.g. "50 %".')] = None,
    present: Annotated[str, typer.Option(help="What is in now, as concentrate; water after a flush.")] = "water",
    product: Annotated[str, typer.Option(help="What is filled in: concentrate, premix or a strength.")] = "concentrate",
    purity: Annotated[str | None, typer.Option(help='How much old fluid may remain after repeated rounds, e.g. "5 %".')] = None,
    json: Json = False,
) -> None:
    """What a draining leaves behind, how to fill after it, and how many rounds make the system clean."""
    from diagnose.derive.correction import refill as derive
    from diagnose.derive.draining import old_left, rounds_to_purity
    from diagnose.derive.measure import CannotJudge

    litres, drain = _given(volume, "L"), _given(drainable, "L")
    result: dict[str, Any] = {}
    try:
        result["old_left_once"] = round(old_left(litres, drain), 4)
        if purity is not None:
            result["rounds"] = rounds_to_purity(litres, drain, _share(purity))
            result["old_left"] = round(old_left(litres, drain, result["rounds"]), 4)
    except CannotJudge as why:
        raise _fail(why) from None
    if target is not None:
        try:
            fill = derive(litres, litres - drain, _share(present), _share(target), _share(product))
            result["product_l"], result["water_l"] = round(fill[0], 2), round(fill[1], 2)
        except CannotJudge as why:
            result["cannot"] = str(why)
    typer.echo(jsonlib.dumps(result, indent=2, ensure_ascii=False) if json else words.refill_words(result))


@app.command()
def due(
    on: Annotated[str, typer.Option(help="The day for which to judge, YYYY-MM-DD.")],
    filled: Annotated[str | None, typer.Option(help="Day of the last complete fill, YYYY-MM-DD.")] = None,
    life_years: Annotated[str | None, typer.Option(help="The maker's life in years, e.g. 5 years.")] = None,
    life_distance: Annotated[str | None, typer.Option(help="The maker's life in distance, e.g. 250000 km.")] = None,
    distance_a_year: Annotated[str | None, typer.Option(help="What this vehicle drives in a year, e.g. 15000 km.")] = None,
    reading: Annotated[list[str] | None, typer.Option(help="DATE=VALUE, repeated: strip, reserve alkalinity, volts, pH.")] = None,
    accuracy: Annotated[float | None, typer.Option(help="One standard deviation of such a reading.")] = None,
    limit: Annotated[float | None, typer.Option(help="The value at which the coolant is spent.")] = None,
    rising: Annotated[bool, typer.Option(help="The value rises as the coolant wears (voltage); without it, it falls.")] = False,
    json: Json = False,
) -> None:
    """When the coolant is due, from age, distance and the trend of readings."""
    from diagnose.derive.interval import Reading, due_by_maker, due_by_trend, earliest, overdue
    from diagnose.derive.measure import CannotJudge, Measure
    from diagnose.errors import InputError, Problem

    now, ends, cannot = _years(on), {}, []
    if life_years or life_distance:
        if filled is None:
            raise InputError(Problem("the maker's life counts from the fill", allowed="Give --filled YYYY-MM-DD."))
        a_year = _quantity(distance_a_year, "km")
        try:
            ends["maker"] = due_by_maker(
                _years(filled),
                _quantity(life_years, "years"),
                _quantity(life_distance, "km"),
                None if a_year is None else Measure(a_year, 0.2 * a_year, "km/year"),  # estimate: years differ by a fifth
            )
        except CannotJudge as why:
            cannot.append(f"maker's life: {why}")
    if reading:
        if accuracy is None or limit is None:
            raise InputError(Problem("readings need their accuracy and a limit", allowed="Give --accuracy and --limit."))
        points = [Reading(_years(day), value, accuracy) for day, value in map(_dated, reading)]
        try:
            ends["trend"] = due_by_trend(points, limit, not rising)
        except CannotJudge as why:
            cannot.append(f"readings: {why}")
    if not ends:
        raise _fail(CannotJudge("; ".join(cannot) or "give the maker's life with the fill, or dated readings"))
    first = ends["maker"] if "trend" not in ends else ends["trend"] if "maker" not in ends else earliest(ends["maker"], ends["trend"])
    result = {
        "due": _day(first.value),
        "earliest_likely": _day(first.value - 1.64 * first.sd),
        "latest_likely": _day(first.value + 1.64 * first.sd),
        "chance_overdue": round(overdue(first, now), 3),
        "by": {name: {"due": _day(m.value), "sd_years": round(m.sd, 2), "source": m.source} for name, m in ends.items()},
        "cannot_judge": cannot,
    }
    typer.echo(jsonlib.dumps(result, indent=2, ensure_ascii=False) if json else words.due_words(result, on))


def _dated(text: str) -> tuple[str, float]:
    from diagnose.errors import InputError, Problem

    day, _, value = text.partition("=")
    try:
        return day, float(value)
    except ValueError:
        raise InputError(Problem(f"'{text}' is not a dated reading", allowed="Write for example 2024-05-01=8.2.")) from None


def _years(day: str) -> float:
    """Years since 1 January 2000 of an ISO date."""
    from datetime import date

    from diagnose.errors import InputError, Problem

    try:
        return (date.fromisoformat(day.strip()) - date(2000, 1, 1)).days / 365.25
    except ValueError:
        raise InputError(Problem(f"'{day}' is not a date", allowed="Write YYYY-MM-DD.")) from None


def _day(years: float) -> str:
    """ISO date of years since 1 January 2000; far ends are cut at 1970 and 2199 so that a wide answer still prints."""
    from datetime import date, timedelta

    days = max(-10957.0, min(72684.0, years * 365.25))
    return (date(2000, 1, 1) + timedelta(days=days)).isoformat()
