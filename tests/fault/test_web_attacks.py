"""What other sites, other names, crowds and slow senders can do to the page: nothing.

All against a real page on a real socket. Limits of time are made short where a test would wait
for them; which they are is beside each.
"""

from __future__ import annotations

import json
import select
import socket
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.stage.page_process import PageProcess

QUICK = {"head_s": 0.4, "body_s": 0.4, "unread_s": 0.4, "keep_alive_s": 1}
# Longer than a busy machine takes, and than any client here waits for an answer.
PATIENT_S = 600
_HUNG_UP_WITHIN_S = 60.0


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PageProcess]:
    """A page with short patience; its controller is not needed here."""
    folder = tmp_path_factory.mktemp("page")
    with PageProcess(folder / "nowhere.sock", limits=QUICK) as process:
        yield process


def _ask(page: PageProcess, head: str, body: bytes = b"") -> tuple[int, bytes]:
    """A request as written; the status and all that was answered until the end."""
    with page.connection() as connection:
        connection.sendall(head.replace("\n", "\r\n").encode("latin-1") + b"\r\n\r\n" + body)
        answer = b""
        with suppress(ConnectionResetError):  # what was answered before counts
            while chunk := connection.recv(65536):
                answer += chunk
    return (int(answer.split()[1]) if answer else 0), answer


# Names and origins


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("127.0.0.1:{port}", 200),  # a plain address
        ("localhost:{port}", 200),
        ("localhost", 200),  # through a tunnel the port may be another
        ("LOCALHOST.", 200),  # names are the same in capitals, and with the root's point
        ("[::1]:{port}", 200),
        ("192.168.7.7", 200),  # no name was looked up for an address
        ("evil.example", 421),  # rebinding: the attacker's own name
        ("localhost.evil.example", 421),
        ("127.0.0.1.evil.example", 421),
        ("evil.example:{port}", 421),
        ("localhost:80:80", 421),
        ("localhost@evil.example", 421),
        ("", 421),
    ],
)
def test_only_its_own_names_are_answered(page: PageProcess, host: str, status: int) -> None:
    """A name that an attacker pointed here shows in Host (DNS rebinding)."""
    told = host.format(port=page.port)
    head = f"GET /api/v1/session HTTP/1.1\nHost: {told}\nConnection: close"
    assert _ask(page, head)[0] == status


def test_two_hosts_are_none(page: PageProcess) -> None:
    """RFC 9112, section 3.2: a request with more than one Host is answered with 400."""
    head = "GET /health HTTP/1.1\nHost: localhost\nHost: evil.example\nConnection: close"
    assert _ask(page, head)[0] == 400


@pytest.mark.parametrize(
    ("origin", "more", "status"),
    [
        ("Origin: http://localhost:{port}", "", 503),  # let through: there is no controller
        ("Origin: https://localhost:{port}", "", 503),  # a proxy speaks TLS for it
        ("", "", 403),  # does not say
        ("Origin: null", "", 403),  # a sandboxed frame, a file
        ("Origin: http://evil.example", "", 403),
        ("Origin: http://localhost", "", 403),  # another port is another origin (RFC 6454)
        ("Origin: http://localhost:{port}.evil.example", "", 403),
        ("Origin: http://127.0.0.1:{port}", "", 403),  # not what Host says
        ("Origin: http://localhost:{port}", "\nOrigin: http://evil.example", 403),
        ("Origin: http://localhost:{port}", "\nSec-Fetch-Site: cross-site", 403),
        ("Origin: http://localhost:{port}", "\nSec-Fetch-Site: same-site", 403),
        ("Origin: http://localhost:{port}", "\nSec-Fetch-Site: same-origin", 503),
    ],
)
def test_only_its_own_pages_order(page: PageProcess, origin: str, more: str, status: int) -> None:
    """Origin must equal Host (RFC 6454)."""
    told = (origin + more).format(port=page.port)
    head = f"POST /api/v1/stop HTTP/1.1\nHost: localhost:{page.port}\nConnection: close\n{told}"
    assert _ask(page, head.rstrip("\n"))[0] == status


@pytest.mark.parametrize("media_type", ["text/plain", "application/x-www-form-urlencoded", ""])
def test_a_form_of_another_site_is_no_json(page: PageProcess, media_type: str) -> None:
    """What a form can send without asking first (Fetch Standard, CORS-safelisted) is refused."""
    body = b'{"load":"pump"}'
    head = (
        f"POST /api/v1/release HTTP/1.1\nHost: localhost\nOrigin: http://localhost\n"
        f"Connection: close\nContent-Length: {len(body)}\nContent-Type: {media_type}"
    )
    assert _ask(page, head, body)[0] == 415


# Sizes


@pytest.mark.parametrize(
    ("head", "status"),
    [
        ("GET /health?{long} HTTP/1.1\nHost: localhost", 414),  # an address of 5 kB
        ("GET /health HTTP/1.1\nHost: localhost\nX: {long}{long}{long}{long}", 431),
        ("POST /api/v1/hold HTTP/1.1\nHost: localhost\nOrigin: http://localhost\n"
         "Content-Type: application/json\nContent-Length: 99999999", 413),
        ("POST /api/v1/hold HTTP/1.1\nHost: localhost\nOrigin: http://localhost\n"
         "Content-Type: application/json\nContent-Length: 9999999999999999999999", 400),
        ("POST /api/v1/hold HTTP/1.1\nHost: localhost\nContent-Length: -1", 400),
        ("nonsense", 400),
        ("GET /%00 HTTP/1.1\nHost: localhost\nConnection: close", 404),
        ("GET /static/..%2f..%2fsettings.py HTTP/1.1\nHost: localhost\nConnection: close", 404),
        ("GET /../settings.py HTTP/1.1\nHost: localhost\nConnection: close", 404),
        ("GET //evil.example/x HTTP/1.1\nHost: localhost\nConnection: close", 404),
    ],
)  # fmt: skip
def test_what_is_too_long_or_no_request_is_refused(
    page: PageProcess, head: str, status: int
) -> None:
    """With a status that says which, and without reading on."""
    assert _ask(page, head.format(long="x" * 5_000))[0] == status


def test_a_body_without_a_length_is_bounded_too(page: PageProcess) -> None:
    """Chunks that go on and on."""
    with page.connection() as connection:
        connection.sendall(
            b"POST /api/v1/hold HTTP/1.1\r\nHost: localhost\r\nOrigin: http://localhost\r\n"
            b"Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
        )
        chunk = b"10000\r\n" + b"x" * 65536 + b"\r\n"
        try:
            for _ in range(40):
                connection.sendall(chunk)
        except (BrokenPipeError, ConnectionResetError):
            return  # it hung up, which is as good
        assert connection.recv(12) == b"HTTP/1.1 413"


def test_bad_json_is_told(page: PageProcess) -> None:
    """Also JSON that is deep, or has half of a character."""
    with page.client() as browser:
        for body in (b"{", b"[" * 100_000, b'{"load": "\\ud800"}', b"\xff", b"nan", b"1e999"):
            answer = browser.post(
                "/api/v1/release", content=body, headers={"Content-Type": "application/json"}
            )
            assert answer.status_code in {400, 422}, body[:20]
            assert answer.headers["content-type"] == "application/problem+json"


# Slow and many


def _wait_for_end(connection: socket.socket) -> None:
    """Returns when the other side hangs up; a page that never does is a TimeoutError."""
    connection.settimeout(_HUNG_UP_WITHIN_S)
    with suppress(ConnectionResetError):
        while connection.recv(65536):
            pass


def test_who_says_nothing_is_let_go(page: PageProcess) -> None:
    """A head must be whole within 0.4 s here."""
    with page.connection() as connection:
        _wait_for_end(connection)


def test_who_drips_a_head_is_let_go(page: PageProcess) -> None:
    """Single bytes buy no time (slow-loris): it is let go long before the head is too long."""
    head = b"GET /health HTTP/1.1\r\nHost: localhost\r\nX: " + b"x" * 3_000
    sent = 0
    with page.connection() as connection:
        begun = time.monotonic()
        with suppress(BrokenPipeError, ConnectionResetError):  # let go, as it should be
            for byte in head:
                connection.sendall(bytes([byte]))
                sent += 1
                if select.select([connection], [], [], 0.02)[0] and not connection.recv(1):
                    break
        assert time.monotonic() - begun > 0.3, "not at the first byte"
    assert sent < len(head), "each byte bought time"


def test_who_drips_a_body_is_told_and_let_go(page: PageProcess) -> None:
    """A body must be whole within 0.4 s here."""
    with page.connection() as connection:
        connection.sendall(
            b"POST /api/v1/hold HTTP/1.1\r\nHost: localhost\r\nOrigin: http://localhost\r\n"
            b"Content-Type: application/json\r\nContent-Length: 100\r\n\r\n{"
        )
        answer = connection.recv(12)
        assert answer == b"HTTP/1.1 408"
        _wait_for_end(connection)


def test_who_drips_a_second_head_is_let_go(page: PageProcess) -> None:
    """After an answer the same holds again."""
    with page.connection() as connection:
        connection.sendall(b"GET /api/v1/session HTTP/1.1\r\nHost: localhost\r\n\r\n")
        assert connection.recv(12) == b"HTTP/1.1 200"
        connection.sendall(b"GET /")
        _wait_for_end(connection)


def test_who_does_not_read_is_let_go(page: PageProcess) -> None:
    """Answers that nobody reads are held for 0.4 s here."""
    with socket.socket() as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        connection.settimeout(_HUNG_UP_WITHIN_S)  # for room to write: it stops reading
        connection.connect(("127.0.0.1", page.port))
        ask = b"GET /api/v1/openapi.json HTTP/1.1\r\nHost: localhost\r\n\r\n"
        is_let_go = False
        for _ in range(200_000):  # more than fits into what lies between
            try:
                connection.sendall(ask)
            except (BrokenPipeError, ConnectionResetError):
                is_let_go = True
                break
        assert is_let_go


def test_an_idle_crowd_does_not_lock_the_owner_out(tmp_path: Path) -> None:
    """Four times as many silent connections as there may be, and still an answer, long before any
    of them is let go for its silence."""
    limits = {
        "connections_max": 40, "connections_of_one_address_max": 25, "head_s": PATIENT_S,
    }  # fmt: skip
    with PageProcess(tmp_path / "nowhere.sock", limits=limits) as page:
        crowd = [page.connection() for _ in range(160)]
        with page.client() as browser:
            assert browser.get("/api/v1/session").status_code == 200
        for connection in crowd:
            connection.close()


def test_a_crowd_of_streams_leaves_room_for_requests(tmp_path: Path) -> None:
    """Streams are bounded below connections; the next is told to come again."""
    with PageProcess(tmp_path / "nowhere.sock", limits={"streams_max": 5}) as page:
        streams = []
        for _ in range(5):
            connection = page.connection()
            connection.sendall(b"GET /api/v1/events HTTP/1.1\r\nHost: localhost\r\n\r\n")
            assert connection.recv(12) == b"HTTP/1.1 200"
            streams.append(connection)
        with page.client() as browser:
            refused = browser.get("/api/v1/events")
            assert refused.status_code == 503
            assert refused.json()["type"].endswith("/busy")
            assert browser.get("/api/v1/session").status_code == 200
            streams.pop().close()
            page_full = 503
            while page_full == 503:  # until it has noticed
                with browser.stream("GET", "/api/v1/events") as stream:
                    page_full = stream.status_code
        for connection in streams:
            connection.close()


def test_a_forwarded_address_is_not_believed(tmp_path: Path) -> None:
    """Else one visitor would be as many as it says."""
    settings = {"limits": {"streams_of_one_address_max": 1}}
    with (
        PageProcess(tmp_path / "nowhere.sock", **settings) as page,
        page.client() as browser,
        browser.stream("GET", "/api/v1/events") as first,
    ):
        assert first.status_code == 200
        other = browser.get("/api/v1/events", headers={"X-Forwarded-For": "10.0.0.9"})
        assert other.status_code == 503


def test_problems_hold_no_markup_of_visitors(page: PageProcess) -> None:
    """What was sent comes back as JSON text alone, never as a page."""
    with page.client() as browser:
        answer = browser.get("/api/v1/log", params={"page": "<script>alert(1)</script>"})
    assert answer.headers["content-type"] == "application/problem+json"
    assert json.loads(answer.text)["status"] == 422
