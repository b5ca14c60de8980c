"""The plan: everything a grower states, as values.

These models are the shape of the TOML file (`rootclock schema` prints them as JSON
Schema) and, once read, the plan itself: frozen, with cycles, anchors and durations
already parsed. What several of them share, and what stands beside loads and sensors, is in
`plan_parts`. Rules that need more than one field to tell are in `plan_rules`.
"""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from controller.core.plan_parts.energy import Energy
from controller.core.plan_parts.spans import Spans
from controller.core.plan_parts.values import CycleText, DurationMs, Name, Part
from controller.core.plan_parts.water import RESERVOIRS_MAX, STANDS_MAX, Lift, Reservoir, Stand

LOADS_MAX = 54  # as many as the board has lines
SENSOR_EVERY_MS_MIN = 1_000  # what changes faster is told by an edge of its line

Kind: TypeAlias = Literal["pump", "lamp", "fan", "valve", "heater"]
Contact: TypeAlias = Literal["normally-open", "normally-closed"]
Quantity: TypeAlias = Literal[
    "air_temperature",  # °C
    "humidity",  # % relative
    "water_temperature",  # °C
    "light",  # W/m²
    "level",  # 1: water stands at the float, 0: below it
    "flow",  # L/min
    "leak",  # 1: wet, 0: dry
    "stop",  # 1: pressed, 0: released
]


class TypicalDay(Part):
    """A day's air for dry runs without a weather file, as the grower knows the place."""

    coolest_c: float = Field(ge=-60, le=60, description="coolest of the day, °C, near sunrise")
    warmest_c: float = Field(ge=-60, le=60, description="warmest of the day, °C, mid-afternoon")


class Site(Part):
    """Where the plants stand."""

    latitude: float = Field(ge=-90, le=90, description="degrees, north positive")
    longitude: float = Field(ge=-180, le=180, description="degrees, east positive")
    timezone: str = Field(
        min_length=1, max_length=64, description="name in the tz database, like Europe/Zurich"
    )
    elevation_m: float | None = Field(default=None, ge=-500, le=6000)
    typical_day: TypicalDay | None = None


class Variant(Part):
    """Other spans for a load while a sensor's condition holds, or while a person says so.

    A sensor's variant is entered when the reading passes `above` (or falls below
    `below`), is left when it comes back past `until`, and lasts `at_least` that long.
    """

    name: str = Field(min_length=1, max_length=40)
    sensor: Name | None = None
    above: float | None = None
    below: float | None = None
    until: float | None = None
    at_least: DurationMs = 0
    by_hand: bool = Field(default=False, description="only a person's hold switches it on")
    spans: Spans


class LoadLimits(Part):
    """What a dry run must hold for one load; a broken one makes exit code 1."""

    longest_dry_gap: DurationMs | None = None
    starts_per_day: int | None = Field(default=None, ge=0, le=86_400)
    on_per_day: DurationMs | None = None
    energy_per_month_kwh: float | None = Field(default=None, ge=0, le=1e6)


class Load(Part):
    """One thing that a relay switches."""

    kind: Kind
    line: int = Field(ge=0, le=53, description="GPIO line, BCM number")
    active: Literal["low", "high"] = Field(
        description="level of the line that energises the relay's coil"
    )
    contact: Contact = Field(
        default="normally-open",
        description="the relay's contact that the load hangs on: a normally-open one closes, "
        "a normally-closed one opens while the coil is energised",
    )
    mains: bool | None = Field(
        default=None, description="whether the relay switches mains voltage; not said: it may"
    )
    watts: float | None = Field(default=None, ge=0, le=20_000)
    longest_on: DurationMs | None = None
    shortest_on: DurationMs = 1_000
    shortest_off: DurationMs = 1_000
    when_stopped: Literal["on", "off"] = "off"
    without_clock: CycleText | None = None
    contact_life: int = Field(
        # 1e5 operations at rated resistive load is what relay data sheets give under
        # IEC 61810-1 (electrical endurance); see tests/published.
        default=100_000,
        ge=1_000,
        le=1_000_000_000,
        description="operations that the relay's contact is rated for",
    )
    level: Name | None = Field(default=None, description="sensor without whose water it stops")
    flow: Name | None = Field(default=None, description="sensor that must see water move")
    flow_within: DurationMs = 30_000
    lift: Lift | None = None
    reservoir: Name | None = Field(
        default=None, description="the reservoir that the load draws its water from"
    )
    spans: Spans
    variants: Annotated[tuple[Variant, ...], Field(strict=False, max_length=20)] = ()
    limits: LoadLimits = LoadLimits()


class Sensor(Part):
    """A reading that the plan may ask for; older than `stale_after` it is no reading.

    It comes from a `file` of the kernel or from a `line` with a contact or pulses; one that
    has neither is known only in a dry run.
    """

    measures: Quantity
    stale_after: DurationMs = 600_000
    every: DurationMs | None = Field(
        default=None,
        description="how often it is read; not said: each minute, or three times within "
        "stale_after where that is more often",
    )
    file: str | None = Field(
        default=None,
        min_length=1,
        max_length=4096,
        description="file that holds the value: sysfs, iio, hwmon, 1-Wire",
    )
    # As the kernel's ABI for industrial I/O has it: (raw + offset) * scale.
    scale: float = Field(default=1.0, description="times (what the file says + offset)")
    offset: float = Field(default=0.0, description="added to what the file says, before scale")
    line: int | None = Field(default=None, ge=0, le=53, description="GPIO line, BCM number")
    contact: Contact = Field(
        default="normally-closed",
        description="a normally-closed contact is closed while all is well: water at the float, "
        "no leak, stop not pressed; a broken wire then shows",
    )
    pull: Literal["up", "down"] = Field(
        default="up", description="the line's resistor; the contact joins the line to the other"
    )
    debounce: DurationMs = Field(
        default=50, description="a contact must rest this long before it is believed"
    )
    pulses_per_litre: float | None = Field(
        default=None, ge=0.001, le=1e6, description="what a flow meter on a line gives a litre"
    )

    @property
    def every_ms(self) -> int:
        """How often it is read."""
        if self.every is not None:
            return self.every
        return max(SENSOR_EVERY_MS_MIN, min(60_000, self.stale_after // 3))


class Guards(Part):
    """What overrides the plan for people, plants, pumps and the supply."""

    starts_together: int = Field(default=1, ge=1, le=54)
    starts_apart: DurationMs = Field(
        default=0, description="within this time only `starts_together` loads start (inrush)"
    )
    watts_at_once: float | None = Field(default=None, gt=0, le=100_000)
    leak: Name | None = Field(default=None, description="sensor that stops pumps and valves")
    stop_switch: Name | None = Field(default=None, description="sensor that stops everything")


class SiteLimits(Part):
    """What a dry run must hold over all loads."""

    energy_per_month_kwh: float | None = Field(default=None, ge=0, le=1e6)
    cost_per_month: float | None = Field(default=None, ge=0, le=1e9)
    watts_at_once: float | None = Field(default=None, ge=0, le=1e6)


class Plan(Part):
    """The whole plan file."""

    format: Literal[1]
    site: Site
    loads: dict[Name, Load] = Field(min_length=1, max_length=LOADS_MAX)
    sensors: dict[Name, Sensor] = Field(default_factory=dict, max_length=100)
    stands: dict[Name, Stand] = Field(default_factory=dict, max_length=STANDS_MAX)
    reservoirs: dict[Name, Reservoir] = Field(default_factory=dict, max_length=RESERVOIRS_MAX)
    guards: Guards = Guards()
    energy: Energy | None = None
    limits: SiteLimits = SiteLimits()

    @property
    def currency(self) -> str:
        """What costs are in; empty where no price is stated."""
        return "" if self.energy is None else self.energy.currency

    def stands_on(self, load: str) -> dict[str, Stand]:
        """The stands that a load waters, by their names."""
        return {name: stand for name, stand in self.stands.items() if stand.watered_by == load}

    def plants_on(self, load: str) -> int:
        """How many plants a load waters."""
        return sum(stand.plants for stand in self.stands_on(load).values())
