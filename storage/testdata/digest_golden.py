"""Prints the digests that TestDigestGolden expects, from the bytes put together by hand and Python's hashlib."""

import hashlib
import struct

NULL = b"\x00"
ROW, HISTORY, SITE = b"\x05", b"\x06", b"\x07"


def integer(n):
    return b"\x01" + struct.pack(">q", n)


def real(x):
    return b"\x02" + struct.pack(">d", x)


def text(s):
    raw = s.encode()
    return b"\x03" + struct.pack(">Q", len(raw)) + raw


def key(first):
    return b"\x04" + bytes([first, 0, 0, 0, 0, 0, 0x80, 0, 0x80] + [0] * 7)


def digest(*parts):
    return struct.unpack(">q", hashlib.sha256(b"".join(parts)).digest()[:8])[0]


first = digest(
    HISTORY, integer(0), integer(1), text("counts"), key(0xB1), integer(1), integer(1775045000000), text("Ada"),
    integer(0), text('{"x":"ü"}'),
)
visit = digest(
    ROW, integer(first), integer(1), text("counts"), key(0xB1), integer(2), integer(1775050000000), text("Ada"),
    key(0xA5), integer(1775044800000), integer(20260401), text('{"green":5}'), integer(0), NULL, NULL, NULL,
    integer(1), integer(0), text(""), text(""),
)
picking = digest(
    ROW, integer(0), integer(1), text("pickings"), key(0xB1), integer(1), integer(0), text(""),
    key(0xA5), NULL, NULL, NULL, integer(0), NULL, text(""), NULL, real(12.5), text(""), text("cull"), NULL, NULL,
    integer(0), text(""),
)
site = (digest(SITE, integer(0), integer(1), key(0xB1), integer(1770000000000)) & (2**62 - 1)) + 41
print(first, visit, picking, site, sep=", ")
