"""Why the disk refuses, in words."""

from __future__ import annotations

import sqlite3

from controller.shell.files import reason_of
from controller.shell.journal.schema import primary_code

# Primary result codes, https://www.sqlite.org/rescode.html
_WORDS = {
    sqlite3.SQLITE_FULL: "the disk is full",
    sqlite3.SQLITE_READONLY: "it may not be written (read-only, or permission missing)",
    sqlite3.SQLITE_IOERR: "the disk reports an error when it is read or written",
    sqlite3.SQLITE_BUSY: "another program keeps it locked",
    sqlite3.SQLITE_LOCKED: "another program keeps it locked",
    sqlite3.SQLITE_CANTOPEN: "it cannot be opened (folder missing, or permission)",
    sqlite3.SQLITE_PERM: "permission denied",
    sqlite3.SQLITE_CORRUPT: "it is damaged",
    sqlite3.SQLITE_NOTADB: "it is damaged, or no journal",
}


def reason(error: Exception) -> str:
    """Why, as the end of a sentence."""
    if isinstance(error, sqlite3.Error):
        words = _WORDS.get(primary_code(error))
        return f"{words} ({error})" if words else str(error)
    return reason_of(error) if isinstance(error, OSError) else str(error) or repr(error)
