"""A shop's logo is what its content says, whole and small; everything else is one clear line with the key."""

from __future__ import annotations

import os
import re
import struct
import zlib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.report import render_for_the_customer
from telemetry.errors import RideDayError
from telemetry.pipeline import draft, report_parts
from telemetry.ride_day import read_ride_day
from telemetry.ride_day.picture_file import LARGEST_BYTES, PictureFileError, read_picture
from tests.pipeline.small_days import make_day

JPEG = bytes.fromhex(
    "ffd8ffe000104a46494600010101004800480000ffdb004300080606070605080707070909080a0c140d0c0b0b0c1912130f141d1a1f1e1d"
    "1a1c1c20242e2720222c231c1c2837292c30313434341f27393d38323c2e333432ffc0000b080002000301011100ffc4001f000001050101"
    "0101010100000000000000000102030405060708090a0bffc400b5100002010303020403050504040000017d01020300041105122131410613"
    "516107227114328191a1082342b1c11552d1f02433627282090a161718191a25262728292a3435363738393a434445464748494a53545556"
    "5758595a636465666768696a737475767778797a838485868788898a92939495969798999aa2a3a4a5a6a7a8a9aab2b3b4b5b6b7b8b9bac2"
    "c3c4c5c6c7c8c9cad2d3d4d5d6d7d8d9dae1e2e3e4e5e6e7e8e9eaf1f2f3f4f5f6f7f8f9faffda0008010100003f00fbd3ffd9"
)
"""3 by 2 px, grey; its segments as ITU-T T.81 lays them out."""


def part(kind: bytes, held: bytes) -> bytes:
    return struct.pack(">I", len(held)) + kind + held + struct.pack(">I", zlib.crc32(kind + held))


def png(width: int = 3, height: int = 2, more: bytes = b"") -> bytes:
    """A grey PNG, as ISO/IEC 15948 lays it out."""
    head = part(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    rows = zlib.compress(b"".join(b"\0" + b"\x80" * width for _ in range(height)))
    return b"\x89PNG\r\n\x1a\n" + head + more + part(b"IDAT", rows) + part(b"IEND", b"")


def written(folder: Path, data: bytes, name: str = "logo.png") -> Path:
    place = folder / name
    place.write_bytes(data)
    return place


@pytest.mark.parametrize(("data", "media"), [(png(), "image/png"), (JPEG, "image/jpeg")])
@pytest.mark.parametrize("name", ["logo.png", "logo.jpg", "logo"])
def test_content_says_what_it_is(tmp_path: Path, data: bytes, media: str, name: str) -> None:
    found = read_picture(written(tmp_path, data, name))
    assert (found.media, found.width_px, found.height_px, found.data) == (media, 3, 2, data)


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"", "an empty file"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "an SVG drawing"),
        (b"\xef\xbb\xbf <?xml version='1.0'?><svg/>", "an SVG drawing"),
        (b"GIF89a" + bytes(20), "a GIF picture"),
        (b"<html><script>alert(1)</script>", "no picture"),
        (b"just words", "no picture"),
        (png()[:-5], "a PNG that is cut off"),
        (png()[:40], "a PNG that is cut off"),
        (png().replace(b"\x80", b"\x81", 1) if b"\x80" in png() else png()[:-1], "PNG"),
        (png()[:8] + png()[33:], "a PNG without its head"),
        (JPEG[:-2], "a JPEG that is cut off"),
        (JPEG[:60], "a JPEG that is cut off"),
        (b"\xff\xd8\xff" + b"<script>alert(1)</script>", "JPEG"),
        (png(4001, 1), "a picture of 4001 by 1 px"),
        (png(2500, 1700), "a picture of 2500 by 1700 px"),
        (png(0, 0), "a picture of 0 by 0 px"),
        (png(more=part(b"tEXt", bytes(LARGEST_BYTES))), "a file of over 512 kB"),
    ],
)
def test_what_is_no_small_whole_picture_is_refused(tmp_path: Path, data: bytes, found: str) -> None:
    with pytest.raises(PictureFileError, match=re.escape(found)):
        read_picture(written(tmp_path, data))


def test_a_picture_just_small_enough_is_taken(tmp_path: Path) -> None:
    filled = LARGEST_BYTES - len(png()) - 12
    assert len(read_picture(written(tmp_path, png(more=part(b"tEXt", bytes(filled))))).data) == LARGEST_BYTES
    assert read_picture(written(tmp_path, png(4000, 1000))).width_px == 4000


@given(st.sampled_from([png(), JPEG]), st.data())
def test_damage_is_told_or_does_not_matter(
    tmp_path_factory: pytest.TempPathFactory, data: bytes, draw: st.DataObject
) -> None:
    place = draw.draw(st.integers(0, len(data) - 1))
    cut = draw.draw(st.booleans())
    wrong = data[:place] if cut else data[:place] + bytes([draw.draw(st.integers(0, 255))]) + data[place + 1 :]
    file = written(tmp_path_factory.getbasetemp(), wrong)
    try:
        found = read_picture(file)
    except PictureFileError:
        return
    assert not cut
    assert found.media == ("image/png" if wrong == png() else "image/jpeg")


def test_the_line_names_the_key(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", "ab", extra='[shop]\nlogo = "logo.png"\n')
    with pytest.raises(RideDayError, match=r"shop\.logo: found no file 'logo\.png'"):
        read_ride_day(day)
    written(day, b"<svg/>")
    with pytest.raises(RideDayError, match=r"shop\.logo: found 'logo\.png': an SVG drawing.*PNG or JPEG"):
        read_ride_day(day)
    written(tmp_path, png())
    (day / "logo.png").unlink()
    os.symlink(tmp_path / "logo.png", day / "logo.png")  # noqa: PTH211
    with pytest.raises(RideDayError, match=r"shop\.logo: .*leads out of the folder"):
        read_ride_day(day)


def test_it_stands_within_the_page_and_goes_with_the_names(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", "abba", seconds=20.0, extra='[shop]\nname = "Kettle"\nlogo = "logo.png"\n')
    written(day, png())
    parts = report_parts(read_ride_day(day))[:2]
    page = render_for_the_customer(*parts)
    assert page.count("data:image/png;base64,") == 1
    assert "img-src data:" in page
    assert "logo.png" not in page
    bare = render_for_the_customer(*parts, names=False)
    assert "data:image" not in bare
    assert "img-src" not in bare


def test_a_new_day_like_this_one_takes_it_along(tmp_path: Path) -> None:
    import datetime as dt

    day = make_day(tmp_path / "day", "ab", seconds=20.0, extra='[shop]\nlogo = "logo.png"\n')
    written(day, png())
    new = tmp_path / "new"
    new.mkdir()
    for log in day.glob("*.csv"):
        (new / log.name).write_bytes(log.read_bytes())
    draft(new, dt.date(2026, 6, 1), dt.date(2026, 6, 1), day)
    assert (new / "logo.png").read_bytes() == png()
    assert read_ride_day(new).logo is not None
