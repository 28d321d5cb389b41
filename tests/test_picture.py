"""The picture of the page that README shows is small, and its pixels are those that were numbered."""

from __future__ import annotations

import struct
import zlib

from tests.picture import MOST, PICTURE, TALL, WIDE, as_png


def test_the_committed_picture_is_small_and_of_the_size_of_a_window() -> None:
    content = PICTURE.read_bytes()
    assert content[:8] == b"\x89PNG\r\n\x1a\n" and len(content) <= MOST
    assert struct.unpack(">II", content[16:24]) == (WIDE, TALL)


def test_a_picture_gives_back_its_pixels() -> None:
    pixels = bytes((x + y) % 216 for y in range(TALL) for x in range(WIDE))
    content = as_png(pixels)
    begin = content.index(b"IDAT") + 4
    (length,) = struct.unpack(">I", content[begin - 8 : begin - 4])
    rows = zlib.decompress(content[begin : begin + length])
    step = WIDE + 1
    assert b"".join(rows[y * step + 1 : (y + 1) * step] for y in range(TALL)) == pixels
    palette = content.index(b"PLTE") + 4
    assert content[palette + 3 * 35 : palette + 3 * 36] == bytes((0, 255, 255))
