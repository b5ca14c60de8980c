"""Clients of the controller: let in by a socket of their own, and told what happens."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.core.errors import RootclockError
from controller.core.journal_entry import Deed
from controller.core.journal_json import entry_as_json

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from controller.core.journal_entry import Entry
    from controller.daemon.mistakes import Mistakes
    from controller.daemon.running import Running
    from controller.shell.control_socket.server import ControlSocket


class Clients:
    """The control socket; nobody is there before `let_in`, nor where it cannot be opened.

    `note` writes to the journal, `tell` to the terminal or the system's log, and `mistakes`
    is told what only a mistake of ours can bring about.
    """

    def __init__(
        self,
        *,
        note: Callable[[Deed, str], None],
        tell: Callable[[str], None],
        mistakes: Mistakes,
    ) -> None:
        self._note = note
        self._tell = tell
        self._mistakes = mistakes
        self._socket: ControlSocket | None = None

    def let_in(self, running: Running) -> None:
        """Opens the socket; from then on clients are answered."""
        # Imported here: all of this loads after the first decision, and roots need no clients.
        # Without a socket, or with a mistake in what serves them, the plan is carried out.
        try:
            from controller.daemon.answers import Answers
            from controller.shell.control_socket.server import ControlSocket

            options = running.options
            socket = ControlSocket(
                options.socket_path, Answers(running).answer, group=options.group
            )
            socket.open()
        except RootclockError as error:
            self._note(Deed.STARTED, f"without a control socket: {error}")
            self._tell(f"no client can reach the controller, which runs on: {error}")
            return
        except Exception as error:  # noqa: BLE001 - as above
            self._mistakes.happened("no control socket", error)
            return
        self._socket = socket

    def tell_journal(self, entries: Sequence[Entry]) -> None:
        """Tells those who listen what the journal is told."""
        if self._socket is not None:
            self._socket.tell_journal([entry_as_json(entry) for entry in entries])

    def tell_change(self) -> None:
        """Tells those who listen that the status is another."""
        if self._socket is not None:
            self._socket.changed()

    async def leave(self) -> None:
        """Takes leave of all of them and closes the socket."""
        if self._socket is not None:
            await self._socket.close()
