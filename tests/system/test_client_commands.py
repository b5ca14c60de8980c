"""The commands that ask the running daemon, as they are typed; the daemon decides for real.

Behind a real control socket stands `decide` itself, driven through a made-up day, so that
what the commands print is what a controller does.
"""

from __future__ import annotations

import io
import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from controller.cli.main import main
from controller.core.errors import BadRequestError, PlanConflictError, PlanRefusedError
from controller.core.findings import Finding
from controller.core.messages.methods import NoParams, Params, ProposeParams, RevisionParams
from controller.core.messages.wanted import requests_of, wanted_status
from controller.core.observation import ResumeRequest, StopRequest
from controller.core.orders import Event
from controller.core.status.json_form import as_json, status_from_json
from controller.core.status.record import Lateness, PlanStatus, Status
from controller.core.status.taking import Facts, status_of
from tests.readme import ROOT
from tests.socket_clients import ServedElsewhere, served_elsewhere, short_folder
from tests.worlds import MIDNIGHT, Driver, load, plan_of, spans

_PLAN = PlanStatus("plan.toml", 3, MIDNIGHT, None)
_FACTS = Facts("0.1.0", 0, True, False, 1.0, _PLAN, Lateness(4, 0.5, 1.0, 2.0))


class Garden:
    """A controller in a bottle behind a control socket."""

    def __init__(self, one: ServedElsewhere) -> None:
        self.one = one
        self.driver = Driver(
            plan_of(
                site={"latitude": 47.37, "longitude": 8.54, "timezone": "Europe/Zurich"},
                sensors={
                    "floor": {"measures": "leak", "stale_after": "20m"},
                    "air": {"measures": "air_temperature", "stale_after": "20m"},
                },
                guards={"leak": "floor"},
                pump=load(
                    "15m on, 15m off",
                    variants=[{"name": "deluge", "by_hand": True, "spans": spans("on")}],
                ),
                lamp=load("06:00 | on", "22:00 | off", kind="lamp"),
            ),
            is_settled=True,
        )
        self.driver.sense(floor=0.0, air=21.5)
        self.driver.advance("12h5m")  # 14:05 in Zurich
        one.daemon.answers |= {
            "status": lambda _: as_json(self.status()),
            "why": lambda params: as_json(
                wanted_status(params, self.driver.schedule, self.status())
            ),
            "hold": self._ordered,
            "release": self._ordered,
            "acknowledge": self._ordered,
            "stop": lambda _: self._decided(StopRequest()),
            "resume": lambda _: self._decided(ResumeRequest()),
            "clock.trust": self._trusted,
        }

    def status(self) -> Status:
        """What the controller does now."""
        driver = self.driver
        assert driver.memory is not None
        return status_of(
            driver.schedule, driver.memory, now=driver.clock_now, tick=driver.tick, facts=_FACTS
        )

    def _ordered(self, params: Any) -> object:
        assert self.driver.memory is not None
        return self._decided(*requests_of(params, self.driver.schedule, self.driver.memory.alarms))

    def _decided(self, *requests: Any) -> object:
        for notice in self.driver.step(*requests).notices:
            if notice.event is Event.REQUEST_REFUSED:
                raise BadRequestError(notice.detail)
        return as_json(self.status())

    def _trusted(self, params: NoParams) -> object:
        del params
        self.driver.trust_clock()
        return as_json(self.status())


@pytest.fixture
def garden() -> Iterator[Garden]:
    """A garden at five past two in the afternoon, its pump watering."""
    with served_elsewhere() as one:
        yield Garden(one)


class Shell:
    """Types commands, and reads what they print."""

    def __init__(self, path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self._path = path
        self._capsys = capsys

    def __call__(self, *words: str) -> tuple[int, str, str]:
        """The exit code, standard output and standard error of a command."""
        code = main([*words, "--socket", str(self._path)])
        captured = self._capsys.readouterr()
        return code, captured.out, captured.err

    def done(self, *words: str) -> str:
        """The output of a command that succeeds."""
        code, out, err = self(*words)
        assert (code, err) == (0, "")
        return out

    def refused(self, *words: str) -> str:
        """What a command that fails says."""
        code, out, err = self(*words)
        assert (code, out) == (1, "")
        return err


@pytest.fixture
def shell(garden: Garden, capsys: pytest.CaptureFixture[str]) -> Shell:
    """A terminal of 80 columns beside the garden."""
    return Shell(garden.one.path, capsys)


def test_the_status_is_told(shell: Shell) -> None:
    """Loads, readings, plan; the whole as it is printed where there is no terminal."""
    assert (
        shell.done("status")
        == """\
It is 14:05:00 on 1 Jun 2026 in Europe/Zurich. No relay is switched: the lines
are mock ones.

pump: on for 5 min. Watering until 14:15, 10 min more. Cycle 15m on, 15m off,
  since 00:00 on 1 Jun.
lamp: on for 8 h 5 min. Lit until 22:00, 7 h 55 min more. Steadily on, since
  06:00.

floor: leak, dry, 0 s ago.
air: air temperature 21.5 °C, 0 s ago.

Plan plan.toml, revision 3, in force since 02:00 on 1 Jun.
rootclock 0.1.0, up for 12 h 5 min; 4 switchings, half of them less than 0.5 ms
  late, none more than 2 ms.
"""
    )


def test_the_status_as_json_is_what_the_daemon_says(garden: Garden, shell: Shell) -> None:
    """Machine output, readable back."""
    told = json.loads(shell.done("status", "--json"))
    assert status_from_json(told) == garden.status()


def test_why_tells_of_one_load(shell: Shell) -> None:
    """Or of all, where none is named."""
    assert shell.done("why", "lamp") == (
        "lamp: on for 8 h 5 min. Lit until 22:00, 7 h 55 min more. Steadily on, since\n  06:00.\n"
    )
    assert "pump: on" in shell.done("why")
    assert shell.refused("why", "lmp") == (
        "rootclock: there is no load 'lmp' (did you mean lamp?); the plan has pump, lamp\n"
    )


def test_a_hold_and_its_release(shell: Shell) -> None:
    """Each says what is switched now and what happens next."""
    assert shell.done("hold", "pump", "off", "--for", "20m") == (
        "pump is switched off now, and held off until 14:25; then the plan goes on.\n"
    )
    assert shell.done("hold", "pump", "5m on, 10m off", "--for", "1h") == (
        "pump is held at 5m on, 10m off until 15:05; then the plan goes on. It stays off\nnow.\n"
    )
    assert shell.done("release", "pump").startswith("pump is not held any more, and is off.")
    assert shell.done("hold", "pump", "deluge", "--for", "10m").startswith(
        "pump is held at deluge until 14:15; then the plan goes on."
    )
    assert shell.refused("hold", "pump", "15/15", "--for", "20m") == (
        "rootclock: pump cannot be held at '15/15': write on, off, a cycle like 15m on, 15m off "
        "or one of its variants (deluge) (did you mean 15m on, 15m off?)\n"
    )


def test_a_hold_that_a_guard_overrules_says_so(garden: Garden, shell: Shell) -> None:
    """A person is not told that water runs when it does not."""
    garden.driver.sense(floor=1.0)
    told = shell.done("hold", "pump", "on", "--for", "20m").replace("\n", " ")
    assert told.startswith(
        "pump is held on until 14:25, then the plan goes on. But it is off now: Resting. "
        "Stopped: floor told of a leak."
    )


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["hold", "pump", "on"], "the following arguments are required: --for"),
        (["hold", "pump", "--for", "20m"], "the following arguments are required: ORDER"),
        (["hold", "pump", "on", "--for", "20 min"], "did you mean 20m?"),
        (["hold", "pump", "on", "--for", "0s"], "longer than no time at all"),
        (["hold", "pump", "on", "--for", "8d"], "is not a duration"),
        (["release"], "the following arguments are required: LOAD"),
        (["acknowledge"], "the following arguments are required: ALARM"),
        (["plan"], "the following arguments are required: COMMAND"),
        (["plan", "restore", "x"], "'x' is not a revision's number"),
        (["plan", "restore", "0"], "'0' is not a revision's number"),
        (["plan", "difference"], "the following arguments are required: A"),
    ],
)
def test_wrong_usage_has_exit_code_2(
    words: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Before any daemon is asked."""
    with pytest.raises(SystemExit) as caught:
        main(words)
    assert caught.value.code == 2
    assert says in capsys.readouterr().err


def test_an_alarm_is_acknowledged_however_it_is_written(garden: Garden, shell: Shell) -> None:
    """While its cause is there it stays; afterwards it goes."""
    assert shell.done("acknowledge", "all") == "There is no alarm.\n"
    assert shell.refused("acknowledge", "leak") == "rootclock: there is no alarm to acknowledge\n"
    garden.driver.sense(floor=1.0)
    told = shell.done("acknowledge", "Leak").replace("\n", " ")
    assert told.startswith(
        "Acknowledged: leak (floor). Its cause is still there, and it goes away with it. "
        "Switch the pump's supply off before you touch water"
    )
    garden.driver.sense(floor=0.0)
    garden.driver.sense(floor=1.0)
    garden.driver.sense(floor=0.0)
    assert shell.refused("acknowledge", "flor") == (
        "rootclock: there is no alarm 'flor' (did you mean floor?); there are: leak (floor)\n"
    )
    assert shell.done("acknowledge", "floor") == "Acknowledged, and gone: leak (floor).\n"
    garden.driver.sense(floor=1.0)
    garden.driver.sense(floor=0.0)
    assert shell.done("acknowledge", "all") == "Acknowledged, and gone: leak (floor).\n"


def test_a_stop_and_its_end(shell: Shell) -> None:
    """Everything off, until somebody lets it go on."""
    assert shell.done("stop") == (
        "Everything is stopped and off. It stays so until rootclock resume.\n"
    )
    assert shell.done("status").startswith(
        "Everything is stopped; `rootclock resume` lets it go on."
    )
    told = shell.done("resume")
    assert told.startswith("The stop is over.\n\npump: ")


def test_the_clock_is_trusted_on_a_person_s_word(
    garden: Garden, shell: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who is shown the time first, and asked."""
    assert shell.done("trust-clock").startswith("The clock is trusted already: it is 14:05:00")
    for answer, code in (("n\n", 1), ("", 1), ("y\n", 0)):
        garden.driver.distrust_clock(off="1m")
        monkeypatch.setattr(sys, "stdin", io.StringIO(answer))
        told = shell("trust-clock")
        assert told[0] == code
        assert told[1].startswith(
            "The controller's clock shows 14:06:00 on 1 Jun 2026 in Europe/Zurich."
        )
        assert garden.driver.is_clock_trusted is (code == 0)
    garden.driver.distrust_clock(off="1m")
    assert shell.done("trust-clock", "--yes").endswith(
        "The clock is trusted; loads go by the plan's times.\n"
    )


# The plan


def _revisions(one: ServedElsewhere) -> None:
    texts = {1: "format = 1\nold\n", 2: "format = 1\nnew\n"}

    def text_of(params: RevisionParams) -> object:
        if params.revision not in texts:
            return BadRequestError(f"there is no revision {params.revision}")
        return {"revision": params.revision, "text": texts[params.revision]}

    revisions = [
        {"revision": 1, "taken_utc": "2026-06-01T00:00:00.755Z", "how": "at the first start",
         "note": "", "is_in_force": False},
        {"revision": 2, "taken_utc": "2026-06-02T00:00:00Z", "how": "proposed",
         "note": "hotter days", "is_in_force": True},
    ]  # fmt: skip
    one.daemon.answers |= {
        "plan.read": {"revision": 2, "taken_utc": "2026-06-02T00:00:00Z", "text": texts[2]},
        "plan.text": text_of,
        "plan.revisions": {"revisions": revisions},
        "plan.restore": {"revision": 3, "is_new": True, "remarks": [], "findings": []},
    }


def test_plans_are_shown_listed_compared_and_restored(garden: Garden, shell: Shell) -> None:
    """The text as it is, a line for each revision in the site's time, a unified diff."""
    _revisions(garden.one)
    assert shell.done("plan", "show") == "format = 1\nnew\n"
    assert shell.done("plan", "show", "--revision", "1") == "format = 1\nold\n"
    assert shell.refused("plan", "show", "--revision", "9") == (
        "rootclock: there is no revision 9\n"
    )
    assert shell.done("plan", "revisions") == (
        "     1  2026-06-01 02:00:00  at the first start\n"
        "     2  2026-06-02 02:00:00  proposed: hotter days  (in force)\n"
        "\nTimes of Europe/Zurich.\n"
    )
    listed = json.loads(shell.done("plan", "revisions", "--json"))
    assert [one["revision"] for one in listed] == [1, 2]
    difference = "--- revision 1\n+++ revision 2\n@@ -1,2 +1,2 @@\n format = 1\n-old\n+new\n"
    assert shell.done("plan", "difference", "1", "2") == difference
    assert shell.done("plan", "difference", "1") == difference
    assert shell.done("plan", "difference", "2", "2") == ""
    assert shell.done("plan", "restore", "1") == "Revision 3 is in force.\n"


_ERROR = Finding("error", "loads.pump.line", "170 is no line", "use one from 0 to 53", 9)
_WARNING = Finding("warning", "loads.lamp", "it is hot", "cool it", 12)


def test_a_plan_is_proposed(garden: Garden, shell: Shell, tmp_path: Path) -> None:
    """It is sent as it is, with the revision that it replaces; what was found is told."""
    _revisions(garden.one)
    asked: list[Params] = []

    def taken(params: ProposeParams) -> object:
        asked.append(params)
        findings = [_WARNING.as_json()]
        return {"revision": 3, "is_new": True, "remarks": ["a remark"], "findings": findings}

    garden.one.daemon.answers["plan.propose"] = taken
    plan = tmp_path / "p.toml"
    plan.write_bytes('format = 1\n# Grüße "quoted"\n'.encode())
    told = shell.done("plan", "propose", str(plan), "--note", "hotter days")
    assert told == (
        f"{plan}:12: warning: loads.lamp\n    it is hot\n    to mend: cool it\n"
        "Revision 3 is in force.\nNote: a remark.\n"
    )
    assert asked == [ProposeParams('format = 1\n# Grüße "quoted"\n', 2, "hotter days")]


def test_a_plan_that_is_refused_changes_nothing(
    garden: Garden, shell: Shell, tmp_path: Path
) -> None:
    """Its findings are told as `check` tells them; a conflict and a text that is none too."""
    _revisions(garden.one)
    plan = tmp_path / "p.toml"
    plan.write_bytes(b"format = 1\n")
    garden.one.daemon.answers["plan.propose"] = PlanRefusedError("proposed plan", [_ERROR])
    assert shell.refused("plan", "propose", str(plan)) == (
        f"{plan}:9: error: loads.pump.line\n    170 is no line\n    to mend: use one from 0 to 53\n"
        "rootclock: proposed plan: 1 error in the plan; the plan in force stays\n"
    )
    garden.one.daemon.answers["plan.propose"] = PlanConflictError("revision 3 is in force by now")
    assert shell.refused("plan", "propose", str(plan), "--based-on", "2") == (
        "rootclock: revision 3 is in force by now\n"
    )
    plan.write_bytes(b"\xff\xfe")
    assert "the plan in force stays" in shell.refused("plan", "propose", str(plan))
    assert "no such file" in shell.refused("plan", "propose", str(tmp_path / "gone.toml"))


# No daemon


def test_without_a_daemon_every_command_says_what_to_do(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """In words, with exit code 1."""
    with short_folder() as folder:
        shell = Shell(folder / "s", capsys)
        for words in (
            ["status"], ["status", "--follow"], ["why"], ["hold", "pump", "on", "--for", "1m"],
            ["release", "pump"], ["acknowledge", "all"], ["stop"], ["resume"], ["trust-clock"],
            ["plan", "show"], ["plan", "revisions"], ["plan", "restore", "1"],
            ["plan", "difference", "1"],
        ):  # fmt: skip
            assert shell.refused(*words) == (
                f"rootclock: no daemon is running: there is no control socket {folder}/s. Start "
                "one with `rootclock start`, or the service with `sudo systemctl start "
                "rootclock`; if it has another socket, name it with --socket\n"
            )


def test_a_status_that_this_version_cannot_read_is_told(garden: Garden, shell: Shell) -> None:
    """Not as a traceback."""
    garden.one.daemon.answers["status"] = {"later": True}
    assert shell.refused("status") == (
        "rootclock: the daemon tells what this version cannot read (status.version: missing, "
        "where text was to be): restart it if rootclock was updated since it started\n"
    )


# Whole processes


@contextmanager
def _following(one: ServedElsewhere, *words: str) -> Iterator[subprocess.Popen[str]]:
    """`rootclock status --follow` in a process of its own, ended at the latest with this."""
    command = [sys.executable, "-m", "controller", "status", "--follow", *words]
    with subprocess.Popen(  # noqa: S603 - our own words
        [*command, "--socket", str(one.path)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        try:
            yield process
        finally:
            process.kill()


def _line_with(process: subprocess.Popen[str], words: str) -> str:
    assert process.stdout is not None
    for line in process.stdout:
        if words in line:
            return line
    raise AssertionError(f"it ended without {words}")


def test_following_tells_each_change_until_the_daemon_ends(garden: Garden) -> None:
    """A line a change, at once; then the reason why it is over, and exit code 1."""
    one = garden.one
    with _following(one) as process:
        assert _line_with(process, "none more than")  # the whole status comes first
        one.do(lambda _: garden.driver.hold("pump", "off", "20m"))
        one.do(lambda server: server.changed())
        assert _line_with(process, "pump") == (
            "14:05:00  pump off: Resting until 14:25, 20 min more. Held by hand: off. Then the "
            "plan goes on.\n"
        )
        one.do(lambda server: server.close())
        out, err = process.communicate(timeout=10)
    assert (process.returncode, out) == (1, "")
    assert err.endswith("has ended the connection: the controller ends\n")


def test_following_as_json_gives_a_status_a_line(garden: Garden) -> None:
    """Until somebody interrupts it, which is how it is ended: exit code 0."""
    one = garden.one
    with _following(one, "--json") as process:
        first = status_from_json(json.loads(_line_with(process, "{")))
        assert first == garden.status()
        one.do(lambda _: garden.driver.hold("pump", "off", "20m"))
        one.do(lambda server: server.changed())
        assert status_from_json(json.loads(_line_with(process, "{"))) == garden.status()
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=10)
    assert (process.returncode, out, err) == (0, "", "")


def test_a_status_loads_little(garden: Garden) -> None:
    """No event loop, no plan, no sun: they would take longer than the answer."""
    code = (
        "import sys; from controller.cli.main import main\n"
        f"main(['status', '--socket', {str(garden.one.path)!r}])\n"
        "heavy = {'asyncio', 'pydantic', 'astral', 'tomlkit', 'sqlite3', 'gpiozero', 'difflib'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run(  # noqa: S603 - our own words
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert done.stderr == "[]\n"
    assert done.stdout.startswith("It is 14:05:00")
