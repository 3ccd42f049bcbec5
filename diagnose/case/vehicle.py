"""The vehicle: what it is and has, where it lives and works. A field left out is unknown, never "has not"."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from diagnose.case.fields import Bar, DegC, Km, Litres, Metres, Strict, Word, YesNo


class Vehicle(Strict):
    """Everything is optional. Quantities are held in the canonical unit (degC, bar, m, km, L)."""

    name: Annotated[str | None, Field(description="what you call it; not used")] = None
    fuel: Annotated[Literal["petrol", "diesel", "gas"] | None, Word, Field(description="gas: converted to or built for LPG or CNG")] = None
    hybrid: Annotated[YesNo, Field(description="has a high-voltage drive")] = None
    turbo: Annotated[YesNo, Field(description="turbocharged")] = None
    cap_on: Annotated[Literal["radiator", "bottle"] | None, Word, Field(description="where the pressure cap sits")] = None
    cap_rating: Annotated[Bar, Field(description="pressure the maker specifies for the cap, e.g. 15 psi or 1.1 bar")] = None
    fan: Annotated[Literal["electric", "viscous", "belt", "hydraulic"] | None, Word, Field(description="how the fan is driven")] = None
    pump: Annotated[
        Literal["belt", "timing_belt", "electric", "gear"] | None, Word, Field(description="how the coolant pump is driven")
    ] = None
    thermostat: Annotated[
        Literal["wax", "map", "rotary"] | None,
        Word,
        Field(description="plain wax, electrically heated and map-controlled, or a motor-driven rotary valve"),
    ] = None
    thermostat_opens: Annotated[DegC, Field(description="temperature stamped on the thermostat")] = None
    oil_cooler: Annotated[YesNo, Field(description="engine-oil cooler fed with coolant")] = None
    gearbox: Annotated[Literal["manual", "automatic"] | None, Word] = None
    gearbox_cooler: Annotated[
        Literal["in_radiator", "separate", "none"] | None, Word, Field(description="where gearbox fluid is cooled by coolant")
    ] = None
    exhaust_gas_cooler: Annotated[YesNo, Field(description="cooler for recirculated exhaust gas")] = None
    charge_cooler: Annotated[Literal["water", "air", "none"] | None, Word, Field(description="how charge air is cooled")] = None
    split_cooling: Annotated[YesNo, Field(description="head and block cooled apart, with a thermostat for the block")] = None
    fuel_burning_heater: Annotated[YesNo, Field(description="auxiliary or parking heater that burns fuel and heats the coolant")] = None
    second_loop: Annotated[YesNo, Field(description="a loop with its own bottle, for drive electronics or charge air")] = None
    rear_heater: Annotated[YesNo, Field(description="second heater with pipes to the rear")] = None
    auxiliary_pump: Annotated[YesNo, Field(description="electric after-run or heater pump")] = None
    air_conditioning: YesNo = None
    shutters: Annotated[YesNo, Field(description="active grille shutters")] = None
    block: Annotated[Literal["iron", "aluminium"] | None, Word] = None
    liners: Annotated[Literal["wet", "dry", "none"] | None, Word] = None
    glycol: Annotated[Literal["ethylene", "propylene"] | None, Word, Field(description="what the coolant in it is based on")] = None
    coolant_type: Annotated[Literal["organic", "inorganic", "hybrid"] | None, Word, Field(description="inhibitor technology specified")] = (
        None
    )
    lowest_ambient: Annotated[DegC, Field(description="coldest it will stand in")] = None
    highest_ambient: Annotated[DegC, Field(description="hottest it will work in")] = None
    altitude: Annotated[Metres, Field(description="height at which it lives or climbs to")] = None
    towing: Annotated[YesNo, Field(description="tows, or works loaded on hills")] = None
    short_trips: Annotated[YesNo, Field(description="mostly trips of a few minutes")] = None
    distance: Annotated[Km, Field(description="odometer")] = None
    system_volume: Annotated[Litres, Field(description="coolant in the whole system")] = None
    gauge: Annotated[Literal["needle", "number", "lamp"] | None, Word, Field(description="how it shows coolant temperature")] = None
