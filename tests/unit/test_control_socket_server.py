"""The daemon's side of the control socket, over real sockets, before a made-up daemon."""

from __future__ import annotations

import asyncio
import json
import os
from collections.abc import Callable, Coroutine
from functools import wraps
from typing import Any

import pytest

from controller import __version__
from controller.core.errors import (
    BadRequestError,
    NoDaemonError,
    PlanRefusedError,
    RequestRefusedError,
)
from controller.core.findings import Finding
from controller.core.messages.methods import METHODS, HoldParams
from controller.core.messages.rpc import MESSAGE_BYTES_MAX, JsonText
from controller.shell.control_socket.connection import Caller
from controller.shell.control_socket.limits import Rate
from tests.socket_clients import STATUS, RawClient, served


def in_a_loop(test: Callable[..., Coroutine[Any, Any, None]]) -> Callable[..., None]:
    """Runs a test in an event loop of its own, for ten seconds at the most."""

    @wraps(test)
    def run(*arguments: Any, **keys: Any) -> None:
        async def bounded() -> None:
            async with asyncio.timeout(10):
                await test(*arguments, **keys)

        asyncio.run(bounded())

    return run


# Questions and answers


@in_a_loop
async def test_a_request_is_answered_with_its_id() -> None:
    """The daemon is given method, parameters and the caller whom the kernel vouches for."""
    async with served() as one:
        client = await one.client()
        answer = await client.ask("hold", "a", load="pump", order="on", **{"for": "20m"})
        assert answer == {"jsonrpc": "2.0", "id": "a", "result": {}}
        caller = Caller(os.getuid(), os.getgid(), os.getpid())
        assert one.daemon.asked == [("hold", HoldParams("pump", "on", 1_200_000), caller)]


@in_a_loop
async def test_requests_that_come_together_are_carried_out_in_order() -> None:
    """Several lines in one piece, one line in several pieces, a carriage return, and unknown
    methods between them."""
    async with served() as one:
        client = await one.client()
        client.request("stop", 1)
        client.request("nothing", 2)
        client.request("resume", 3)
        client.write(b'{"jsonrpc":"2.0","met')
        await one.settled()
        client.write(b'hod":"status","id":4}\r\n')
        answers = [await client.line() for _ in range(4)]
        assert [answer["id"] for answer in answers if "result" in answer] == [1, 3, 4]
        assert [answer["id"] for answer in answers if "error" in answer] == [2]
        assert one.daemon.methods == ["stop", "resume", "status"]


@in_a_loop
async def test_a_slow_answer_does_not_hold_up_a_later_one() -> None:
    """Answers come as they are ready; ids tell them apart."""
    async with served() as one:
        gate = one.daemon.gates["plan.read"] = asyncio.Event()
        client = await one.client()
        client.request("plan.read", "slow")
        assert (await client.ask("status", "fast"))["id"] == "fast"
        gate.set()
        assert (await client.line())["id"] == "slow"


@in_a_loop
async def test_a_notification_is_carried_out_and_never_answered() -> None:
    """Whatever comes of it."""
    async with served() as one:
        client = await one.client()
        one.daemon.answers["resume"] = BadRequestError("no")
        for method in ("stop", "resume", "nothing"):
            client.write(json.dumps({"jsonrpc": "2.0", "method": method}).encode() + b"\n")
        client.write(b'{"jsonrpc":"2.0","method":"hold","params":{}}\n')
        assert (await client.ask("status", 9))["id"] == 9
        assert one.daemon.methods == ["stop", "resume", "status"]


@in_a_loop
async def test_what_is_no_request_is_answered_and_the_next_one_is_served() -> None:
    """Every line has its own fate, blank ones too."""
    async with served() as one:
        client = await one.client()
        client.write(b"\n{}\n[]\nGET / HTTP/1.1\n\xff\xff\n")
        codes = [(await client.line())["error"]["code"] for _ in range(5)]
        assert codes == [-32700, -32600, -32600, -32700, -32700]
        assert "result" in await client.ask("status")


_FINDING = Finding("error", "loads.pump.line", "170 is no line", "use one from 0 to 53", 9)


@pytest.mark.parametrize(
    ("error", "told"),
    [
        (BadRequestError("no load x"), {"code": -32000, "message": "no load x"}),
        (RequestRefusedError(-32050, "no", {"a": 1}),
         {"code": -32050, "message": "no", "data": {"a": 1}}),
        (PlanRefusedError("p.toml", [_FINDING]),
         {"code": -32001, "message": "p.toml: 1 error in the plan",
          "data": {"findings": [_FINDING.as_json()]}}),
    ],
)  # fmt: skip
@in_a_loop
async def test_an_error_of_the_daemon_is_told(error: BaseException, told: Any) -> None:
    """Its words, its number, its data."""
    async with served() as one:
        one.daemon.answers["plan.read"] = error
        answer = await (await one.client()).ask("plan.read")
        assert answer == {"jsonrpc": "2.0", "id": 1, "error": told}


@pytest.mark.parametrize("mistake", [ZeroDivisionError("oh"), {"a": {1}}, {"a": float("nan")}])
@in_a_loop
async def test_a_mistake_of_ours_is_an_answer_and_a_report(mistake: Any) -> None:
    """No request ends the process that waters: what went wrong is reported to the loop's handler;
    the client is told, and served again."""
    async with served() as one:
        one.daemon.answers["plan.read"] = mistake
        client = await one.client()
        answer = await client.ask("plan.read")
        assert answer["error"] == {
            "code": -32603,
            "message": "plan.read failed by a mistake in the controller; its log tells more",
        }
        (report,) = one.daemon.mistakes
        assert report["message"] == "plan.read failed"
        assert isinstance(report["exception"], ZeroDivisionError | TypeError | ValueError)
        assert "result" in await client.ask("status")


@in_a_loop
async def test_an_answer_that_is_json_already_is_sent_as_it_is() -> None:
    """Where encoding would take long."""
    async with served() as one:
        one.daemon.answers["log"] = JsonText(b'{"entries":[ 1 ]}')
        client = await one.client()
        client.request("log")
        assert await client.reader.readline() == (
            b'{"jsonrpc":"2.0","id":1,"result":{"entries":[ 1 ]}}\n'
        )


@in_a_loop
async def test_an_answer_beyond_the_bound_is_refused() -> None:
    """The client is told to ask for less."""
    async with served(answer_bytes_max=1024) as one:
        one.daemon.answers["log"] = {"entries": ["x" * 1024]}
        answer = await (await one.client()).ask("log")
        assert answer["error"] == {
            "code": -32003,
            "message": "the answer would be longer than 1 KiB: ask for less",
        }


@in_a_loop
async def test_an_answer_that_takes_too_long_is_given_up() -> None:
    """And its work is cancelled."""
    async with served(answer_s=0.02) as one:
        one.daemon.gates["plan.read"] = asyncio.Event()
        answer = await (await one.client()).ask("plan.read")
        assert answer["error"] == {"code": -32007, "message": "plan.read took longer than 0.02 s"}


@in_a_loop
async def test_a_timeout_inside_of_an_answer_is_not_taken_for_ours() -> None:
    """It is a mistake like any other."""
    async with served() as one:
        one.daemon.answers["plan.read"] = TimeoutError("a disk's")
        answer = await (await one.client()).ask("plan.read")
        assert answer["error"]["code"] == -32603


@in_a_loop
async def test_hello_tells_who_answers() -> None:
    """The protocol, the version and every method; a client need not say what it speaks."""
    async with served() as one:
        client = await one.client()
        told = {"protocol": 1, "version": __version__, "methods": list(METHODS)}
        assert (await client.ask("hello"))["result"] == told
        assert (await client.ask("hello", protocol=1))["result"] == told
        assert one.daemon.asked == []


@in_a_loop
async def test_a_client_of_another_protocol_is_refused() -> None:
    """With what to do, and what is spoken here."""
    async with served() as one:
        answer = await (await one.client()).ask("hello", protocol=2)
        assert answer["error"] == {
            "code": -32004,
            "message": f"the controller speaks protocol 1 (rootclock {__version__}), the client "
            "2: restart the one that was not restarted since the update",
            "data": {"protocol": 1, "version": __version__},
        }


@in_a_loop
async def test_a_client_that_says_no_more_still_gets_its_answers() -> None:
    """As with a shell's pipe: it sends, ends its side, and reads."""
    async with served() as one:
        gate = one.daemon.gates["plan.read"] = asyncio.Event()
        client = await one.client()
        client.request("plan.read", 1)
        client.request("status", 2)
        client.writer.write_eof()
        await one.settled()
        gate.set()
        assert sorted(line["id"] for line in await client.lines()) == [1, 2]


@in_a_loop
async def test_a_last_line_without_an_end_is_refused() -> None:
    """Half of a request must not be taken for a whole one."""
    async with served() as one:
        client = await one.client()
        client.write(b'{"jsonrpc":"2.0","method":"stop"}')
        client.writer.write_eof()
        (answer,) = await client.lines()
        assert (answer["id"], answer["error"]["code"]) == (None, -32700)
        assert "the last line has no end" in answer["error"]["message"]
        assert one.daemon.asked == []


@in_a_loop
async def test_what_a_client_asked_for_is_done_though_it_went_away() -> None:
    """A stop that was sent is a stop."""
    async with served() as one:
        gate = one.daemon.gates["stop"] = asyncio.Event()
        client = await one.client()
        client.request("stop")
        await one.settled()
        await client.close()
        await one.settled()
        assert one.daemon.methods == ["stop"]
        other = await one.client()
        assert "result" in await other.ask("status")
        gate.set()
        await one.settled()
        assert one.server.client_count == 1


@in_a_loop
async def test_a_plan_of_the_largest_size_travels() -> None:
    """And what is longer is refused by a line of its own, after which nothing more is read."""
    async with served() as one:
        client = await one.client()
        overhead = len(b'{"jsonrpc":"2.0","method":"plan.propose","params":["",1],"id":1}')
        text = "x" * (MESSAGE_BYTES_MAX - overhead)
        message = '{"jsonrpc":"2.0","method":"plan.propose","params":["%s",1],"id":1}\n'
        client.write((message % text).encode())
        assert "result" in await client.line()
        client.write((message % (text + "x")).encode())
        assert (await client.line())["error"]["code"] == -32003
        assert "result" in await client.ask("status")
        client.write(b"y" * (MESSAGE_BYTES_MAX + 100_000))
        told = await client.lines()
        assert [line["error"]["code"] for line in told] == [-32003]
        assert len(one.daemon.asked) == 2


# Subscribers


async def _subscriber(client: RawClient, *topics: str) -> Any:
    return (await client.ask("subscribe", "s", topics=list(topics)))["result"]


@in_a_loop
async def test_a_subscriber_begins_with_the_status_and_is_told_of_changes() -> None:
    """Each with the new status; whoever did not ask for it is told nothing."""
    async with served() as one:
        client, other = await one.client(), await one.client()
        assert await _subscriber(client, "changed") == {"topics": ["changed"], "status": STATUS}
        assert "result" in await other.ask("status")
        one.daemon.answers["status"] = {"loads": []}
        one.server.changed()
        assert await client.line() == {
            "jsonrpc": "2.0",
            "method": "changed",
            "params": {"skipped": 0, "status": {"loads": []}},
        }
        one.server.tell_journal([{"what": "on"}])
        assert (await other.ask("status", 7))["id"] == 7


@in_a_loop
async def test_changes_that_come_together_are_told_once() -> None:
    """The status is asked for when they are told, not when they happen."""
    async with served() as one:
        client = await one.client()
        await _subscriber(client, "changed")
        one.daemon.asked.clear()
        for number in range(50):
            one.daemon.answers["status"] = number
            one.server.changed()
        assert (await client.line())["params"] == {"skipped": 0, "status": 49}
        assert len(one.daemon.asked) == 1


@in_a_loop
async def test_no_change_is_lost_whenever_it_comes() -> None:
    """Each turn of the loop while the one before is being told is tried."""
    async with served() as one:
        client = await one.client()
        await _subscriber(client, "changed")
        for turns in range(12):
            one.daemon.answers["status"] = ["first", turns]
            one.server.changed()
            for _ in range(turns):
                await asyncio.sleep(0)
            one.daemon.answers["status"] = ["last", turns]
            one.server.changed()
            while (await client.line())["params"]["status"] != ["last", turns]:
                pass


@in_a_loop
async def test_a_change_while_the_status_is_made_is_told_after_it() -> None:
    """Nothing that happens between two statuses is lost, and an answer is never followed by
    something older."""
    async with served() as one:
        gate = one.daemon.gates["status"] = asyncio.Event()
        client = await one.client()
        client.request("subscribe", "s", topics=["changed", "journal"])
        await one.settled()
        one.server.changed()
        one.server.tell_journal([{"n": 1}])
        await one.settled()
        gate.set()
        told = [await client.line() for _ in range(3)]
        assert [line.get("method", line.get("id")) for line in told] == ["s", "changed", "journal"]
        assert told[2]["params"] == {"lost": 0, "entries": [{"n": 1}]}


@in_a_loop
async def test_journal_entries_are_handed_on() -> None:
    """In order, to those who asked for them, without a status."""
    async with served() as one:
        client = await one.client()
        assert await _subscriber(client, "journal") == {"topics": ["journal"], "status": None}
        one.server.tell_journal([{"what": "on"}, {"what": "off"}])
        one.server.changed()
        one.server.tell_journal([{"what": "alarm"}])
        told = [(await client.line())["params"]["entries"] for _ in range(2)]
        assert told == [[{"what": "on"}, {"what": "off"}], [{"what": "alarm"}]]
        assert one.daemon.asked == []


@in_a_loop
async def test_nobody_listening_costs_nothing() -> None:
    """No status is made for nobody."""
    async with served() as one:
        one.server.changed()
        one.server.tell_journal([{"a": {1}}])  # not even encoded
        await one.settled()
        assert one.daemon.asked == []


@in_a_loop
async def test_a_subscriber_that_reads_slowly_gets_the_newest_and_how_many_it_missed() -> None:
    """Statuses between are skipped; of entries the oldest; both are counted."""
    async with served(entries_waiting_max=3) as one:
        client = await one.client()
        client.writer.transport.pause_reading()  # type: ignore[attr-defined]
        client.request("subscribe", "s")
        await one.settled()
        big = "x" * 500_000  # more than the kernel keeps for a socket
        for number in range(10):
            one.daemon.answers["status"] = [number, big]
            one.server.changed()
            await one.settled()
            one.server.tell_journal([{"n": number}])
        client.writer.transport.resume_reading()  # type: ignore[attr-defined]
        told: list[Any] = []
        while not told or told[-1].get("params", {}).get("entries", [{}])[-1].get("n") != 9:
            told.append(await client.line())
        changes = [line["params"] for line in told if line.get("method") == "changed"]
        numbers = [change["status"][0] for change in changes]
        assert numbers == [0, 9]
        assert [change["skipped"] for change in changes] == [0, 8]
        entries = [line["params"] for line in told if line.get("method") == "journal"]
        assert entries == [{"lost": 7, "entries": [{"n": 7}, {"n": 8}, {"n": 9}]}]


@in_a_loop
async def test_a_subscriber_that_never_reads_is_cut_off() -> None:
    """After its time, and without harm to another."""
    async with served(unread_s=0.05) as one:
        client, other = await one.client(), await one.client()
        await _subscriber(other, "changed")
        await _subscriber(client, "changed")
        client.writer.transport.pause_reading()  # type: ignore[attr-defined]
        one.daemon.answers["status"] = "x" * 900_000
        one.server.changed()
        assert len((await other.line())["params"]["status"]) == 900_000
        await asyncio.sleep(0.1)  # the time itself is what is tested
        await one.settled()
        assert one.server.client_count == 1
        one.server.changed()
        assert "params" in await other.line()


@in_a_loop
async def test_to_subscribe_again_changes_the_topics() -> None:
    """The last word counts."""
    async with served() as one:
        client = await one.client()
        await _subscriber(client, "journal")
        await _subscriber(client, "changed")
        one.server.tell_journal([{"n": 1}])
        one.server.changed()
        assert (await client.line())["method"] == "changed"


@in_a_loop
async def test_a_subscription_that_fails_is_none() -> None:
    """The client is told, and told nothing more."""
    async with served() as one:
        one.daemon.answers["status"] = BadRequestError("not yet")
        client = await one.client()
        assert (await client.ask("subscribe"))["error"]["message"] == "not yet"
        one.server.changed()
        one.server.tell_journal([{"n": 1}])
        assert (await client.ask("stop", 5))["id"] == 5


@in_a_loop
async def test_a_status_that_fails_is_reported_and_the_next_is_told() -> None:
    """Subscribers stay."""
    async with served() as one:
        client = await one.client()
        await _subscriber(client, "changed")
        one.daemon.answers["status"] = ZeroDivisionError("oh")
        one.server.changed()
        await one.settled()
        assert len(one.daemon.mistakes) == 1
        one.daemon.answers["status"] = 5
        one.server.changed()
        assert (await client.line())["params"]["status"] == 5


# Bounds


@in_a_loop
async def test_a_client_has_only_so_many_requests_in_hand() -> None:
    """The rest waits in its own buffer until one is answered; nothing is refused."""
    async with served(requests_in_hand_of_one_client_max=2) as one:
        gate = one.daemon.gates["plan.read"] = asyncio.Event()
        client = await one.client()
        for number in range(5):
            client.request("plan.read", number)
        await one.settled()
        assert len(one.daemon.asked) == 2
        other = await one.client()
        assert "result" in await other.ask("status")
        gate.set()
        assert [(await client.line())["id"] for _ in range(5)] == [0, 1, 2, 3, 4]


@pytest.mark.parametrize(
    "bound",
    [{"requests_in_hand_max": 3}, {"requests_in_hand_of_one_user_max": 3}],
    ids=["of all", "of one user"],
)
@in_a_loop
async def test_all_clients_have_only_so_many_requests_in_hand(bound: dict[str, Any]) -> None:
    """What is beyond is refused at once; requests of clients that are gone count."""
    async with served(**bound) as one:
        gate = one.daemon.gates["plan.read"] = asyncio.Event()
        for number in range(3):
            client = await one.client()
            client.request("plan.read", number)
            await one.settled()
            await client.close()
        last = await one.client()
        assert (await last.ask("status"))["error"] == {
            "code": -32002,
            "message": "3 requests are in hand already: ask again in a moment",
        }
        gate.set()
        await one.settled()
        assert "result" in await last.ask("status")


@in_a_loop
async def test_a_client_may_ask_only_so_often() -> None:
    """A few at once, then one after the other; none is lost, and others are served."""
    async with served(requests_of_one_client=Rate(per_s=50, at_once=3)) as one:
        client, other = await one.client(), await one.client()
        loop = asyncio.get_running_loop()
        begun = loop.time()
        for number in range(8):
            client.request("status", number)
        assert "result" in await other.ask("stop")
        assert one.daemon.methods.index("stop") < 8
        assert [(await client.line())["id"] for _ in range(8)] == list(range(8))
        assert loop.time() - begun > 5 / 50 - 0.01


@in_a_loop
async def test_all_clients_may_ask_only_so_often_and_take_turns() -> None:
    """Who asks a lot waits for themselves: another client's turn comes after one of theirs."""
    async with served(requests=Rate(per_s=50, at_once=2)) as one:
        busy, modest = await one.client(), await one.client()
        for number in range(20):
            busy.request("status", number)
        await one.settled()
        loop = asyncio.get_running_loop()
        begun = loop.time()
        assert "result" in await modest.ask("stop")
        assert one.daemon.methods.index("stop") < 6
        assert [(await busy.line())["id"] for _ in range(6)] == list(range(6))
        assert loop.time() - begun > 3 / 50


@in_a_loop
async def test_clients_come_in_only_so_often() -> None:
    """The rest waits at the door; nobody is refused for it."""
    async with served(connections=Rate(per_s=50, at_once=2)) as one:
        loop = asyncio.get_running_loop()
        begun = loop.time()
        clients = [await one.client() for _ in range(6)]
        for client in clients:
            client.request("status")
        assert ["result" in await client.line() for client in clients] == [True] * 6
        assert loop.time() - begun > 3.5 / 50


@in_a_loop
async def test_a_line_must_be_whole_in_its_time() -> None:
    """A byte now and then does not keep a place: the time is that of the whole line."""
    async with served(line_s=0.1) as one:
        client = await one.client()
        assert "result" in await client.ask("status")
        written = 0
        while written < 50 and client.write_at_once(b'"'):
            written += 1
            await asyncio.sleep(0.02)  # a slow hand is what is tested
        assert written < 50
        (told,) = await client.lines()
        assert told["error"] == {
            "code": -32007,
            "message": "a line must be whole within 0.1 s of its first byte",
        }
        assert one.server.client_count == 0


@in_a_loop
async def test_a_client_that_asks_nothing_is_let_go() -> None:
    """With a word; one that waits for an answer or listens stays."""
    async with served(idle_s=0.05) as one:
        gate = one.daemon.gates["plan.read"] = asyncio.Event()
        idle, waiting, listening = [await one.client() for _ in range(3)]
        waiting.request("plan.read")
        await _subscriber(listening, "changed")
        assert await idle.lines() == [
            {
                "jsonrpc": "2.0",
                "method": "closing",
                "params": {"reason": "nothing was asked for 0.05 s"},
            }
        ]
        gate.set()
        assert "result" in await waiting.line()
        one.server.changed()
        assert (await listening.line())["method"] == "changed"
        assert (await waiting.lines())[0]["method"] == "closing"


@in_a_loop
async def test_one_client_more_than_may_be_is_told_so() -> None:
    """And has its place as soon as another goes."""
    async with served(clients_max=2, clients_kept_for_root=0) as one:
        first, second = await one.client(), await one.client()
        assert "result" in await first.ask("status")
        assert "result" in await second.ask("status")
        third = await one.client()
        (told,) = await third.lines()
        assert told["error"] == {
            "code": -32002,
            "message": "2 clients are connected, as many as may be: try again in a moment",
        }
        await first.close()
        await one.settled()
        fourth = await one.client()
        assert "result" in await fourth.ask("status")


@in_a_loop
async def test_who_sends_the_most_half_lines_goes_when_all_together_send_too_many() -> None:
    """The memory for lines that are not whole has one bound."""
    async with served(received_bytes_max=100_000) as one:
        small, large = await one.client(), await one.client()
        small.write(b"x" * 30_000)
        await one.settled()
        large.write(b"y" * 90_000)
        (told,) = await large.lines()
        assert told["error"] == {"code": -32002, "message": "too much is being sent at once"}
        small.write(b"\n")
        assert (await small.line())["error"]["code"] == -32700


@in_a_loop
async def test_who_reads_the_least_goes_when_all_together_read_too_little() -> None:
    """The memory for answers that are not read has one bound, and each client one."""
    async with served(unread_bytes_max=1_500_000, unread_bytes_of_one_client_max=1_200_000) as one:
        one.daemon.answers["log"] = "x" * 800_000
        lazy, lazier = await one.client(), await one.client()
        for client in (lazy, lazier):
            client.writer.transport.pause_reading()  # type: ignore[attr-defined]
        lazy.request("log")
        await one.settled()
        lazier.request("log", 1)
        lazier.request("log", 2)
        await one.settled()
        assert one.server.client_count == 1
        lazy.writer.transport.resume_reading()  # type: ignore[attr-defined]
        assert "result" in await lazy.line()


# The end


@in_a_loop
async def test_at_the_end_everybody_is_told() -> None:
    """Who waits for an answer has one, who does not read does not hold it up."""
    async with served() as one:
        one.daemon.gates["plan.read"] = asyncio.Event()
        one.daemon.answers["log"] = "x" * 900_000
        waiting, idle, deaf = [await one.client() for _ in range(3)]
        waiting.request("plan.read", 3)
        deaf.writer.transport.pause_reading()  # type: ignore[attr-defined]
        deaf.request("log")
        await one.settled()
        await asyncio.wait_for(one.server.close(within_s=0.2), 60)
        farewell = {
            "jsonrpc": "2.0",
            "method": "closing",
            "params": {"reason": "the controller ends"},
        }
        error = {"code": -32008, "message": "the controller ends"}
        assert await waiting.lines() == [{"jsonrpc": "2.0", "id": 3, "error": error}, farewell]
        assert await idle.lines() == [farewell]
        assert (one.server.client_count, one.path.exists()) == (0, False)
        await one.server.close()
        with pytest.raises(NoDaemonError):
            await one.client()


@in_a_loop
async def test_a_client_that_is_just_coming_in_at_the_end_is_let_go() -> None:
    """Between accept and the first word."""
    async with served() as one:
        client = await one.client()
        await one.server.close()
        assert [line["method"] for line in await client.lines()] in ([], ["closing"])
        one.server.changed()
        assert one.daemon.asked == []
