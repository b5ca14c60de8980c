"""A machine tries the whole API by its own description, against a real controller.

It takes some ten seconds, for thirty routes with some dozen requests each. What it finds are
crashes of shape: server errors, undocumented statuses, and answers unlike what is described.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.stage.daemon_process import DaemonProcess
from tests.stage.page_process import PageProcess

PLAN = Path(__file__).resolve().parents[2] / "controller" / "examples" / "hot-afternoon.toml"
CHECKS = (
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_schema_conformance",
)


def test_no_request_that_fits_the_description_crashes(tmp_path: Path) -> None:
    """Nor one that does not fit; the stream of events is left out, since it never ends."""
    examples = os.environ.get("ROOTCLOCK_EXAMPLES", "10")
    with DaemonProcess(tmp_path, PLAN, "--trust-clock") as daemon:
        daemon.start()
        with PageProcess(daemon.socket_path) as page:
            done = subprocess.run(  # noqa: S603 - a tool of the tests
                [
                    *(sys.executable, "-m", "schemathesis.cli", "run"),
                    f"{page.url}/api/v1/openapi.json",
                    *("--header", f"Origin:{page.url}", "--checks", ",".join(CHECKS)),
                    *("--max-examples", examples, "--seed", "1", "--no-color"),
                    *("--phases", "examples,coverage,fuzzing"),
                    *("--exclude-path", "/api/v1/events"),
                ],
                capture_output=True,
                text=True,
                check=False,
                cwd=tmp_path,
            )
            assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
            with page.client() as browser:
                assert browser.get("/health").status_code == 200
