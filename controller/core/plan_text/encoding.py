"""From the bytes of a TOML file to its text; what is no text is named and refused."""

from __future__ import annotations

import codecs
import re
from typing import NamedTuple

from controller.core.findings import Finding

# A plan of eighteen loads takes about 10 kB, and one with every load and span that the
# format allows still fits; what is larger is another file.
SIZE_MAX = 256 * 1024

# Longest first: UTF-32's mark begins with that of UTF-16.
_MARKS = (
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16"),
    (codecs.BOM_UTF16_BE, "UTF-16"),
)
_SAVE_AS_UTF8 = "save the file as UTF-8 (most editors ask for the encoding under Save as)"


class TextFile(NamedTuple):
    """What a file is to be, for the words in which it is refused.

    `usual` is what makes such a file about 10,000 bytes long; `has` and `write` tell what an
    empty one is missing.
    """

    name: str
    usual: str
    has: str
    write: str


PLAN_FILE = TextFile(
    "plan",
    "eighteen loads",
    "at least a format, a site and one load",
    "write format = 1, a table [site] and a load such as [loads.pump]",
)


def text_of(data: bytes, what: TextFile = PLAN_FILE) -> str | Finding:
    """The text of a file, or the error that keeps it from being text.

    Nothing is repaired: other encodings, byte order marks and NUL bytes are refused.
    """
    name = what.name
    if len(data) > SIZE_MAX:  # how many is not known: readers of files stop there
        return _error(
            f"the file has more than {SIZE_MAX:,} bytes, the most that a {name} may have",
            f"is this the right file? A {name} of {what.usual} takes about 10,000 bytes",
        )
    finding = _other_encoding(data, name) or _nul(data, name)
    if finding is not None:
        return finding
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        return _not_utf8(data, error)
    lone = re.search(r"\r(?!\n)", text)
    if lone is not None:
        line = text.count("\n", 0, lone.start()) + 1
        return _error(
            "a carriage return stands alone; lines end with LF, or with CR and LF",
            "save the file with Unix or Windows line ends",
            line,
        )
    if not text.strip():
        return _error(f"the file is empty; a {name} has {what.has}", what.write)
    return text


def _error(message: str, mend: str, line: int | None = 1) -> Finding:
    return Finding("error", "", message, mend, line)


def _line_at(data: bytes, offset: int) -> int:
    return data.count(b"\n", 0, offset) + 1


def _other_encoding(data: bytes, wanted: str) -> Finding | None:
    for mark, name in _MARKS:
        if data.startswith(mark):
            return _error(f"the file is {name} text; a {wanted} is UTF-8 text", _SAVE_AS_UTF8)
    if data.startswith(codecs.BOM_UTF8):
        return _error(
            "the file begins with a byte order mark (BOM, bytes EF BB BF); "
            f"a {wanted} is UTF-8 text without one",
            'save the file as "UTF-8" and not as "UTF-8 with BOM"',
        )
    # Without a mark, UTF-16 shows in the NUL that half of every plain letter is.
    sample = data[:400]
    if len(sample) >= 4 and sample.count(0) * 5 > len(sample) * 2 and sample.strip(b"\x00"):
        return _error(f"the file looks like UTF-16 text; a {wanted} is UTF-8 text", _SAVE_AS_UTF8)
    return None


def _nul(data: bytes, wanted: str) -> Finding | None:
    offset = data.find(0)
    if offset < 0:
        return None
    return _error(
        f"byte {offset} of the file (counted from 0) is NUL, which no text has; "
        f"the file is damaged, or is no {wanted}",
        "delete the character, or take a good copy of the file",
        _line_at(data, offset),
    )


def _not_utf8(data: bytes, error: UnicodeDecodeError) -> Finding:
    found = data[error.start]
    message = (
        f"byte {error.start} of the file (counted from 0) is 0x{found:02X}, which is not UTF-8 text"
    )
    pair = data[error.start : error.start + 2]
    if len(pair) == 2 and found == 0xED and pair[1] >= 0xA0:
        message += ": it begins one half of a surrogate pair, which stands for no character"
    else:
        letter = bytes([found]).decode("cp1252", "ignore")
        if letter.isprintable() and letter:
            message += f"; in Windows-1252 text it is {letter}"
    return _error(message, _SAVE_AS_UTF8, _line_at(data, error.start))
