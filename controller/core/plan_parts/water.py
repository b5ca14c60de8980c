"""What the water models are told: the stands, how the water gets up, and the reservoir.

The ranges of the numbers are wider than any small garden and narrow enough that no model
can be asked for nonsense.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, TypeAlias

from pydantic import Field, PlainValidator, WithJsonSchema

from controller.core.plan_parts.values import DateText, Name, Part
from controller.core.units import shown
from controller.core.water.fittings import FITTINGS
from controller.core.water.medium import Medium
from controller.core.water.pump_curve import CurvePoint
from controller.core.water.surroundings import Surroundings

CURVE_POINTS_MIN, CURVE_POINTS_MAX = 2, 50
FLOW_L_PER_H_MAX, HEAD_M_MAX = 100_000.0, 100.0
FREE_FLOW_L_PER_H_MIN, SHUT_OFF_HEAD_M_MIN = 1.0, 0.05  # of the smallest pump
STANDS_MAX, RESERVOIRS_MAX = 100, 54

PpmScale: TypeAlias = Literal[500, 640, 700]

# Share of the sun's radiation that reaches the plants where the plan does not say: a clean
# single-glass house lets 60 to 70 % through; common practice, no source.
SUN_SHARES: dict[Surroundings, float] = {"outdoors": 1.0, "under-glass": 0.7, "under-lamps": 0.0}


def _curve(value: Any) -> tuple[CurvePoint, ...]:
    if not isinstance(value, list | tuple):
        raise ValueError(f"{shown(value)} is no list of points, each a flow in L/h and a head in m")
    if not CURVE_POINTS_MIN <= len(value) <= CURVE_POINTS_MAX:
        points = "1 point" if len(value) == 1 else f"{len(value):,} points"
        raise ValueError(f"it has {points}; allowed are {CURVE_POINTS_MIN} to {CURVE_POINTS_MAX}")
    curve = tuple(_curve_point(point, number) for number, point in enumerate(value, 1))
    for most, least, what, unit in (
        (max(point.flow_l_per_h for point in curve), FREE_FLOW_L_PER_H_MIN, "flow", "L/h"),
        (max(point.head_m for point in curve), SHUT_OFF_HEAD_M_MIN, "head", "m"),
    ):
        if most < least:
            raise ValueError(
                f"its greatest {what} is {shown(most)} {unit}; a pump that lifts has {least:g} "
                f"{unit} or more"
            )
    return curve


def _curve_point(value: Any, number: int) -> CurvePoint:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError(f"point {number}, {shown(value)}, is not a flow in L/h and a head in m")
    for one, most, what, unit in (
        (value[0], FLOW_L_PER_H_MAX, "flow", "L/h"),
        (value[1], HEAD_M_MAX, "head", "m"),
    ):
        is_number = isinstance(one, int | float) and not isinstance(one, bool)
        if not is_number or not 0.0 <= one <= most:
            raise ValueError(
                f"the {what} of point {number} is {shown(one)}; allowed is 0 to {most:g} {unit}"
            )
    return CurvePoint(value[0] + 0.0, value[1] + 0.0)  # no zero keeps a sign


CurvePoints: TypeAlias = Annotated[
    tuple[CurvePoint, ...],
    PlainValidator(_curve),
    WithJsonSchema(
        {
            "type": "array",
            "minItems": CURVE_POINTS_MIN,
            "maxItems": CURVE_POINTS_MAX,
            "items": {
                "type": "array",
                "minItems": 2,
                "maxItems": 2,
                "prefixItems": [
                    {"type": "number", "minimum": 0, "maximum": FLOW_L_PER_H_MAX},
                    {"type": "number", "minimum": 0, "maximum": HEAD_M_MAX},
                ],
            },
        }
    ),
]


class Stand(Part):
    """Plants alike, watered together."""

    watered_by: Name
    plants: int = Field(ge=1, le=10_000)
    age_days: int | None = Field(
        default=None,
        ge=0,
        le=120,
        description="days since sowing, the same on every day of a run; or state `sown`",
    )
    sown: DateText | None = None
    medium: Medium
    medium_ml: float | None = Field(
        default=None,
        ge=1,
        le=5_000,
        description="volume of one plant's net pot or plug, in mL; not for bare roots",
    )
    place: Surroundings
    plants_per_m2: float = Field(ge=1, le=400, description="plants on a square metre of lit area")
    light_share: float | None = Field(
        default=None,
        ge=0.01,
        le=1,
        description="share of the sun outdoors that reaches the plants; not said: "
        "1 outdoors, 0.7 under glass",
    )
    lamp: Name | None = None
    ppfd_umol: float | None = Field(
        default=None,
        ge=1,
        le=2_500,
        description="light on the plants while the lamp is on, in µmol/m²/s",
    )
    air: Name | None = None
    humidity: Name | None = None
    air_c: float = Field(
        default=22.0, ge=0, le=50, description="air that the room is kept at, in °C"
    )
    humidity_pct: float = Field(
        default=65.0, ge=5, le=100, description="relative humidity that the room is kept at, in %"
    )
    air_speed_m_s: float = Field(
        default=0.3, ge=0.05, le=5, description="air that moves past the leaves indoors, in m/s"
    )
    drip_ml_per_min: float | None = Field(
        default=None,
        ge=0.1,
        le=10_000,
        description="water that reaches one plant while its load is on, in mL/min; not said: "
        "from the load's lift",
    )
    reserve: float = Field(
        default=0.3,
        ge=0,
        le=0.9,
        description="share of the water in reach of the roots that must be left when they are "
        "driest",
    )

    @property
    def sun_share(self) -> float:
        """Share of the sun's radiation outdoors that reaches the plants, 0 to 1."""
        return SUN_SHARES[self.place] if self.light_share is None else self.light_share


def _count_of(fitting: str) -> Any:
    return Field(default=0, ge=0, le=100, description=FITTINGS[fitting].meaning)


class Fittings(Part):
    """How many of each fitting the water passes on its way up."""

    elbow: int = _count_of("elbow")
    elbow_45: int = _count_of("elbow_45")
    bend: int = _count_of("bend")
    tee_through: int = _count_of("tee_through")
    tee_branch: int = _count_of("tee_branch")
    valve: int = _count_of("valve")
    gate_valve: int = _count_of("gate_valve")
    globe_valve: int = _count_of("globe_valve")
    check_valve: int = _count_of("check_valve")
    entrance: int = _count_of("entrance")
    exit: int = _count_of("exit")
    barb: int = _count_of("barb")
    reducer: int = _count_of("reducer")
    strainer: int = _count_of("strainer")
    drip_manifold: int = _count_of("drip_manifold")

    @property
    def counts(self) -> dict[str, int]:
        """How many of each fitting that is there at all, by its name."""
        return {name: count for name, count in self if count}


class Lift(Part):
    """How a load gets water from its reservoir to the top of the columns."""

    height_m: float = Field(
        ge=0, le=30, description="from the water in the reservoir up to the outlet at the top, in m"
    )
    shut_off_head_m: float | None = Field(
        default=None,
        ge=SHUT_OFF_HEAD_M_MIN,
        le=HEAD_M_MAX,
        description="height at which the pump moves nothing, in m",
    )
    free_flow_l_per_h: float | None = Field(
        default=None,
        ge=FREE_FLOW_L_PER_H_MIN,
        le=FLOW_L_PER_H_MAX,
        description="flow of the pump at no height, in L/h",
    )
    curve: CurvePoints | None = None
    hose_bore_mm: float = Field(ge=1, le=200, description="inner width of the hose, in mm")
    hose_length_m: float = Field(ge=0, le=1_000, description="length of the hose, in m")
    hose_roughness_mm: float = Field(
        # Smooth plastic: 0.0015 mm (Colebrook's equivalent sand roughness for drawn tubing and
        # plastic as handbooks of hydraulics list it; from memory).
        default=0.0015,
        ge=0,
        le=2,
        description="roughness of the hose's inside, in mm; smooth plastic has 0.0015",
    )
    fittings: Fittings = Fittings()
    loss_coefficient: float | None = Field(
        default=None,
        ge=0,
        le=10_000,
        description="loss of all that `fittings` does not list, the outlet included, in velocity "
        "heads",
    )


class Reservoir(Part):
    """The tank that the water is drawn from and runs back to."""

    full_l: float = Field(ge=0.1, le=100_000, description="water in it when it is full, in L")
    inlet_at_l: float = Field(
        ge=0, le=100_000, description="water left in it when the pump's inlet draws air, in L"
    )
    top_up_at_l: float | None = Field(
        default=None,
        ge=0,
        le=100_000,
        description="water left in it when somebody fills it up, in L",
    )
    losses_l_per_day: float = Field(
        default=0.0,
        ge=0,
        le=1_000,
        description="water that goes by drips, splashes and bare surfaces, in L a day",
    )
    ec_ms_per_cm: float | None = Field(
        default=None,
        ge=0,
        le=20,
        description="electrical conductivity of the full reservoir at 25 °C, in mS/cm",
    )
    ppm_scale: PpmScale | None = Field(
        default=None, description="ppm that the grower's meter shows for 1 mS/cm; not said: no ppm"
    )
    water_c: float | None = Field(
        default=None,
        ge=0.5,
        le=45,
        description="temperature of the water, in °C; not said: the mean of the air",
    )
