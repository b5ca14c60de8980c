"""Whoever logs out sees nothing more, in no window; guests do as before."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tests.stage.page_process import PageProcess
from web.security.passcode import stored, write_passcode

PASSCODE = "an invented passcode"


@contextmanager
def _page(folder: Path, **settings: Any) -> Iterator[PageProcess]:
    write_passcode(folder / "passcode", stored(PASSCODE))
    passcode_path = str(folder / "passcode")
    with PageProcess(folder / "nowhere.sock", passcode_path=passcode_path, **settings) as page:
        yield page


def test_streams_end_with_their_session(tmp_path: Path) -> None:
    """That of another window of the same browser too; another session's goes on."""
    with _page(tmp_path) as page, page.client() as owner, page.client() as other:
        for browser in (owner, other):
            browser.post("/api/v1/session", json={"passcode": PASSCODE}).raise_for_status()
        with page.client() as window:
            window.cookies = owner.cookies
            with page.events(window) as events, page.events(other) as others:
                for stream in (events, others):
                    assert next(stream)[0] == "picture"
                owner.delete("/api/v1/session").raise_for_status()
                assert list(events) == []
                assert next(others)[0] == "picture"
            assert window.get("/api/v1/events").status_code == 401


def test_where_guests_may_look_a_stream_goes_on(tmp_path: Path) -> None:
    """Whoever logged out is a guest, who sees the same."""
    with _page(tmp_path, guests_may_read=True) as page, page.client() as owner:
        owner.post("/api/v1/session", json={"passcode": PASSCODE}).raise_for_status()
        with page.client() as window:
            window.cookies = owner.cookies
            with page.events(window) as events:
                assert next(events)[0] == "picture"
                owner.delete("/api/v1/session").raise_for_status()
                assert next(events)[0] == "picture"
