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
                           at least every 15 s; `journal` (data: {lost, entries}) as they come
    GET  /why?load=NAME    a status with that load alone, its sensors and its alarms
    GET  /lateness         {count, p50_ms, p99_ms, max_ms}
What people order; each answers with the status after it
    POST /hold             {load, order, for}: order is on, off, a cycle or a variant's name;
                           for is a length such as 20m
    POST /release          {load}
    POST /acknowledge      {alarm, subject}: what is null or left out is any
    POST /stop, /resume, /clock-trust    no body
The journal
    GET  /log              ?since=&until=&load=&only=&only=&find=&last=&page=
                           {entries (oldest first), remark, next}: `next`, if not null, is the
                           `page` of the entries before these
    GET  /log.csv, /log.jsonl    the same filters; newest first, at most 100,000 entries
The plan
    GET  /plan                       {revision, taken_utc, text}; with an ETag
    GET  /plan/revisions             {revisions: [{revision, taken_utc, how, note, is_in_force}]}
    GET  /plan/revisions/N           {revision, text}
    GET  /plan/difference?before=N&after=M   {before, after, text, lines: [{sign, before, after,
                                     text}]}; without `after`, to the one in force
    GET  /plan/schema                JSON Schema of a plan, with what every key means
    POST /plan/check     {text} -> {is_fit, findings, document}; document is the text as JSON,
                         null where it is no TOML
    POST /plan/edit      {text, edits: [{do, at, value, index}]} -> {text, findings}; comments and
                         order of the rest stay. do is set (at: `loads.pump.spans.0.cycle`),
                         add (a table at `loads.lamp`, or with index an item of the list at
                         `loads.pump.spans`) or remove
    POST /plan/preview   {text, parts, client} -> {is_fit, findings, document, days, odd_days,
                         running}; see `web/paper/preview.py` for the shape. parts is any of
                         `next`, `hottest`, `odd`, `year`. Of one `client` (any text that is the
                         tab's own) the newest request wins; an older one that still waits
                         gets a problem `superseded`
    POST /plan           {text, based_on, note} -> {revision, is_new, remarks, findings}; problem
                         `plan-changed` (409) tells in_force, difference; `plan-refused` (422)
                         tells findings: with a note, a broken limit is no reason to refuse
    POST /plan/restore   {revision} -> the same
On paper
    POST /dry-run        {start, days, plan, weather: {name, text}, faults, compare, want} -> what
                         `rootclock dry-run --json` prints, and, where `want` lists them,
                         `picture` (SVG text) and `events` (CSV text). plan and compare are
                         texts; without `plan`, the one in force. To cancel, hang up

Outside of `/api/v1`: `/health` (200 while the controller answers, else 503), `/metrics`
(Prometheus text format), `/static/...`, and pages: `/` is `pages/index.html`, `/NAME` is
`pages/NAME.html`.
"""
