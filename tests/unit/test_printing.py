"""What is printed from a thread: nobody waits for whoever reads it."""

from __future__ import annotations

import os
import threading

from controller.cli.printing import Printing


def test_lines_are_printed_in_order_and_before_it_closes() -> None:
    """What no encoding has is escaped."""
    reader, writer = os.pipe()
    printing = Printing(writer, on_end=_never)
    for text in ("one", "two\nthree", "\udce4"):
        printing.line(text)
    printing.close()
    printing.close()
    printing.line("too late")
    os.close(writer)
    with os.fdopen(reader, "rb") as file:
        assert file.read() == b"one\ntwo\nthree\n\\udce4\n"


def test_a_reader_that_stands_still_keeps_nobody_waiting() -> None:
    """Beyond the bound the newest lines are dropped, and counted where they would have been."""
    reader, writer = os.pipe()
    printing = Printing(writer, on_end=_never)
    for number in range(20_000):
        printing.line(f"{number:0100}")

    def finish() -> None:
        printing.close()
        os.close(writer)

    threading.Thread(target=finish).start()
    with os.fdopen(reader, "rb") as file:
        lines = file.read().decode().splitlines()
    numbers = [int(line) for line in lines if "not shown" not in line]
    dropped = [line for line in lines if "not shown" in line]
    assert numbers == sorted(numbers)
    assert sum(int(line[1:].split()[0].replace(",", "")) for line in dropped) == 20_000 - len(
        numbers
    )


def test_a_reader_that_goes_away_is_told_once() -> None:
    """And what comes after goes nowhere."""
    reader, writer = os.pipe()
    os.close(reader)
    told: list[OSError] = []
    ended = threading.Event()

    def on_end(error: OSError) -> None:
        told.append(error)
        ended.set()

    printing = Printing(writer, on_end=on_end)
    printing.line("one")
    assert ended.wait(5)
    printing.line("two")
    printing.close()
    os.close(writer)
    assert [type(error) for error in told] == [BrokenPipeError]


def test_a_terminal_that_does_not_want_to_wait_is_waited_for() -> None:
    """Another program that shares it may have set it so (O_NONBLOCK)."""
    reader, writer = os.pipe()
    os.set_blocking(writer, False)
    printing = Printing(writer, on_end=_never)
    text = "x" * 300_000
    printing.line(text)
    with os.fdopen(reader, "rb") as file:
        assert len(file.read(300_001)) == 300_001
    printing.close()
    os.close(writer)


def _never(error: OSError) -> None:
    raise AssertionError(error)
