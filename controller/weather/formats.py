"""Which format a weather file is in, told by its content, never by its name."""

from __future__ import annotations

from controller.core.errors import BadWeatherError
from controller.core.units import shown
from controller.weather.csv_vocabulary import DAYS, HOURS, KINDS, NAMES
from controller.weather.epw import is_epw, parse_epw
from controller.weather.plain_csv import first_line_of_data, parse_plain_csv
from controller.weather.tmy3 import is_tmy3, parse_tmy3
from controller.weather.weather import Weather

FILE_BYTES_MAX = 20_000_000  # a TMY3 year has 1.8 MB, a year of minutes as plain CSV about 16

LINES_MAX = 600_000  # a year of minutes has 527,040
LINE_LENGTH_MAX = 20_000  # a line of TMY3 headings has 1,100 characters

_KNOWN_FORMATS = (
    "TMY3 (two header lines, the second from `Date (MM/DD/YYYY),Time (HH:MM)`), EPW (the first "
    f"line from `LOCATION,`) and plain CSV (a header with {', '.join(HOURS.names[:3])} and so on "
    f"for hours, or {DAYS.stamp}, coolest_c, warmest_c and so on for days)"
)
# The first bytes of files that people hand over by mistake.
_MISTAKEN = (
    (b"PK\x03\x04", "a zip archive or a spreadsheet: unpack it, or save the sheet as CSV"),
    (b"\x1f\x8b", "compressed by gzip: unpack it"),
    (b"\xff\xfe", "UTF-16 text: save it as UTF-8"),
    (b"\xfe\xff", "UTF-16 text: save it as UTF-8"),
    (b"\xd0\xcf\x11\xe0", "a spreadsheet: save it as CSV"),
)


def parse_weather(data: bytes, *, name: str) -> Weather:
    """The weather in the bytes of a file called `name`.

    Raises:
        BadWeatherError: no format is recognised, or the file breaks the rules of its own;
            up to twenty mistakes are told at once, each with line and column.
    """
    if len(data) > FILE_BYTES_MAX:
        raise BadWeatherError(
            f"{name}: larger than {FILE_BYTES_MAX // 1_000_000} MB, the most that is read; "
            f"cut it to the days that you need"
        )
    for start, what in _MISTAKEN:
        if data.startswith(start):
            raise BadWeatherError(f"{name}: not a weather file but {what}")
    text, is_utf8 = _decoded(data)
    if "\0" in text:
        raise BadWeatherError(
            f"{name}: line {text.count(chr(10), 0, text.index(chr(0))) + 1} holds a NUL "
            f"character: not a text file, or damaged; fetch it anew"
        )
    lines = _lines(text, name)
    if is_epw(lines):
        return parse_epw(lines, name=name)
    if is_tmy3(lines):
        return parse_tmy3(lines, name=name)
    first = first_line_of_data(lines)
    if first == len(lines):
        raise BadWeatherError(f"{name}: nothing in it; formats that are read: {_KNOWN_FORMATS}")
    if not _is_like_plain_csv(lines[first]):
        raise BadWeatherError(
            f"{name}: line {first + 1}, {shown(lines[first])}, begins no format that is read; "
            f"these are: {_KNOWN_FORMATS}"
        )
    if not is_utf8:
        raise BadWeatherError(f"{name}: not UTF-8 text: save the file as CSV in UTF-8")
    return parse_plain_csv(lines, name=name)


def _lines(text: str, name: str) -> list[str]:
    """The lines without their ends, whichever of the three kinds these are.

    Raises:
        BadWeatherError: there are too many, or one is too long.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n").rstrip("\n \t")
    if text.count("\n") >= LINES_MAX:
        raise BadWeatherError(
            f"{name}: more than {LINES_MAX:,} lines, the most that is read (a year of minutes); "
            f"cut it to the days that you need"
        )
    lines = text.split("\n")
    for number, line in enumerate(lines, 1):
        if len(line) > LINE_LENGTH_MAX:
            raise BadWeatherError(
                f"{name}: line {number} is longer than {LINE_LENGTH_MAX:,} characters, the most "
                f"that is read; is it a weather file?"
            )
    return lines


def _decoded(data: bytes) -> tuple[str, bool]:
    """The text, and whether it is UTF-8; else it is taken for Latin-1.

    Station names in EPW and TMY3 are often Latin-1; the numbers are ASCII in both.
    """
    try:
        return data.decode("utf-8-sig"), True
    except UnicodeDecodeError:
        return data.decode("latin-1"), False


def _is_like_plain_csv(header: str) -> bool:
    """Whether the header has a column of ours, or two that seem to be meant for ours.

    Two, because one word like "date" or "time" is in the header of nearly any file.
    """
    cells = [cell.strip(' "\t') for cell in header.replace(";", ",").split(",")[:100]]
    if any(cell in NAMES for cell in cells):
        return True
    return any(kind.likely_count(cells) >= 2 for kind in KINDS)
