"""A board's sensors as the loop sees them: files, contacts and meters by the plan."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from pathlib import Path
from typing import Any

import pytest

from controller.core.errors import NoReadingError, UnusableLineError
from controller.core.observation import Reading
from controller.daemon.ports import Sensors
from tests.sensing import Sensing, plan_with, sensing
from tests.stage.virtual_loop import run_virtually


def in_life(act: Callable[[Sensing], Coroutine[Any, Any, None]]) -> None:
    """Acts on a real loop, where threads and files are."""

    async def run() -> None:
        with sensing() as world:
            await act(world)

    asyncio.run(run())


def in_no_time(act: Callable[[Sensing], Coroutine[Any, Any, None]]) -> None:
    """Acts on a virtual loop, where hours pass at once. Nothing may come from a thread."""

    async def run() -> None:
        with sensing() as world:
            await act(world)

    run_virtually(run())


FLOAT = {"measures": "level", "line": 5}
METER = {"measures": "flow", "line": 6, "pulses_per_litre": 60}


def thermometer(path: Path, **more: object) -> dict[str, object]:
    """An air sensor whose file is in thousandths."""
    return {"measures": "air_temperature", "file": str(path), "scale": 0.001, **more}


def test_it_is_what_the_loop_needs() -> None:
    """The type checker holds it to the port; a real sensor never changes by itself."""

    async def act(world: Sensing) -> None:
        port: Sensors = world.sensors
        assert port.next_look() > 10**12
        assert port.readings == {}

    in_life(act)


def test_a_file_is_read_at_once_with_its_scale_and_offset(tmp_path: Path) -> None:
    """(raw + offset) * scale, as the kernel's ABI for industrial I/O has it."""

    async def act(world: Sensing) -> None:
        (tmp_path / "raw").write_bytes(b"6480\n")
        air = thermometer(tmp_path / "raw", offset=-4368.0, scale=0.0107251)
        world.sensors.watch(plan_with({"air": air}))
        reading = await world.reading("air")
        assert reading.value == pytest.approx((6480 - 4368) * 0.0107251)
        # Its age is by another clock, and both are in whole milliseconds.
        assert 3_600_000 - 1 <= reading.taken <= world.read_clock()[1]
        assert world.sensors.why_silent == {}

    in_life(act)


def test_two_sensors_may_share_a_file(tmp_path: Path) -> None:
    """Each makes of it what its scale says."""

    async def act(world: Sensing) -> None:
        (tmp_path / "raw").write_bytes(b"20000\n")
        a, b = thermometer(tmp_path / "raw"), thermometer(tmp_path / "raw", scale=0.002)
        world.sensors.watch(plan_with({"a": a, "b": b}))
        await world.reading("b")
        assert (world.value("a"), world.value("b")) == (20.0, 40.0)

    in_life(act)


def test_why_a_sensor_is_silent_is_told_in_words(tmp_path: Path) -> None:
    """By sensor, and only of those whose last attempt gave nothing."""

    async def act(world: Sensing) -> None:
        (tmp_path / "good").write_bytes(b"21000\n")
        (tmp_path / "hot").write_bytes(b"999000\n")
        (tmp_path / "words").write_bytes(b"secret of another file")
        sensors = {
            "gone": thermometer(tmp_path / "gone"),
            "hot": thermometer(tmp_path / "hot"),
            "words": thermometer(tmp_path / "words"),
            "huge": thermometer(tmp_path / "good", scale=1e308),
            "dry": {"measures": "humidity"},
            "good": thermometer(tmp_path / "good"),
        }
        world.sensors.watch(plan_with(sensors))
        await world.reading("good")
        assert dict(world.sensors.why_silent) == {
            "gone": f"its file {tmp_path}/gone: no such file or directory",
            "hot": "it says 999 °C; believed is -60 to 80 °C",
            "words": "its file holds something that is no number",
            "huge": "it says something that is no number",
            "dry": "it has neither a file nor a line: known only in a dry run",
        }

    in_life(act)


def test_a_contact_is_read_at_once_and_at_each_change() -> None:
    """An open circuit is low water, with nobody having asked."""

    async def act(world: Sensing) -> None:
        world.lines.drive(5, level=False)
        world.sensors.watch(plan_with({"float": FLOAT}))
        assert world.value("float") == 1.0
        world.lines.drive(5, level=True)
        await world.reading("float", 0.0)
        world.lines.drive(5, level=False)
        await world.reading("float", 1.0)

    in_life(act)


def test_a_contact_that_rests_stays_fresh() -> None:
    """It is read each minute, so that its reading does not grow stale."""

    async def act(world: Sensing) -> None:
        world.sensors.watch(plan_with({"float": FLOAT}))
        taken = [world.sensors.readings["float"].taken]
        for _ in range(3):
            await asyncio.sleep(60)
            taken.append(world.sensors.readings["float"].taken)
        assert [tick - taken[0] for tick in taken] == [0, 60_000, 120_000, 180_000]
        assert world.news == 4

    in_no_time(act)


def test_a_meter_tells_no_flow_when_water_must_have_arrived() -> None:
    """A pump is on and no pulse comes: told right after `flow_within`, with that time past."""

    async def act(world: Sensing) -> None:
        pump = {"kind": "pump", "flow": "meter", "flow_within": "30s"}
        world.sensors.watch(plan_with({"meter": METER}, pump=pump))
        await asyncio.sleep(100)
        on = world.read_clock()[1]
        world.sensors.attend({"pump"})
        await asyncio.sleep(30.1)
        reading = world.sensors.readings["meter"]
        assert reading.value == 0.0
        assert on + 30_000 <= reading.taken <= on + 30_100

    in_no_time(act)


def test_a_meter_tells_the_flow_while_the_pump_is_on() -> None:
    """Three pulses a second of a meter with 60 a litre are three litres a minute."""

    async def act(world: Sensing) -> None:
        pump = {"kind": "pump", "flow": "meter", "flow_within": "10s"}
        world.sensors.watch(plan_with({"meter": METER}, pump=pump))
        world.sensors.attend({"pump"})
        flows = []
        for _ in range(35):
            await asyncio.sleep(1)
            for _ in range(3):
                world.lines.drive(6, level=False)
                world.lines.drive(6, level=True)
            flows.append(world.value("meter"))
        assert flows[:10] == [None] * 10
        assert flows[10:] == pytest.approx([3.0] * 25, rel=0.11)

    in_no_time(act)


def test_a_line_that_is_taken_is_told_and_asked_for_again() -> None:
    """Another program has it; when it lets go, the sensor speaks."""

    async def act(world: Sensing) -> None:
        other = world.lines.open(5, pull="up", debounce_ms=0, edges="both")
        world.sensors.watch(plan_with({"float": FLOAT, "meter": METER}))
        assert "line 5" in world.sensors.why_silent["float"]
        await asyncio.sleep(59)
        assert "line 5" in world.sensors.why_silent["float"]
        world.lines.close(other)
        await asyncio.sleep(2)
        assert world.value("float") == 0.0
        assert world.sensors.why_silent == {}
        assert world.value("meter") == 0.0

    in_no_time(act)


def test_a_line_that_a_load_gives_back_a_moment_later_is_had_then() -> None:
    """With a new plan the loads let go of their lines only at the next decision."""

    async def act(world: Sensing) -> None:
        load = world.lines.open(5, pull="up", debounce_ms=0, edges="both")
        world.sensors.watch(plan_with({"float": {**FLOAT, "every": "1h", "stale_after": "3h"}}))
        world.lines.close(load)
        await asyncio.sleep(1.1)
        assert world.value("float") == 0.0
        assert world.news == 1

    in_no_time(act)


def test_a_line_that_is_lost_is_claimed_anew() -> None:
    """The reading grows old meanwhile; the sensor is not given up."""

    async def act(world: Sensing) -> None:
        world.sensors.watch(plan_with({"float": FLOAT}))
        before = world.sensors.readings["float"]
        world.inputs.unwatch(5)
        await asyncio.sleep(61)
        assert world.sensors.readings["float"] == before
        assert world.sensors.why_silent == {"float": "line 5 is not watched"}
        await asyncio.sleep(60)
        assert world.sensors.readings["float"] == Reading(0.0, before.taken + 120_000)
        assert world.sensors.why_silent == {}

    in_no_time(act)


def test_another_plan_keeps_what_is_unchanged(tmp_path: Path) -> None:
    """Its readings stay, the rest is dropped, added, or read anew with its new scale."""

    async def act(world: Sensing) -> None:
        for name in ("stays", "changes", "goes", "comes"):
            (tmp_path / name).write_bytes(b"20000\n")
        plan = plan_with(
            {name: thermometer(tmp_path / name) for name in ("stays", "changes", "goes")}
        )
        world.sensors.watch(plan)
        await world.reading("goes")
        before = world.sensors.readings
        world.sensors.watch(plan)
        assert world.sensors.readings is before
        (tmp_path / "stays").write_bytes(b"25000\n")
        world.sensors.watch(
            plan_with(
                {
                    "stays": thermometer(tmp_path / "stays"),
                    "changes": thermometer(tmp_path / "changes", offset=1000.0),
                    "comes": thermometer(tmp_path / "comes"),
                }
            )
        )
        assert dict(world.sensors.readings) == {"stays": before["stays"]}
        await world.reading("comes")
        assert [world.value(name) for name in ("stays", "changes", "comes")] == [20.0, 21.0, 20.0]
        assert "goes" not in world.sensors.readings

    in_life(act)


def test_a_reading_that_means_the_same_outlasts_other_settings(tmp_path: Path) -> None:
    """How often it is read, and when it is stale, is no part of what it says: with these alone
    there is no moment without a reading. Another source or another scale is."""

    async def act(world: Sensing) -> None:
        for name in ("air", "other"):
            (tmp_path / name).write_bytes(b"20000\n")
        air = thermometer(tmp_path / "air")
        world.sensors.watch(plan_with({"air": air, "float": {**FLOAT, "debounce": "1s"}}))
        before = await world.reading("air")
        often = {"every": "5s", "stale_after": "1m"}
        world.sensors.watch(plan_with({"air": air | often, "float": {**FLOAT, "debounce": "2s"}}))
        assert world.sensors.readings["air"] == before
        assert world.sensors.why_silent == {}
        for meaning in ({"offset": 500.0}, {"scale": 0.002}, {"file": str(tmp_path / "other")}):
            world.sensors.watch(plan_with({"air": air | meaning}))
            assert "air" not in world.sensors.readings
            await world.reading("air")

    in_life(act)


def test_sensors_may_change_places() -> None:
    """Two floats whose lines are exchanged, and a line that becomes a meter's."""

    async def act(world: Sensing) -> None:
        world.lines.drive(5, level=False)
        plan = plan_with({"a": FLOAT, "b": {**FLOAT, "line": 6}, "c": {**FLOAT, "line": 7}})
        world.sensors.watch(plan)
        assert [world.value(name) for name in "abc"] == [1.0, 0.0, 0.0]
        world.sensors.watch(
            plan_with({"a": {**FLOAT, "line": 6}, "b": FLOAT, "c": {**METER, "line": 7}})
        )
        assert [world.value(name) for name in "ab"] == [0.0, 1.0]
        assert world.sensors.why_silent == {"c": "it has not been read yet"}
        with pytest.raises(UnusableLineError):
            world.inputs.count(7, pull="up")

    in_no_time(act)


def test_a_line_that_no_sensor_has_any_more_is_free() -> None:
    """Of a sensor that went, or of all at the end."""

    async def act(world: Sensing) -> None:
        world.sensors.watch(plan_with({"a": FLOAT, "b": {**METER, "line": 6}}))
        world.sensors.watch(plan_with({"b": {**METER, "line": 6}}))
        world.lines.close(world.lines.open(5, pull="up", debounce_ms=0, edges="both"))
        world.sensors.close()
        world.sensors.close()
        world.lines.close(world.lines.open(6, pull="up", debounce_ms=0, edges="both"))

    in_no_time(act)


def test_nothing_is_read_or_told_after_the_end(tmp_path: Path) -> None:
    """Not in an hour, whatever was on its way and whichever plan comes."""

    async def act(world: Sensing) -> None:
        pump = {"kind": "pump", "flow": "meter"}
        plan = plan_with({"float": FLOAT, "meter": METER}, pump=pump)
        world.sensors.watch(plan)
        world.sensors.attend({"pump"})
        news, readings = world.news, world.sensors.readings
        world.sensors.close()
        world.sensors.watch(plan)
        await asyncio.sleep(3_600)
        assert world.news == news
        assert world.sensors.readings is readings

    in_no_time(act)


def test_readings_of_other_sources_come_through_the_same_door() -> None:
    """A sensor without file and line may be told of; the same bounds hold."""

    async def act(world: Sensing) -> None:
        world.sensors.watch(plan_with({"far": {"measures": "air_temperature"}}))
        tick = world.read_clock()[1]
        world.sensors.door.put("far", 19.5, tick)
        assert dict(world.sensors.readings) == {"far": Reading(19.5, tick)}
        assert world.sensors.why_silent == {}
        with pytest.raises(NoReadingError):
            world.sensors.door.put("far", 1e9, tick)
        assert world.news == 1

    in_no_time(act)


def test_readings_are_summed_up() -> None:
    """By sensor, since the last call."""

    async def act(world: Sensing) -> None:
        world.sensors.watch(plan_with({"float": FLOAT}))
        await asyncio.sleep(3_600.5)
        (summary,) = world.sensors.summaries()
        assert (summary.sensor, summary.count, summary.mean) == ("float", 61, 0.0)
        assert summary.end - summary.start == 3_600_500
        assert world.sensors.summaries() == []

    in_no_time(act)
