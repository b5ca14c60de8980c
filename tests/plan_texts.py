"""Plans as text for tests of reading and editing, and short ways to what is found in them."""

from __future__ import annotations

from controller.core.errors import PlanRefusedError
from controller.core.findings import Finding
from controller.core.plan_text.reading import read_plan

# Invented. Every kind of table is in it, written in every way that the format allows, and
# nothing in it is worth a finding.
PLAN = """\
# Two columns on a porch.
format = 1

[site]                        # where
latitude = 47.1
longitude = 8.3
timezone = "Europe/Zurich"
elevation_m = 450
typical_day = { coolest_c = 12, warmest_c = 27.5 }

# The pump in the barrel.
[loads.pump]
kind = "pump"
line = 17                     # header pin 11
active = "low"
watts = 22
longest_on = "45m"
shortest_on = "5s"
shortest_off = "5s"
when_stopped = "off"
without_clock = "15m on, 15m off"
level = "float"
flow = "meter"
flow_within = "30s"

# by day
[[loads.pump.spans]]
from = "sunrise - 30m"
cycle = "15m on, 15m off"

# by night
# (less light, less thirst)
[[loads.pump.spans]]
from = "sunset + 1h"
cycle = "15m on, 45m off"

[[loads.pump.variants]]
name = "hot"
sensor = "air"
above = 32.0
until = 29.0
at_least = "30m"

  # while it is hot
  [[loads.pump.variants.spans]]
  from = "10:00"
  cycle = "20m on, 10m off"

  [[loads.pump.variants.spans]]
  from = "18:00"
  cycle = "15m on, 15m off"

[[loads.pump.variants]]
name = "seedlings"
by_hand = true
spans = [{ from = "00:00", cycle = "5m on, 10m off" }]

[loads.pump.limits]
longest_dry_gap = "50m"
starts_per_day = 96

[loads.lamp]
kind = "lamp"
line = 27
active = "high"
watts = 60.5
spans = [
  # light for eighteen hours
  { from = "04:00", cycle = "on" },   # early
  { from = "22:00", cycle = "off" },  # late
]

[loads.fan]
kind = "fan"
line = 22
active = "high"
spans = [{ from = "lamp on + 5m", cycle = "5m on, 5m off" }, { from = "lamp off", cycle = "off" }]

[sensors]
air.measures = "air_temperature"
air.stale_after = "15m"
air.file = "/sys/class/hwmon/hwmon0/temp1_input"
air.scale = 0.001
float.measures = "level"
float.line = 16
meter = { measures = "flow", line = 20, pulses_per_litre = 450 }
drip = { measures = "leak", line = 21 }
stop = { measures = "stop", line = 26 }

[guards]
starts_apart = "2s"
watts_at_once = 400
leak = "drip"
stop_switch = "stop"

[energy]
price_per_kwh = 0.28
currency = "CHF"

[limits]
energy_per_month_kwh = 50
"""

SMALLEST = """\
format = 1
site = { latitude = 47.1, longitude = 8.3, timezone = "Europe/Zurich" }
[loads.lamp]
kind = "lamp"
line = 17
active = "low"
spans = [{ from = "06:00", cycle = "on" }]
"""

# Invented. Every key that the water models are told is in it, and nothing in it is worth a
# finding.
COLUMNS = """\
format = 1

[site]
latitude = 47.1
longitude = 8.3
timezone = "Europe/Zurich"

[loads.pump]
kind = "pump"
line = 17
active = "low"
watts = 22
longest_on = "45m"
without_clock = "15m on, 15m off"
reservoir = "tank"

[loads.pump.lift]
height_m = 1.5
curve = [[1000, 0.0], [700, 1.0], [0, 2.0]]   # from the maker's chart
hose_bore_mm = 13
hose_length_m = 2.0
hose_roughness_mm = 0.0015
fittings = { elbow = 2, valve = 1 }
loss_coefficient = 5.0

# by day as the plants drink
[[loads.pump.spans]]
from = "sunrise"
cycle = "demand"
fixed = "15m on, 15m off"
longest_rest = "45m"
shortest_rest = "5m"
shortest_watering = "3m"
longest_watering = "20m"

[[loads.pump.spans]]
from = "sunset + 1h"
cycle = "15m on, 45m off"

[loads.mist]
kind = "valve"
line = 27
active = "low"
spans = [{ from = "00:00", cycle = "1m on, 59m off" }]
reservoir = "tank"

[loads.lamp]
kind = "lamp"
line = 22
active = "low"
spans = [{ from = "05:00", cycle = "on" }, { from = "23:00", cycle = "off" }]

[sensors]
air = { measures = "air_temperature", file = "/run/air" }
damp = { measures = "humidity", file = "/run/damp" }

[stands.heads]
watered_by = "pump"
plants = 40
age_days = 35
medium = "expanded-clay"
medium_ml = 90
place = "outdoors"
plants_per_m2 = 25
light_share = 0.7
air = "air"
humidity = "damp"

[stands.young]                # in the cellar
watered_by = "mist"
plants = 60
sown = 2026-06-01
medium = "bare-roots"
place = "under-lamps"
plants_per_m2 = 100
lamp = "lamp"
ppfd_umol = 220
air_c = 22
humidity_pct = 65
air_speed_m_s = 0.3
drip_ml_per_min = 50
reserve = 0.3

[reservoirs.tank]
full_l = 60
inlet_at_l = 8
top_up_at_l = 20
losses_l_per_day = 0.5
ec_ms_per_cm = 1.6
ppm_scale = 500
water_c = 21

[energy]
currency = "CHF"

[[energy.tariff]]
from = "07:00"
price_per_kwh = 0.31

[[energy.tariff]]
from = "22:00"
price_per_kwh = 0.19
"""


def findings_in(text: str | bytes) -> list[Finding]:
    """Everything that is found in a plan, refused or not, as it is told."""
    data = text.encode() if isinstance(text, str) else text
    try:
        return list(read_plan(data, "plan.toml").findings)
    except PlanRefusedError as refusal:
        return list(refusal.findings)


def changed(old: str, new: str, *, text: str = PLAN) -> str:
    """The plan with one piece of its text replaced, which must stand there exactly once."""
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
    return text.replace(old, new)


def pump_at(*, latitude: float, longitude: float, zone: str) -> str:
    """A pump at a place, of whose water and plants nothing is stated."""
    return f"""format = 1
[site]
latitude = {latitude}
longitude = {longitude}
timezone = "{zone}"
[loads.pump]
kind = "pump"
line = 17
active = "low"
longest_on = "45m"
[[loads.pump.spans]]
from = "00:00"
cycle = "15m on, 15m off"
"""
