"""The page's process: everything that browsers and probes may ask of it.

All of the API is under `/api/v1`, described by OpenAPI at `/api/v1/openapi.json`. Bodies are
JSON in both directions. Instants are RFC 3339 in keys that end in `_utc`, lengths are seconds
in keys that end in `_s`. What goes wrong is told as problem details (RFC 9457,
`application/problem+json`): `type`, `title`, `status`, `detail` (a sentence for people), and
what the problem has besides, such as `findings`. Whatever is not safe (POST, DELETE) must
carry `Origin` equal to `Host`, as browsers do by themselves, and a body must be
`application/json`.

Who is there
    GET    /session        {role: owner|guest|nobody, needs_passcode, guests_may_read}
    POST   /session        {passcode} -> the same, and the cookie; 403 wrong, 429 too many tries
    DELETE /session        -> the same, as nobody or guest
What is
    GET  /status           Picture: {is_connected, reason, age_s, status}; `status` is what
                           `rootclock status --json` prints, or null if none was ever had;
                           `age_s` how old it is; `reason` why the controller does not answer
    GET  /events           server-sent events: `picture` (data: a Picture) at once, at every
                           change, when the connection to the controller is lost and found, and
                           at least every 15 s; `journal` (data: {lost, entries},
                           entries as in the log but without numbers) as they come
    GET  /why?load=NAME    a status with that load alone, its sensors and its alarms
    GET  /lateness         {count, p50_ms, p99_ms, max_ms}
    GET  /wear             {now_utc, loads: [{name, operations, since_utc, contact_life, share,
                           a_day, left_s}]}: each relay's operations over the journal's life, and
                           when its rated life is reached at the rate of the last four weeks
What people order; each answers with the status after it
    POST /hold             {load, order, for}: order is on, off, a cycle or a variant's name;
                           for is a length such as 20m
    POST /release          {load}
    POST /acknowledge      {alarm, subject}: what is null or left out is any
    POST /stop, /resume, /clock-trust    no body
The journal
    (Moments are written as on the command line: 2026-07-01, 2026-07-01T06:00 and 06:00 are times
    of the site, 24h is how long ago, 2026-07-01T04:00:00Z is an instant.)
    GET  /log              ?since=&until=&load=&only=&only=&find=&last=&page=
                           {entries (oldest first), remark, next}: `next`, if not null, is the
                           `page` of the entries before these
    GET  /log.csv, /log.jsonl    the same filters; newest first, at most 100,000 entries
    GET  /history?hours=24    {from_utc, to_utc, known_from_utc, ordered_from_utc, is_whole, loads:
                           [{name, on, differs}], away, marks, lateness}: when each load was on,
                           [from, to] in seconds after from_utc; `differs` [{from_s, to_s, ordered,
                           why}] where its plan, in force since ordered_from_utc, ordered the
                           other state; `away`: no controller ran; marks are entries other than
                           switchings; up to 192 hours
    GET  /week             the last seven local days of the site, as `rootclock week --json` prints
                           them: {timezone, loads: [{name, kind, long_gap_s}], days: [{date,
                           from_utc, to_utc, is_over, alarms, away, marks, loads: [{name, starts,
                           on_s, longest_gap_s, long_gaps, on, differs}]}], ...}
    GET  /past?load=&at=   {load, at_utc, sentence, switching, notices, stood, next, away}: why a
                           load was so at a time gone by, in the words of `rootclock why LOAD --at
                           WHEN`; the entries tell, `switching` is null where none is known;
                           `stood` began what had not ended (alarms, holds, a stop)
The plan
    GET  /plan                       {revision, taken_utc, text}; with an ETag
    GET  /plan/revisions             {revisions: [{revision, taken_utc, how, note, is_in_force}]}
    GET  /plan/revisions/N           {revision, text}
    GET  /plan/difference?before=N&after=M   {before, after, text, lines: [{sign, before, after,
                                     text}]}; without `after`, to the one in force
    GET  /plan/schema                JSON Schema of a plan, with what every key means
    POST /plan/check     {text} -> {is_fit, findings, document}; document is the text as JSON,
                         null where it cannot be read as TOML
    POST /plan/edit      {text, edits: [{do, at, value, index, to}]} -> {text, findings, document};
                         comments and order of the rest stay. do is set (at:
                         `loads.pump.spans.0.cycle`), add (a table at `loads.lamp`, or with index an
                         item of the list at `loads.pump.spans`), remove, move (at: a list, the item
                         index to where to is) or rename (at: `loads.pump` or `sensors.air`, value:
                         the name; whatever refers to it follows). All edits make one: only at their
                         end must the text be a plan, else problem `plan-refused` tells findings by
                         `where`, and nothing is changed
    POST /plan/preview   {text, parts, client} -> {is_fit, findings, document, days, running};
                         see `web/paper/preview.py` for the shape. parts is any of `next`,
                         `hottest`, `odd`, `year`. Of one `client` (any text that is the
                         tab's own) the newest request wins; an older one that still waits
                         gets a problem `superseded`
    POST /plan           {text, based_on, note} -> {revision, is_new, remarks, findings}; problem
                         `plan-changed` (409) tells in_force, difference; `plan-refused` (422)
                         tells findings: with a note, a broken limit is no reason to refuse
    POST /plan/restore   {revision} -> the same
On paper
    POST /dry-run        {start, days, plan, weather: {name, text, encoding}, faults, compare,
                         plan_name, compare_name, want} -> what `rootclock dry-run --json`
                         prints, and, where `want` lists them, `picture` (SVG text) and `events`
                         (CSV text). plan and compare are texts; without `plan`, the one in
                         force. To cancel, hang up. With `Accept: application/x-ndjson`, lines:
                         {done} (0 to 1) now and then, last {told} or {problem}. A problem's
                         `about` is the key of the request that does not fit; `findings` are
                         about a plan, `complaints` about the fault script.
                         Show a picture as an image (`data:`): within a page its styles are inline
                         code, which the policy forbids

    POST /dry-run/faults {text, plan} -> {is_fit, complaints: [{where, message}], document}:
                         what is wrong with a fault script, for that plan too

Problems
    GET  /problems/NAME  {type, title, status}: what the `type` of a problem means

Outside of `/api/v1`: `/health` (200 while the controller answers, else 503), `/metrics`
(Prometheus text format), `/static/...`, and pages: `/` is `pages/index.html`, `/NAME` is
`pages/NAME.html`.
"""

from __future__ import annotations

from contextlib import asynccontextmanager
from http import HTTPStatus
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter, FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware

from controller import __version__
from controller.core.errors import RootclockError
from web.api import history, journal, now, paper, plans, probes, problem_kinds, session
from web.files import add_files_to
from web.page import Page
from web.problems import Problem, problem_of
from web.replies import PROBLEMS
from web.security.gate import Gate
from web.security.headers import Headers, put_onto
from web.security.names import Names, machine_names
from web.security.sizes import Sizes

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

    from starlette.requests import Request
    from starlette.responses import Response

    from web.settings import Settings

_API = "/api/v1"
_HOME = Path(__file__).resolve().parent


def create_app(settings: Settings) -> FastAPI:
    """The page as an ASGI application; it looks for the controller from its start on.

    Raises:
        PageNotSafeError: others would reach it without a passcode.
    """
    settings.refuse_unless_safe()
    page = Page(settings)

    @asynccontextmanager
    async def life(app: FastAPI) -> AsyncIterator[None]:
        app.state.page = page
        page.link.open()
        try:
            yield
        finally:
            page.fan_out.end()
            await page.paper.close()
            await page.link.close()

    app = FastAPI(
        title="rootclock",
        version=__version__,
        description="See, understand and change the watering.",
        docs_url=None,  # it would load from elsewhere
        redoc_url=None,
        openapi_url=f"{_API}/openapi.json",
        lifespan=life,
        middleware=_middleware(page),
    )
    app.state.page = page
    _add_problems_to(app)
    api = APIRouter(prefix=_API, responses=PROBLEMS)
    for part in (session, now, journal, history, plans, paper, problem_kinds):
        api.include_router(part.router)
    app.include_router(api)
    app.include_router(probes.router, responses=PROBLEMS)
    add_files_to(app, _HOME)
    return app


def _middleware(page: Page) -> list[Middleware]:
    """From the outermost: every answer has its headers, also one that refuses."""
    limits = page.settings.limits
    longer = {
        **{
            f"{_API}/plan{path}": limits.plan_body_bytes_max
            for path in ("", "/check", "/edit", "/preview")
        },
        f"{_API}/dry-run": limits.dry_run_body_bytes_max,
    }
    return [
        Middleware(Headers),
        Middleware(Names, names=machine_names(page.settings.names)),
        Middleware(Gate, role_of=page.role_of),
        Middleware(Sizes, limits=limits, longer=longer),
    ]


def _add_problems_to(app: FastAPI) -> None:
    """Whatever goes wrong is told as a problem."""

    async def of_problem(_: Request, error: Any) -> Response:
        return error.response()  # type: ignore[no-any-return]

    async def of_ours(_: Request, error: Any) -> Response:
        return problem_of(error).response()

    async def of_shape(_: Request, error: Any) -> Response:
        return _shape_problem(error).response()

    async def of_router(_: Request, error: Any) -> Response:
        return _router_problem(error).response()

    async def of_mistake(_: Request, error: Exception) -> Response:
        del error  # the server's log has it
        text = "this is a fault of rootclock; the log of the page tells more"
        return put_onto(Problem("our-mistake", text).response())

    app.add_exception_handler(Problem, of_problem)
    app.add_exception_handler(RootclockError, of_ours)
    app.add_exception_handler(RequestValidationError, of_shape)
    app.add_exception_handler(HTTPException, of_router)
    app.add_exception_handler(Exception, of_mistake)


def _shape_problem(error: RequestValidationError) -> Problem:
    """Each thing that does not fit, by its place."""
    errors = [
        {"where": ".".join(str(part) for part in one["loc"]), "message": str(one["msg"])}
        for one in error.errors()[:20]
    ]
    detail = "; ".join(f"{one['where']}: {one['message']}" for one in errors)
    return Problem("unfit", detail.encode("utf-8", "replace").decode(), errors=errors)


def _router_problem(error: HTTPException) -> Problem:
    if error.status_code == HTTPStatus.NOT_FOUND:
        return Problem("not-found", "there is nothing at this address")
    if error.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
        allowed = (error.headers or {}).get("Allow", "GET").split(", ")
        return Problem("wrong-method", f"here goes {', '.join(allowed)}", allowed=allowed)
    return Problem("malformed", str(error.detail))
