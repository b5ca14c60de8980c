"""Files that are no text: what is wrong with them is said by name, offset and line."""

from __future__ import annotations

import pytest

from controller.core.findings import Finding
from controller.core.plan_text.encoding import SIZE_MAX, text_of
from tests.plan_texts import SMALLEST

_SMALLEST = SMALLEST.encode()
_AS_UTF8 = "save the file as UTF-8 (most editors ask for the encoding under Save as)"


def test_plain_text_comes_back_as_it_is() -> None:
    """Umlauts, a degree sign and Windows line ends are text."""
    text = "# Frühbeet, 32 °C\r\nformat = 1\r\n"
    assert text_of(text.encode()) == text


@pytest.mark.parametrize(
    ("data", "line", "message", "mend"),
    [
        pytest.param(
            b"#" * (SIZE_MAX + 1),
            1,
            "the file has more than 262,144 bytes, the most that a plan may have",
            "is this the right file? A plan of eighteen loads takes about 10,000 bytes",
            id="one byte too many",
        ),
        pytest.param(
            SMALLEST.encode("utf-16"),
            1,
            "the file is UTF-16 text; a plan is UTF-8 text",
            _AS_UTF8,
            id="UTF-16 with its mark",
        ),
        pytest.param(
            SMALLEST.encode("utf-16-le"),
            1,
            "the file looks like UTF-16 text; a plan is UTF-8 text",
            _AS_UTF8,
            id="UTF-16 without a mark",
        ),
        pytest.param(
            SMALLEST.encode("utf-32"),
            1,
            "the file is UTF-32 text; a plan is UTF-8 text",
            _AS_UTF8,
            id="UTF-32, whose mark begins like that of UTF-16",
        ),
        pytest.param(
            SMALLEST.encode("utf-8-sig"),
            1,
            "the file begins with a byte order mark (BOM, bytes EF BB BF); a plan is UTF-8 text "
            "without one",
            'save the file as "UTF-8" and not as "UTF-8 with BOM"',
            id="UTF-8 with a mark",
        ),
        pytest.param(
            b"format = 1\n# a\0b\n",
            2,
            "byte 14 of the file (counted from 0) is NUL, which no text has; the file is damaged, "
            "or is no plan",
            "delete the character, or take a good copy of the file",
            id="a NUL",
        ),
        pytest.param(
            b"\0\0\0\0",
            1,
            "byte 0 of the file (counted from 0) is NUL, which no text has; the file is damaged, "
            "or is no plan",
            "delete the character, or take a good copy of the file",
            id="nothing but NUL, as a file lost in a power cut",
        ),
        pytest.param(
            b"format = 1\n# 32 \xb0C\n",
            2,
            "byte 16 of the file (counted from 0) is 0xB0, which is not UTF-8 text; in "
            "Windows-1252 text it is °",
            _AS_UTF8,
            id="a degree sign in Windows-1252",
        ),
        pytest.param(
            b"# \xed\xa0\x80\n",
            1,
            "byte 2 of the file (counted from 0) is 0xED, which is not UTF-8 text: it begins one "
            "half of a surrogate pair, which stands for no character",
            _AS_UTF8,
            id="a lone surrogate",
        ),
        pytest.param(
            b"# \x81\n",
            1,
            "byte 2 of the file (counted from 0) is 0x81, which is not UTF-8 text",
            _AS_UTF8,
            id="a byte that no encoding knows",
        ),
        pytest.param(
            b"format = 1\rsite = 2\r",
            1,
            "a carriage return stands alone; lines end with LF, or with CR and LF",
            "save the file with Unix or Windows line ends",
            id="line ends of another age",
        ),
        pytest.param(
            b"",
            1,
            "the file is empty; a plan has at least a format, a site and one load",
            "write format = 1, a table [site] and a load such as [loads.pump]",
            id="empty",
        ),
        pytest.param(
            b" \n\t\n",
            1,
            "the file is empty; a plan has at least a format, a site and one load",
            "write format = 1, a table [site] and a load such as [loads.pump]",
            id="blank",
        ),
    ],
)
def test_what_is_no_text_is_refused_by_name(
    data: bytes, line: int, message: str, mend: str
) -> None:
    """One error tells what the file is and how to save it."""
    assert text_of(data) == Finding("error", "", message, mend, line)


def test_the_largest_file_is_read() -> None:
    """A plan filled up to the limit with a comment is text."""
    data = _SMALLEST + b"#" * (SIZE_MAX - len(_SMALLEST))
    assert text_of(data) == data.decode()
