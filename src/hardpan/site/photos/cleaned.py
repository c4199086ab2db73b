"""A photo as it may be kept: looked at by its content, drawn anew, so that no place, no name and nothing behind the picture stays in it."""

from __future__ import annotations

import io
import struct
import zipfile
from dataclasses import dataclass

from django.utils.translation import gettext as _
from PIL import Image, ImageOps, UnidentifiedImageError

from hardpan.errors import HardpanError
from hardpan.site.answers import Wrong
from hardpan.site.roles import PHOTO

MOST_PIXELS = 40_000_000
TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
KEPT = {"JPEG": {"quality": 85, "optimize": True}, "PNG": {}, "WEBP": {"quality": 85}}
# what another program would open or run: words anywhere outside the compressed picture, programs and archives behind its end
WORDS = (b"%pdf-", b"<html", b"<!doctype", b"<script", b"<svg ", b"<?php", b"javascript:")
STARTS = (b"#!", b"\x7fELF", b"MZ", b"PK", b"Rar!", b"7z\xbc\xaf", b"\x1f\x8b")
BROKEN = (UnidentifiedImageError, OSError, SyntaxError, ValueError, EOFError, struct.error, IndexError)

Image.MAX_IMAGE_PIXELS = MOST_PIXELS


class PhotoError(HardpanError):
    """A file that is not kept as a photo."""

    def __init__(self, found: str, do: str) -> None:
        allowed = _("a JPEG, PNG or WebP picture, at most %(bytes)d bytes and %(pixels)d pixels")
        self.wrong = Wrong("photo", found, allowed % {"bytes": PHOTO, "pixels": MOST_PIXELS}, do)
        super().__init__(f"{found}; {do}")


@dataclass(frozen=True, slots=True)
class Cleaned:
    """A picture that holds its pixels and nothing else."""

    content: bytes
    media_type: str


def clean(sent: bytes) -> Cleaned:
    """Draw a photo anew; raises ``PhotoError`` where it is none, too large, or also something else."""
    if len(sent) > PHOTO:
        raise PhotoError(f"{len(sent)} bytes", _("Take it in a smaller size."))
    try:
        with Image.open(io.BytesIO(sent), formats=list(TYPES)) as picture:
            kind = (
                "JPEG" if picture.format == "MPO" else str(picture.format)
            )  # a phone's JPEG with a second view behind it
            _check_size(picture)
            _check_outside(sent, kind)
            return Cleaned(_drawn(picture, kind), TYPES[kind])
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PhotoError(_("too many pixels"), _("Take it in a smaller size.")) from error
    except PhotoError:
        raise
    except BROKEN as error:
        raise PhotoError(_("no whole picture of these kinds"), _("Take the photo again.")) from error


def _check_size(picture: Image.Image) -> None:
    """Refuse too many pixels before they are unpacked, and pictures that move."""
    if picture.width * picture.height > MOST_PIXELS:
        raise PhotoError(f"{picture.width} x {picture.height}", _("Take it in a smaller size."))
    if picture.format != "MPO" and getattr(picture, "n_frames", 1) > 1:
        raise PhotoError(_("a picture that moves"), _("Send a still picture."))


def _drawn(picture: Image.Image, kind: str) -> bytes:
    """Bytes of the picture's pixels, upright, in a new file."""
    upright = ImageOps.exif_transpose(picture)
    plain = upright.convert("RGBA" if kind != "JPEG" and upright.has_transparency_data else "RGB")
    plain.info = {}  # comments, colour profiles, places: none of it is asked for
    made = io.BytesIO()
    plain.save(made, kind, **KEPT[kind])
    return made.getvalue()


def _check_outside(sent: bytes, kind: str) -> None:
    """Refuse a picture that is also a program, a page or an archive."""
    beside, behind = _OUTSIDE[kind](sent)
    words = (beside + behind).lower()
    archive = zipfile.is_zipfile(io.BytesIO(sent)) or behind.lstrip(b"\0\r\n\t ").startswith(STARTS)
    if archive or any(word in words for word in WORDS):
        raise PhotoError(_("a picture with something else inside"), _("Take the photo again with the camera."))


def _outside_jpeg(sent: bytes) -> tuple[bytes, bytes]:
    """Segments before the picture, and what is behind its end."""
    at = 2
    while sent[at] == 0xFF and sent[at + 1] not in (0xDA, 0xD9):
        at += 2 + int.from_bytes(sent[at + 2 : at + 4], "big")
    end = sent.find(b"\xff\xd9", at)  # inside the picture FF is always followed by 00 or a restart mark
    return sent[:at], sent[end + 2 :] if end >= 0 else b""


def _outside_png(sent: bytes) -> tuple[bytes, bytes]:
    """Chunks that hold no pixels, and what is behind the last one."""
    at, beside = 8, bytearray()
    while at < len(sent):
        length, kind = int.from_bytes(sent[at : at + 4], "big"), sent[at + 4 : at + 8]
        if kind not in (b"IDAT", b"PLTE"):
            beside += sent[at + 8 : at + 8 + length]
        at += 12 + length
        if kind == b"IEND":
            break
    return bytes(beside), sent[at:]


def _outside_webp(sent: bytes) -> tuple[bytes, bytes]:
    """Chunks that hold no pixels, and what is behind the container."""
    end, at, beside = 8 + int.from_bytes(sent[4:8], "little"), 12, bytearray()
    while at < min(end, len(sent)):
        kind, length = sent[at : at + 4], int.from_bytes(sent[at + 4 : at + 8], "little")
        if kind not in (b"VP8 ", b"VP8L", b"ALPH"):
            beside += sent[at + 8 : at + 8 + length]
        at += 8 + length + length % 2
    return bytes(beside), sent[end:]


_OUTSIDE = {"JPEG": _outside_jpeg, "PNG": _outside_png, "WEBP": _outside_webp}
