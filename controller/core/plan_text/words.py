"""Every key of a plan in words: what it means, and an example as the file writes it.

The JSON Schema and the error messages take both from here, so they cannot disagree. A
meaning is left empty where the field in `plan` describes itself.
"""

from __future__ import annotations

from typing import NamedTuple

from controller.core.water.fittings import FITTINGS


class Word(NamedTuple):
    """An example value, as TOML writes it (a table's: its header), and the key's meaning."""

    example: str
    meaning: str = ""


WORDS: dict[str, dict[str, Word]] = {
    "Plan": {
        "format": Word("1", "version of the plan's format"),
        "site": Word("[site]", "where the plants stand"),
        "loads": Word("[loads.pump]", "the things that relays switch, each under its name"),
        "sensors": Word("[sensors.air]", "the readings that the plan asks for, each by name"),
        "stands": Word("[stands.heads]", "the plants, each lot that is alike under its name"),
        "reservoirs": Word("[reservoirs.tank]", "the tanks that water is drawn from, each by name"),
        "guards": Word("[guards]", "what overrides the plan to protect people, plants and pumps"),
        "energy": Word("[energy]", "what a kilowatt-hour costs"),
        "limits": Word("[limits]", "what a dry run must hold over all loads together"),
    },
    "Site": {
        "latitude": Word("47.1"),
        "longitude": Word("8.3"),
        "timezone": Word('"Europe/Zurich"'),
        "elevation_m": Word("450", "metres above sea level"),
        "typical_day": Word("[site.typical_day]", "the air of a day, for dry runs without weather"),
    },
    "TypicalDay": {
        "coolest_c": Word("12.0"),
        "warmest_c": Word("27.0"),
    },
    "Load": {
        "kind": Word('"pump"', "what the relay switches"),
        "line": Word("17"),
        "active": Word('"low"'),
        "contact": Word('"normally-open"'),
        "mains": Word("false"),
        "watts": Word("22", "power that the load takes while it is on, in W"),
        "longest_on": Word('"45m"', "the load is never on for longer than this at a stretch"),
        "shortest_on": Word('"5s"', "once on, the load stays on for at least this"),
        "shortest_off": Word('"5s"', "once off, the load stays off for at least this"),
        "when_stopped": Word('"off"', "the load's state while the controller does not run"),
        "without_clock": Word('"15m on, 15m off"', "the cycle while no clock can be trusted"),
        "contact_life": Word("100000"),
        "level": Word('"float"'),
        "flow": Word('"meter"'),
        "flow_within": Word('"30s"', "time that the water may take to reach the flow sensor"),
        "lift": Word("[loads.pump.lift]", "how the load gets water to the top of the columns"),
        "reservoir": Word('"tank"'),
        "spans": Word("[[loads.pump.spans]]", "the parts of the day, each with its cycle"),
        "variants": Word("[[loads.pump.variants]]", "other spans, used while a condition holds"),
        "limits": Word("[loads.pump.limits]", "what a dry run must hold for this load"),
    },
    "Span": {
        "from": Word('"sunrise - 30m"', "the moment of the day at which the span starts"),
        "cycle": Word(
            '"15m on, 15m off"',
            "what the load does from then on, over and over; `demand` lets the plants' thirst "
            "decide how long it rests and waters",
        ),
        "fixed": Word(
            '"15m on, 15m off"',
            "with demand: the cycle while the readings that it goes by are missing",
        ),
        "longest_rest": Word('"45m"', "with demand: the plants never rest longer than this"),
        "shortest_rest": Word('"5m"', "with demand: they rest at least this"),
        "shortest_watering": Word('"3m"', "with demand: a watering lasts at least this"),
        "longest_watering": Word('"20m"', "with demand: a watering lasts at most this"),
    },
    "Variant": {
        "name": Word('"hot"', "what people call the variant"),
        "sensor": Word('"air"', "the sensor whose reading decides"),
        "above": Word("32.0", "the variant is entered when the reading rises above this"),
        "below": Word("5.0", "the variant is entered when the reading falls below this"),
        "until": Word("29.0", "the variant is left when the reading comes back to this"),
        "at_least": Word('"30m"', "once entered, the variant lasts at least this"),
        "by_hand": Word("true"),
        "spans": Word("[[loads.pump.variants.spans]]", "the parts of the day in this variant"),
    },
    "LoadLimits": {
        "longest_dry_gap": Word('"50m"', "longest time from one watering's end to the next"),
        "starts_per_day": Word("96", "most starts in a day"),
        "on_per_day": Word('"12h"', "longest time on in a day, all stretches together"),
        "energy_per_month_kwh": Word("10.0", "most energy in a month, in kWh"),
    },
    "Sensor": {
        "measures": Word('"air_temperature"', "the quantity that the sensor reads"),
        "stale_after": Word('"10m"', "a reading older than this counts as none"),
        "every": Word('"60s"'),
        "file": Word('"/sys/class/hwmon/hwmon0/temp1_input"'),
        "scale": Word("0.001"),
        "offset": Word("-250.0"),
        "line": Word("5"),
        "contact": Word('"normally-closed"'),
        "pull": Word('"up"'),
        "debounce": Word('"0.05s"'),
        "pulses_per_litre": Word("450.0"),
    },
    "Guards": {
        "starts_together": Word("1", "how many loads may start within `starts_apart`"),
        "starts_apart": Word('"2s"'),
        "watts_at_once": Word("400", "most power that all loads may take together, in W"),
        "leak": Word('"drip"'),
        "stop_switch": Word('"stop"'),
    },
    "Energy": {
        "price_per_kwh": Word("0.28", "price of one kWh at any time; or state a tariff"),
        "currency": Word('"CHF"', "the currency of the price"),
        "tariff": Word("[[energy.tariff]]", "prices by the time of day, each until the next"),
    },
    "TariffEntry": {
        "from": Word('"22:00"', "the time of the clock from which the price holds"),
        "price_per_kwh": Word("0.19", "price of one kWh from then on"),
    },
    "Stand": {
        "watered_by": Word('"pump"', "the pump or valve that waters the plants"),
        "plants": Word("40", "how many plants there are"),
        "age_days": Word("35"),
        "sown": Word(
            "2026-06-01", "date of sowing, from which the plants age; or state `age_days`"
        ),
        "medium": Word('"expanded-clay"', "what the roots stand in"),
        "medium_ml": Word("90"),
        "place": Word('"outdoors"', "where the plants get their light and air"),
        "plants_per_m2": Word("25"),
        "light_share": Word("0.7"),
        "lamp": Word('"lamp"', "the load that lights the plants under lamps"),
        "ppfd_umol": Word("220"),
        "air": Word('"air"', "sensor of the air's temperature near the plants"),
        "humidity": Word('"damp"', "sensor of the air's humidity near the plants"),
        "air_c": Word("22"),
        "humidity_pct": Word("65"),
        "air_speed_m_s": Word("0.3"),
        "drip_ml_per_min": Word("50"),
        "reserve": Word("0.3"),
    },
    "Lift": {
        "height_m": Word("1.5"),
        "shut_off_head_m": Word("2.0"),
        "free_flow_l_per_h": Word("1000"),
        "curve": Word(
            "[[1000, 0.0], [700, 1.0], [0, 2.0]]", "points of the pump's curve, in L/h and m"
        ),
        "hose_bore_mm": Word("13"),
        "hose_length_m": Word("2.0"),
        "hose_roughness_mm": Word("0.0015"),
        "fittings": Word("[loads.pump.lift.fittings]", "what the water passes on its way up"),
        "loss_coefficient": Word("5.0"),
    },
    "Fittings": {name: Word("1") for name in FITTINGS},
    "Reservoir": {
        "full_l": Word("60"),
        "inlet_at_l": Word("8"),
        "top_up_at_l": Word("20"),
        "losses_l_per_day": Word("0.5"),
        "ec_ms_per_cm": Word("1.6"),
        "ppm_scale": Word("500"),
        "water_c": Word("21"),
    },
    "SiteLimits": {
        "energy_per_month_kwh": Word("50.0", "most energy in a month, in kWh"),
        "cost_per_month": Word("15.0", "highest cost of energy in a month"),
        "watts_at_once": Word("400", "most power at any moment, in W"),
    },
}
