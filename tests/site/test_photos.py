"""Photos: drawn anew, without place, without anything behind the picture; what is more than a picture stays out."""

from __future__ import annotations

import hashlib
import io
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw
from PIL.ExifTags import GPS, IFD, Base

from hardpan.site.photos.cleaned import MOST_PIXELS, PhotoError, clean
from hardpan.site.photos.models import Photo
from hardpan.site.photos.store import path_of
from tests.site.conftest import Browser, Cast

FORMATS = ("JPEG", "PNG", "WEBP")


def picture(kind: str = "JPEG", size: tuple[int, int] = (60, 40), **told: Any) -> bytes:
    """A picture with a dark corner at its upper left."""
    made = io.BytesIO()
    drawn = Image.new("RGB", size, "white")
    ImageDraw.Draw(drawn).rectangle((0, 0, size[0] // 4, size[1] // 4), fill="black")
    drawn.save(made, kind, **told)
    return made.getvalue()


def with_place(orientation: int = 1) -> Image.Exif:
    exif = Image.Exif()
    exif[Base.Orientation] = orientation
    exif[Base.Make] = "Somebody's phone"
    place = exif.get_ifd(IFD.GPSInfo)
    place[GPS.GPSLatitudeRef] = "N"
    place[GPS.GPSLatitude] = (52.0, 7.0, 55.55)
    return exif


def opened(content: bytes) -> Image.Image:
    read = Image.open(io.BytesIO(content))
    read.load()
    return read


def grey(read: Image.Image, x: int, y: int) -> int:
    """How light a pixel is, 0 to 255."""
    return read.convert("L").tobytes()[y * read.width + x]


@pytest.mark.parametrize("kind", FORMATS)
def test_a_picture_keeps_its_pixels_and_its_kind_and_loses_everything_else(kind: str) -> None:
    comment: dict[str, Any] = {"comment": b"left by somebody"} if kind == "JPEG" else {}
    sent = picture(kind, exif=with_place(), xmp=b"<x:xmpmeta>somewhere</x:xmpmeta>", **comment) + b"trailing words"
    assert opened(sent).getexif().get_ifd(IFD.GPSInfo)  # it was there
    cleaned = clean(sent)
    read = opened(cleaned.content)
    assert (read.format, cleaned.media_type, read.size) == (kind, f"image/{kind.lower()}", (60, 40))
    assert not read.getexif()
    left = {key for key in read.info if key not in ("jfif", "jfif_version", "jfif_unit", "jfif_density")}
    assert left <= {"loop", "background", "timestamp", "duration"}  # of a still picture in WebP's container
    for word in (b"phone", b"somewhere", b"somebody", b"trailing", b"Exif", b"xmp"):
        assert word not in cleaned.content
    assert (grey(read, 5, 3) < 40, grey(read, 50, 30) > 215) == (True, True)


def test_a_turned_picture_is_set_upright() -> None:
    read = opened(clean(picture(exif=with_place(6))).content)  # 6: turn a quarter clockwise to see it upright
    assert read.size == (40, 60)
    assert grey(read, 37, 5) < 40


def test_transparency_and_grey_are_kept_or_laid_on_white_by_the_kind() -> None:
    made = io.BytesIO()
    Image.new("RGBA", (9, 9), (10, 20, 30, 0)).save(made, "PNG")
    assert opened(clean(made.getvalue()).content).mode == "RGBA"
    made = io.BytesIO()
    Image.new("CMYK", (9, 9)).save(made, "JPEG")
    assert opened(clean(made.getvalue()).content).mode == "RGB"


def zipped() -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        packed.writestr("run.js", "alert(1)")
    return made.getvalue()


def chunk(kind: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))


BEHIND: dict[str, bytes] = {
    "zip": zipped(),
    "zip behind air": b"\0" * 50 + zipped(),
    "page": b"<!DOCTYPE html><p>hello",
    "page in capitals": b"<HTML><BODY>",
    "script": b"words <script>alert(1)</script>",
    "drawing": b'<svg xmlns="x" onload="alert(1)">',
    "PDF": b"%PDF-1.7\n",
    "PHP": b"<?php system($_GET[0]); ?>",
    "shell": b"#!/bin/sh\nrm -r",
    "program": b"\x7fELF\x02\x01",
    "other program": b"MZ\x90\0",
    "packed": b"\x1f\x8b\x08\0",
}


@pytest.mark.parametrize("what", BEHIND)
@pytest.mark.parametrize("kind", FORMATS)
def test_a_picture_with_something_else_behind_it_is_refused(kind: str, what: str) -> None:
    with pytest.raises(PhotoError, match="something else inside"):
        clean(picture(kind) + BEHIND[what])


INSIDE: dict[str, Callable[[], bytes]] = {
    "JPEG comment": lambda: picture("JPEG", comment=b"<script>alert(1)</script>"),
    "JPEG that is a PDF": lambda: picture("JPEG", comment=b"%PDF-1.7 1 0 obj"),
    "JPEG description": lambda: picture("JPEG", xmp=b"<?php ?>"),
    "PNG text": lambda: picture("PNG").replace(b"IDAT", b"IDAT", 1)[:33] + chunk(b"tEXt", b"a\0<html>") + picture("PNG")[33:],
    "WebP description": lambda: picture("WEBP", xmp=b"<script>"),
}  # fmt: skip


@pytest.mark.parametrize("what", INSIDE)
def test_a_picture_with_something_else_in_its_remarks_is_refused(what: str) -> None:
    with pytest.raises(PhotoError, match="something else inside"):
        clean(INSIDE[what]())


@pytest.mark.parametrize("kind", FORMATS)
def test_a_second_picture_or_a_film_behind_it_only_vanishes(kind: str) -> None:
    first = picture(kind)
    for behind in (picture("PNG", (3, 3)), b"\0\0\0\x18ftypmp42" + bytes(range(256)) * 9):
        assert clean(first + behind) == clean(first)


def png_of(width: int, height: int) -> bytes:
    """A PNG that says a size and holds no pixels for it."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def moving(kind: str) -> bytes:
    made = io.BytesIO()
    frames = [Image.new("RGB", (9, 9), colour) for colour in ("red", "blue")]
    frames[0].save(made, kind, save_all=True, append_images=frames[1:])
    return made.getvalue()


@pytest.mark.parametrize(
    ("made", "found"),
    [
        (lambda: png_of(8_000, 5_001), "too many pixels|8000 x 5001"),
        (lambda: png_of(60_000, 60_000), "too many pixels"),
        (lambda: png_of(100, 100), "no whole picture"),
        (lambda: b"\xff" * 8_000_001, "8000001 bytes"),
        (lambda: picture()[:-400], "no whole picture"),
        (lambda: picture("GIF"), "no whole picture"),
        (lambda: picture("BMP"), "no whole picture"),
        (lambda: picture("TIFF"), "no whole picture"),
        (lambda: b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no whole picture"),
        (lambda: b"%PDF-1.7", "no whole picture"),
        (lambda: b"", "no whole picture"),
        (lambda: moving("PNG"), "moves"),
        (lambda: moving("WEBP"), "moves"),
    ],
)
def test_what_is_no_still_picture_of_a_right_size_is_refused(made: Callable[[], bytes], found: str) -> None:
    with pytest.raises(PhotoError, match=found) as told:
        clean(made())
    assert str(MOST_PIXELS) in told.value.wrong.allowed


@given(st.binary(max_size=200), st.sampled_from(FORMATS), st.integers(0, 600))
@hypothesis_settings(max_examples=150, deadline=None)
def test_a_damaged_picture_is_cleaned_or_refused_and_never_breaks(damage: bytes, kind: str, at: int) -> None:
    sent = picture(kind)
    sent = sent[:at] + damage + sent[at + len(damage) :]
    try:
        cleaned = clean(sent)
    except PhotoError:
        return
    assert opened(cleaned.content).format == kind


# on a street


def send(browser: Browser, content: bytes, name: str = "photo.jpg") -> Any:
    return browser.post("/api/streets/teal-crescent/photos", {"photo": SimpleUploadedFile(name, content)})


def test_a_photo_is_kept_once_and_found_by_what_its_entry_names(cast: Cast) -> None:
    sent = picture(exif=with_place())
    first, again = send(cast.browser("operator"), sent), send(cast.browser("foreman"), sent, "run.php")
    assert (first.status_code, again.status_code, again.json()) == (201, 200, first.json())
    told = first.json()
    assert told["sent_sha256"] == hashlib.sha256(sent).hexdigest()
    stored = (Path(settings.PHOTOS) / told["sha256"][:2] / told["sha256"]).read_bytes()
    assert (hashlib.sha256(stored).hexdigest(), len(stored)) == (told["sha256"], told["size"])
    for name in (told["sha256"], told["sent_sha256"]):
        answer = cast.browser("reviewer").get(f"/api/streets/teal-crescent/photos/{name}")
        assert (answer.status_code, answer.headers["Content-Type"]) == (200, "image/jpeg")
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.content == stored
    assert Photo.objects.count() == 1


def test_a_photo_whose_file_is_gone_comes_back_when_it_is_sent_again(cast: Cast) -> None:
    sent = picture(exif=with_place())
    operator = cast.browser("operator")
    kept = send(operator, sent).json()["sha256"]
    path_of(kept).unlink()
    again = send(operator, sent)
    assert (again.status_code, again.json()["sha256"]) == (200, kept)
    assert hashlib.sha256(path_of(kept).read_bytes()).hexdigest() == kept
    assert Photo.objects.count() == 1


def test_a_photo_of_another_street_is_not_there(cast: Cast) -> None:
    told = send(cast.browser("operator"), picture()).json()
    for name in (told["sha256"], told["sent_sha256"]):
        assert cast.browser("owner").get(f"/api/streets/other-crescent/photos/{name}").status_code == 404
        assert cast.browser("outsider").get(f"/api/streets/teal-crescent/photos/{name}").status_code == 404


@pytest.mark.parametrize("name", ["..%2f..%2fsecret-key", "0" * 64, "%00", "secret-key"])
def test_a_name_that_is_no_hash_of_a_photo_finds_nothing(cast: Cast, name: str) -> None:
    assert cast.browser("operator").get(f"/api/streets/teal-crescent/photos/{name}").status_code == 404


def test_a_bad_photo_is_told_why_and_leaves_nothing(cast: Cast) -> None:
    answer = send(cast.browser("operator"), picture() + zipped())
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["where"] == "photo"
    assert not Photo.objects.exists()


def test_a_photo_that_is_too_large_is_refused_before_it_is_read(cast: Cast) -> None:
    assert send(cast.browser("operator"), b"0" * 8_100_000).status_code == 413
