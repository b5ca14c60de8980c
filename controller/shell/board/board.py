"""The board as a whole: chosen explicitly, opened once, given back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.shell.board.chips import find_chip
from controller.shell.board.inputs import Inputs
from controller.shell.board.kernel_lines import KernelLines
from controller.shell.board.relays import GpioRelays
from controller.shell.board.safe_lines import write_safe_lines

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from controller.shell.board.chips import Chip
    from controller.shell.board.driver import Driver
    from controller.shell.board.kernel_lines import InputLines
    from controller.shell.board.mock_board import MockBoard
    from controller.shell.board.safe_lines import SafeLine


class Board:
    """Relays and inputs of one board.

    Attributes:
        relays: fulfils `daemon.ports.Relays`.
        inputs: contacts and pulses.
        chip: the GPIO chip that the lines belong to; None for a mock.
        mock: the hand that presses and the eye that sees; None for a real board.
        safe_lines_trouble: why the note for the way out after death could not be written
            the last time; empty while all is well.
    """

    def __init__(
        self,
        driver: Driver,
        inputs: InputLines,
        *,
        chip: Chip | None,
        mock: MockBoard | None,
        safe_lines: Path | None,
    ) -> None:
        self._driver = driver
        self._safe_lines = safe_lines
        self.chip = chip
        self.mock = mock
        self.safe_lines_trouble = ""
        self.relays = GpioRelays(driver, is_mock=mock is not None, announce=self._note)
        self.inputs = Inputs(inputs)

    def close(self) -> None:
        """Releases the relays, ends the inputs, gives the chip back; repeatable."""
        self.relays.release()
        self.inputs.close()
        self._driver.close()

    def _note(self, lines: Sequence[SafeLine]) -> None:
        if self._safe_lines is not None and self.chip is not None:
            self.safe_lines_trouble = write_safe_lines(self._safe_lines, self.chip, lines)


def open_board(*, is_mock: bool, safe_lines: Path | None = None) -> Board:
    """The board, with nothing claimed yet.

    Args:
        is_mock: whether nothing real is to be switched; see `chips.why_no_gpio`.
        safe_lines: where a real board's relays note, at each rewiring, what `emergency` is to
            do if the process dies; in the runtime directory, so that no disk is waited for.

    Raises:
        UnusableBoardError: the real board cannot be opened; says why, and what to do.
    """
    # gpiozero is imported here and not above: it costs 55 ms and 11 MB.
    if is_mock:
        from controller.shell.board.mock_board import MockBoard, MockInputLines
        from controller.shell.board.mock_lines import MockRelayFactory

        mock_relays, mock_inputs = MockRelayFactory(), MockInputLines()
        return Board(
            mock_relays,
            mock_inputs,
            chip=None,
            mock=MockBoard(mock_relays, mock_inputs),
            safe_lines=None,
        )
    from controller.shell.board.kernel_pins import RelayFactory

    chip = find_chip()
    return Board(
        RelayFactory(chip), KernelLines(chip.device), chip=chip, mock=None, safe_lines=safe_lines
    )
