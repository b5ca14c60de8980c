"""What we write to the kernel is laid out as it reads it."""

from __future__ import annotations

import shutil
import struct
import subprocess
from pathlib import Path

import pytest

from controller.shell.board import emergency
from controller.shell.board.gpio_device import SET_VALUES
from controller.shell.board.kernel_lines import EVENT

# <linux/gpio.h> of Linux 6.1 (Debian 12's linux-libc-dev), compiled on x86-64: sizes, places
# of fields, and request numbers.
SIZES = {
    "struct gpiochip_info": 68,
    "struct gpio_v2_line_config": 272,
    "struct gpio_v2_line_config_attribute": 24,
    "struct gpio_v2_line_request": 592,
    "struct gpio_v2_line_info": 256,
    "struct gpio_v2_line_values": 16,
    "struct gpio_v2_line_event": 48,
}
PLACES = {
    "struct gpio_v2_line_request, consumer": 256,
    "struct gpio_v2_line_request, config": 288,
    "struct gpio_v2_line_request, num_lines": 560,
    "struct gpio_v2_line_request, event_buffer_size": 564,
    "struct gpio_v2_line_request, fd": 588,
    "struct gpio_v2_line_config, num_attrs": 8,
    "struct gpio_v2_line_config, attrs": 32,
    "struct gpio_v2_line_config_attribute, mask": 16,
    "struct gpio_v2_line_info, consumer": 32,
    "struct gpio_v2_line_info, offset": 64,
    "struct gpio_v2_line_event, line_seqno": 20,
}
NUMBERS = {
    "GPIO_GET_CHIPINFO_IOCTL": 0x8044B401,
    "GPIO_V2_GET_LINEINFO_IOCTL": 0xC100B405,
    "GPIO_V2_GET_LINEINFO_WATCH_IOCTL": 0xC100B406,
    "GPIO_V2_GET_LINE_IOCTL": 0xC250B407,
    "GPIO_V2_LINE_GET_VALUES_IOCTL": 0xC010B40E,
    "GPIO_V2_LINE_SET_VALUES_IOCTL": 0xC010B40F,
    "GPIO_V2_LINE_FLAG_INPUT": 1 << 2,
    "GPIO_V2_LINE_FLAG_OUTPUT": 1 << 3,
    "GPIO_V2_LINE_FLAG_EDGE_RISING": 1 << 4,
    "GPIO_V2_LINE_FLAG_EDGE_FALLING": 1 << 5,
    "GPIO_V2_LINE_FLAG_BIAS_PULL_UP": 1 << 8,
    "GPIO_V2_LINE_FLAG_BIAS_PULL_DOWN": 1 << 9,
    "GPIO_V2_LINE_FLAG_BIAS_DISABLED": 1 << 10,
    "GPIO_V2_LINE_ATTR_ID_OUTPUT_VALUES": 2,
    "GPIO_V2_LINE_ATTR_ID_DEBOUNCE": 3,
    "GPIO_V2_LINE_EVENT_RISING_EDGE": 1,
    "GPIO_V2_LINE_EVENT_FALLING_EDGE": 2,
}


def test_the_layout_is_the_kernel_s(tmp_path: Path) -> None:
    """The figures above are those that a C compiler finds in <linux/gpio.h> here."""
    compiler = shutil.which("gcc")
    if compiler is None or not Path("/usr/include/linux/gpio.h").exists():
        pytest.skip("there is no C compiler, or no <linux/gpio.h>")
    expressions = {
        **{name: f"sizeof({name})" for name in SIZES},
        **{name: f"offsetof({name})" for name in PLACES},
        **{name: name for name in NUMBERS},
    }
    source = tmp_path / "layout.c"
    lines = "".join(
        f'printf("%llu\\n", (unsigned long long)({one}));' for one in expressions.values()
    )
    source.write_text(
        "#include <stddef.h>\n#include <stdio.h>\n#include <linux/gpio.h>\n"
        f"int main(void) {{ {lines} return 0; }}\n"
    )
    program = tmp_path / "layout"
    subprocess.run([compiler, "-o", program, source], check=True)  # noqa: S603 - our own text
    told = subprocess.run([program], check=True, capture_output=True, text=True).stdout  # noqa: S603
    figures = [int(line) for line in told.split()]
    assert dict(zip(expressions, figures, strict=True)) == {**SIZES, **PLACES, **NUMBERS}


def test_the_program_has_that_layout() -> None:
    """Its structures have those sizes, its requests those numbers, its bytes those places.

    The daemon's pins and inputs take them from it, so there is no second set to keep equal.
    """
    assert {
        "struct gpiochip_info": emergency.CHIP_INFO.size,
        "struct gpio_v2_line_config": emergency.LINE_CONFIG.size,
        "struct gpio_v2_line_config_attribute": emergency.LINE_ATTRIBUTE.size,
        "struct gpio_v2_line_request": emergency.LINE_REQUEST.size,
        "struct gpio_v2_line_info": emergency.LINE_INFO.size,
        "struct gpio_v2_line_values": emergency.LINE_VALUES.size,
        "struct gpio_v2_line_event": EVENT.size,
    } == SIZES
    assert NUMBERS["GPIO_GET_CHIPINFO_IOCTL"] == emergency.GET_CHIP_INFO
    assert NUMBERS["GPIO_V2_GET_LINEINFO_IOCTL"] == emergency.GET_LINE_INFO
    assert NUMBERS["GPIO_V2_GET_LINEINFO_WATCH_IOCTL"] == emergency.WATCH_LINE
    assert NUMBERS["GPIO_V2_GET_LINE_IOCTL"] == emergency.GET_LINE
    assert NUMBERS["GPIO_V2_LINE_GET_VALUES_IOCTL"] == emergency.GET_VALUES
    assert NUMBERS["GPIO_V2_LINE_SET_VALUES_IOCTL"] == SET_VALUES
    request = bytes(emergency.line_request(17, emergency.FLAG_OUTPUT, b"\xaa" * 24))
    config = PLACES["struct gpio_v2_line_request, config"]
    attributes = config + PLACES["struct gpio_v2_line_config, attrs"]
    assert request[:4] == struct.pack("=I", 17)
    assert request[256:266] == b"rootclock\0"
    assert request[config : config + 8] == struct.pack("=Q", 8)
    assert request[config + 8 : config + 12] == struct.pack("=I", 1)
    assert request[attributes : attributes + 24] == b"\xaa" * 24
    assert request[560:564] == struct.pack("=I", 1)
