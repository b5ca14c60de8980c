"""For programs that watch: health and metrics."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from controller import __version__
from controller.core.errors import RootclockError
from web.controller_link import ControllerLink
from web.problems import Problem
from web.replies import page_of, told
from web.shapes.status import Health

router = APIRouter(tags=["probes"])
_STALE_S = 5.0
_TEXT = "text/plain; version=0.0.4; charset=utf-8"


@router.get("/health", response_model=Health)
async def health(request: Request) -> Response:
    """Whether the controller answers; a problem otherwise."""
    picture = await page_of(request).link.fresh_picture()
    if picture.reason is not None:
        raise Problem("no-controller", picture.reason)
    if picture.status is None or picture.age_s is None or picture.age_s > _STALE_S:
        raise Problem("no-controller", "the controller does not answer in time")
    version = picture.status["version"]
    return told({"is_alive": True, "age_s": round(picture.age_s, 3), "version": version})


@router.get(
    "/metrics",
    response_class=PlainTextResponse,
    responses={200: {"description": "Prometheus text", "content": {"text/plain": {}}}},
)
async def metrics(request: Request) -> Response:
    """Figures in the Prometheus text format, version 0.0.4."""
    page = page_of(request)
    picture = await page.link.fresh_picture()
    families = [
        *_of_page(page.fan_out.stream_count, is_connected=picture.reason is None),
        _Family(
            "load_switches_total",
            "counter",
            "Changes of a load that the page heard of",
            [({"load": name}, count) for name, count in sorted(page.fan_out.switches.items())],
        ),
    ]
    if picture.status is not None:
        families += _of_status(picture.status, picture.age_s or 0.0)
    if picture.reason is None:
        families += await _of_wear(page.link)
    text = "".join(line for family in families for line in family.lines())
    return Response(text, media_type=_TEXT, headers={"Cache-Control": "no-store"})


class _Family(NamedTuple):
    """Samples of one name. Source: prometheus.io, Exposition formats (text, 0.0.4)."""

    name: str
    kind: str
    help: str
    samples: Iterable[tuple[Mapping[str, str], float]]

    def lines(self) -> Iterable[str]:
        """The family as text."""
        yield f"# HELP rootclock_{self.name} {self.help}.\n"
        yield f"# TYPE rootclock_{self.name} {self.kind}\n"
        for labels, value in self.samples:
            told_labels = ",".join(f'{key}="{_escaped(text)}"' for key, text in labels.items())
            braces = f"{{{told_labels}}}" if told_labels else ""
            yield f"rootclock_{self.name}{braces} {float(value):.15g}\n"


def _escaped(text: str) -> str:
    return text.replace("\\", r"\\").replace('"', r"\"").replace("\n", r"\n")


def _of_page(streams: int, *, is_connected: bool) -> list[_Family]:
    return [
        _gauge("up", "Whether the controller answers the page", is_connected),
        _gauge("page_streams", "Open event streams", streams),
        _Family("page_info", "gauge", "The page", [({"version": __version__}, 1)]),
    ]


def _of_status(status: Mapping[str, Any], age_s: float) -> list[_Family]:
    loads, sensors, late = status["loads"], status["sensors"], status["lateness"]
    quantiles = (("0.5", "p50_ms"), ("0.99", "p99_ms"), ("1", "max_ms"))
    return [
        _gauge("picture_age_seconds", "How old these figures are", age_s),
        _gauge("uptime_seconds", "Since the controller started", status["up_s"]),
        _gauge("clock_trusted", "Whether the time of day is believed", status["is_clock_trusted"]),
        _gauge("stopped", "Whether a person stopped everything", status["is_stopped"]),
        _gauge("mock", "Whether nothing real is switched", status["is_mock"]),
        _gauge("plan_revision", "Number of the plan in force", status["plan"]["revision"]),
        _gauge("plan_refused", "Whether a newer plan was refused", bool(status["plan"]["refused"])),
        _of_each("load_on", "Whether a load is on", loads, ("name", "kind"), "is_on"),
        _Family(
            "load_held",
            "gauge",
            "Whether a person holds a load",
            [({"load": one["name"]}, one["held"] is not None) for one in loads],
        ),
        _of_each("sensor_value", "A reading", sensors, ("name", "measures", "unit"), "value"),
        _of_each("sensor_age_seconds", "Age of a reading", sensors, ("name",), "age_s"),
        _of_each(
            "alarm_active",
            "Alarms that stand, 1 while their cause does",
            status["alarms"],
            ("code", "subject"),
            "is_active",
        ),
        _Family("switchings_total", "counter", "Since the start", [({}, late["count"])]),
        _Family(
            "lateness_seconds",
            "gauge",
            "How late switchings were",
            [
                ({"quantile": quantile}, late[key] / 1e3)
                for quantile, key in quantiles
                if late[key] is not None
            ],
        ),
    ]


async def _of_wear(link: ControllerLink) -> list[_Family]:
    """Figures of the relays; none where the journal cannot be read now."""
    try:
        loads = (await link.call("wear"))["loads"]
    except RootclockError:
        return []  # what else is known is worth telling all the same
    rated = [load for load in loads if load["contact_life"] is not None]
    return [
        _Family(
            "relay_operations_total",
            "counter",
            "Operations of a relay over the journal's life",
            [({"load": load["name"]}, load["operations"]) for load in loads],
        ),
        _Family(
            "relay_rated_operations",
            "gauge",
            "Operations for which the plan says a contact is rated",
            [({"load": load["name"]}, load["contact_life"]) for load in rated],
        ),
    ]


def _gauge(name: str, told_help: str, value: float) -> _Family:
    return _Family(name, "gauge", told_help, [({}, value)])


def _of_each(
    name: str, told_help: str, rows: Iterable[Mapping[str, Any]], labels: tuple[str, ...], key: str
) -> _Family:
    """A sample for each row whose value is known."""
    first = name.partition("_")[0]
    samples = [
        ({first if label == "name" else label: row[label] for label in labels}, row[key])
        for row in rows
        if row[key] is not None
    ]
    return _Family(name, "gauge", told_help, samples)
