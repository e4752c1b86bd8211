"""From bytes to text: never a guess in silence."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.dialect.encoding import decode
from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason

SAMPLE = "Density [g/cm³];Temp. [°C];Dry film [µm]\n1,39;22,8;182\n"


def held(raw: bytes, declared: str | None = None) -> FileHeld:
    with pytest.raises(FileHeld) as caught:
        decode(raw, "cp1252", declared)
    return caught.value


@pytest.mark.parametrize(
    "raw",
    [
        SAMPLE.encode("utf-8"),
        SAMPLE.encode("utf-8-sig"),
        SAMPLE.encode("cp1252"),
        SAMPLE.encode("utf-16"),
        b"\xfe\xff" + SAMPLE.encode("utf-16-be"),
        SAMPLE.encode("utf-16-le"),
        SAMPLE.encode("utf-16-be"),
    ],
    ids=["utf-8", "utf-8 bom", "cp1252", "utf-16", "utf-16be bom", "utf-16le", "utf-16be"],
)
def test_the_same_text_comes_out_of_every_encoding_of_the_ladder(raw: bytes) -> None:
    """Byte-order mark, UTF-16 without one, UTF-8 and the code page all give the same text."""
    assert decode(raw, "cp1252") == SAMPLE


def test_the_declared_encoding_takes_the_place_of_the_code_page() -> None:
    """A table profile that names cp437 reads a micro sign where cp1252 would read another."""
    assert decode("182 µm".encode("cp437"), "cp1252", "cp437") == "182 µm"


@pytest.mark.parametrize("declared", ["utf-16", "utf-16-le"])
def test_a_declared_utf16_needs_no_byte_order_mark(declared: str) -> None:
    """A profile may say UTF-16 for a file whose characters do not give it away."""
    assert decode("密度 漆膜".encode("utf-16-le"), "cp1252", declared) == "密度 漆膜"


def test_a_declared_utf8_that_fails_is_held_with_byte_and_line() -> None:
    """The fault names the byte, its position from 1 and the line."""
    error = held(b"a;b\n1;2\n\xb5m", "utf-8")
    assert error.reason is Reason.WRONG_ENCODING
    assert error.faults[0].row == 3
    assert error.faults[0].sentence == "row 3: found byte 0xb5 at byte 9; expected text in utf-8"


def test_a_byte_that_the_code_page_does_not_have_is_held() -> None:
    """cp1252 leaves 0x81 open; it is not replaced."""
    assert held(b"Panel;RB-014\nNote;\x81\xff\n").reason is Reason.WRONG_ENCODING


@pytest.mark.parametrize(
    "raw", [b"", b" \r\n\t\n", b"\xef\xbb\xbf", b"\xff\xfe", b"\xef\xbb\xbf\n"]
)
def test_a_file_without_a_character_is_empty(raw: bytes) -> None:
    """Blanks and byte-order marks are no content."""
    assert held(raw).reason is Reason.EMPTY_FILE


@pytest.mark.parametrize(
    "raw",
    [b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", bytes(range(256)) * 4, b"\x01\x02\x03 abc", b"\0" * 64],
)
def test_what_is_no_text_is_told_so(raw: bytes) -> None:
    """NUL bytes and many control characters are no text."""
    assert held(raw).reason is Reason.NOT_TEXT


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "cp1252"])
def test_a_tail_of_nul_is_a_file_that_was_cut_off(encoding: str) -> None:
    """A crash of the instrument's computer leaves NUL where the last rows should be."""
    error = held((SAMPLE + "\0" * 40).encode(encoding))
    assert error.reason is Reason.CUT_OFF
    assert error.faults[0].row == 3


def test_half_a_character_of_utf16_is_held() -> None:
    """A UTF-16 file that was cut within a character does not lose it silently."""
    assert held(SAMPLE.encode("utf-16")[:-1]).reason is Reason.WRONG_ENCODING


@given(st.binary(max_size=300))
def test_any_bytes_give_text_or_a_reason(raw: bytes) -> None:
    """Nothing but FileHeld is ever raised for what a file holds."""
    with contextlib.suppress(FileHeld):
        text = decode(raw, "cp1252")
        assert text.strip()
        assert "\0" not in text
