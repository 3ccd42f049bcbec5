"""`readings`: sensor, surfaces and hoses, loss, gas and codes, one reading at a time."""

from __future__ import annotations

from typing import Annotated

import typer

from diagnose.cli.figure import Json, judged, needed, pairs, quantity, show

app = typer.Typer(no_args_is_help=True, help="Sensor, infrared, hoses, loss rate, gas in the coolant, and trouble codes.")

Fuel = Annotated[str, typer.Option(help="petrol or diesel.")]
Engine = Annotated[str, typer.Option(help="idle, or load (a loaded run just before).")]
Nominal = Annotated[str, typer.Option(help="Thermostat's stamped temperature, such as '88 C'.")]


@app.command("sensor")
def sensor(
    shown: Annotated[str, typer.Option(help="Temperature on the gauge or scan tool.")],
    thermometer: Annotated[str, typer.Option(help="Second thermometer at the sensor.")],
    ohm: Annotated[str | None, typer.Option(help="Sensor's resistance at its plug, unplugged, same moment: '320 ohm'.")] = None,
    point: Annotated[list[str] | None, typer.Option(help="Two points of the maker's table: --point '25 C=2500 ohm'.")] = None,
    as_json: Json = False,
) -> None:
    """A temperature reading: real, the sensor, or the wiring."""
    from diagnose.derive.sensor import compare

    with judged():
        result = compare(
            needed(shown, "degC"),
            needed(thermometer, "degC"),
            sensor_ohm=quantity(ohm, "ohm"),
            curve=_curve(point) if point else None,
        )
    show(result, as_json)


@app.command("ntc")
def ntc(
    ohm: Annotated[str, typer.Argument(help="Resistance, such as '1.2 kohm'.")],
    point: Annotated[list[str], typer.Option(help="Two points of the maker's table: --point '25 C=2500 ohm'.")],
    as_json: Json = False,
) -> None:
    """Temperature of a sensor from its resistance."""
    from diagnose.derive.measure import Measure
    from diagnose.derive.ntc import beta_temperature

    with judged():
        value = beta_temperature(needed(ohm, "ohm"), *_curve(point))
    show(Measure(value, 3.0, "°C", "beta curve through the two points", "thermistor texts; spread: estimate"), as_json)


def _curve(points: list[str]) -> tuple[float, float]:
    from diagnose.derive.ntc import fit_beta
    from diagnose.errors import InputError, Problem

    read = [(needed(name, "degC"), ohm) for name, ohm in pairs(points, "ohm", "--point").items()]
    if len(read) != 2:
        raise InputError(Problem(f"{len(read)} points given", allowed="Give two: --point '25 C=2500 ohm' --point '90 C=310 ohm'."))
    (t1, r1), (t2, r2) = read
    return fit_beta(r1, t1, r2, t2)


@app.command("infrared")
def infrared(
    shown: Annotated[str, typer.Argument(help="What the instrument shows.")],
    surface: Annotated[str, typer.Option(help="rubber, tape, paint, plastic, rusty iron, cast iron, oxidised/bare aluminium, bare brass.")],
    surroundings: Annotated[str, typer.Option(help="What the spot mirrors: temperature around.")] = "20 C",
    setting: Annotated[float, typer.Option(help="Emissivity set on the instrument.")] = 0.95,
    as_json: Json = False,
) -> None:
    """What an infrared reading is worth."""
    from diagnose.derive import infrared as ir

    with judged():
        result = ir.infrared(needed(shown, "degC"), surface, needed(surroundings, "degC"), set_emissivity=setting)
    show(result, as_json)


@app.command("thermostat")
def thermostat(
    engine: Annotated[str, typer.Option(help="Temperature on the engine side.")],
    hose: Annotated[str, typer.Option(help="Temperature of the hose behind it.")],
    nominal: Nominal,
    as_json: Json = False,
) -> None:
    """Temperatures across the thermostat. Keep clear of fan and belt."""
    from diagnose.derive.hoses import across_thermostat

    with judged():
        result = across_thermostat(needed(engine, "degC"), needed(hose, "degC"), needed(nominal, "degC"))
    show(result, as_json)


@app.command("radiator")
def radiator(
    inlet: Annotated[str, typer.Option(help="Inlet temperature.")],
    outlet: Annotated[str, typer.Option(help="Outlet temperature.")],
    ambient: Annotated[str, typer.Option(help="Outside air.")],
    fan: Annotated[bool | None, typer.Option("--fan/--no-fan", help="Fan on or off.")] = None,
    as_json: Json = False,
) -> None:
    """Temperatures across the radiator, thermostat open."""
    from diagnose.derive.hoses import across_radiator

    with judged():
        result = across_radiator(needed(inlet, "degC"), needed(outlet, "degC"), needed(ambient, "degC"), fan_on=fan)
    show(result, as_json)


@app.command("heater")
def heater(
    inlet: Annotated[str, typer.Option(help="Feed hose.")],
    outlet: Annotated[str, typer.Option(help="Return hose.")],
    engine: Annotated[str, typer.Option(help="Engine temperature.")],
    as_json: Json = False,
) -> None:
    """Temperatures at the heater hoses, full heat, blower on."""
    from diagnose.derive import hoses

    with judged():
        result = hoses.heater(needed(inlet, "degC"), needed(outlet, "degC"), needed(engine, "degC"))
    show(result, as_json)


@app.command("patches")
def patches(
    spot: Annotated[list[str], typer.Argument(help="Spots of the core from inlet to outlet: 'a=80 C' 'b=78 C' ...")],
    even: Annotated[bool, typer.Option("--fall/--no-fall", help="Take out the even fall from first to last.")] = True,
    as_json: Json = False,
) -> None:
    """Cold patches of a radiator core. Fan off, thermostat open."""
    from diagnose.derive.hoses import cold_patches

    spots = pairs(spot, "degC", "spot")
    with judged():
        result = cold_patches(spots, rows=tuple(spots) if even else ())
    show(result, as_json)


@app.command("loss")
def loss(
    top_up: Annotated[list[str], typer.Argument(help="Each top-up: 'LITRES,DISTANCE,DAYS', such as '0.5 L,400 km,10 days'; - if unknown.")],
    reserve: Annotated[str, typer.Option(help="Between the mark and where cooling suffers.")] = "0.5 L",
    as_json: Json = False,
) -> None:
    """Loss rate from top-ups: evaporation, seep or leak, and how long until it matters."""
    from diagnose.derive.loss import TopUp, loss_rate
    from diagnose.errors import InputError, Problem

    fills = []
    for text in top_up:
        parts = [None if p.strip() in ("", "-") else p.strip() for p in text.split(",")]
        if not 2 <= len(parts) <= 3 or parts[0] is None:
            raise InputError(
                Problem(f"{text!r} is not a top-up", allowed="Write '0.5 L,400 km,10 days', with a point in numbers; - if unknown.")
            )
        days = quantity(parts[2], "days") if len(parts) == 3 else None
        fills.append(TopUp(needed(parts[0], "L"), quantity(parts[1], "km"), days))
    with judged():
        result = loss_rate(fills, reserve_l=needed(reserve, "L"))
    show(result, as_json)


@app.command("indicator")
def indicator(
    colour: Annotated[str, typer.Argument(help="blue, green or yellow at the end.")],
    fuel: Fuel,
    engine: Engine,
    blank: Annotated[str, typer.Option(help="Clean-air blank: clear, turned or none.")] = "none",
    liquid: Annotated[bool | None, typer.Option("--liquid/--no-liquid", help="Coolant got into the fluid.")] = None,
    strength: Annotated[float, typer.Option(help="Reagent's bicarbonate in mmol/L; a diesel reagent is weaker.")] = 1.0,
    as_json: Json = False,
) -> None:
    """Indicator fluid over the neck. Opened cold, running, cap off; not indoors; stop when the level climbs."""
    from diagnose.derive import gas

    with judged():
        result = gas.indicator(colour, fuel, engine, blank=blank, liquid_carried=liquid, bicarbonate_mm=strength)
    show(result, as_json)


@app.command("analyser")
def analyser(
    fuel: Fuel,
    engine: Engine,
    hc: Annotated[float | None, typer.Option(help="HC, ppm.")] = None,
    co2: Annotated[float | None, typer.Option(help="CO2, vol %.")] = None,
    co: Annotated[float | None, typer.Option(help="CO, vol %.")] = None,
    room_hc: Annotated[float, typer.Option(help="HC of the room, ppm.")] = 10.0,
    rises: Annotated[bool | None, typer.Option("--rises/--no-rise", help="Rises with load.")] = None,
    smell: Annotated[bool, typer.Option(help="The coolant smells of fuel.")] = False,
    as_json: Json = False,
) -> None:
    """Exhaust-gas analyser over the neck; never let it draw liquid."""
    from diagnose.derive import gas

    with judged():
        result = gas.analyser(
            fuel, engine, hc_ppm=hc, co2_percent=co2, co_percent=co, room_hc_ppm=room_hc, rises_with_load=rises, fuel_smell=smell
        )
    show(result, as_json)


@app.command("code")
def code(code: Annotated[str, typer.Argument(help="Such as P0128.")], as_json: Json = False) -> None:
    """What a trouble code's monitor really tests."""
    from diagnose.derive.codes import lookup

    with judged():
        result = lookup(code)
    show(result, as_json)


@app.command("warm-up")
def warm_up(
    highest: Annotated[str, typer.Option(help="Highest temperature the warm-up reached.")], nominal: Nominal, as_json: Json = False
) -> None:
    """Would this warm-up set the thermostat code?"""
    from diagnose.derive import codes

    with judged():
        result = codes.warm_up(needed(highest, "degC"), needed(nominal, "degC"))
    show(result, as_json)
