"""The darkroom: whatever a camera sends becomes an upright JPEG in three sizes, without a trace of where it was taken.

Imported only where a picture is taken in: this module imports Pillow. No Django and no database here.
"""

from __future__ import annotations

import io
import math
import struct
from dataclasses import dataclass

import pillow_heif
from PIL import Image, ImageDraw, ImageFile, UnidentifiedImageError

FORMATS = ("JPEG", "PNG", "WEBP", "HEIF", "AVIF", "GIF")
MOST_PIXELS = 60_000_000
MOST_PIXELS_OF = {"WEBP": 24_000_000, "GIF": 24_000_000, "AVIF": 36_000_000}
"""Formats whose decoders keep several copies of the whole picture: 16 bytes a pixel for WebP (measured)."""
LONGEST_SIDE = 30_000
FULL, MEDIUM, THUMBNAIL = 2400, 1600, 400
"""Longest side of each size in pixels: for looking closely, for a screen or a paper, for a list."""
SHEET, RULED = (1600, 1200), 50
"""An empty sheet to draw on, and how far apart its lines are, in pixels."""
STRIP = 128
"""Lines of a smaller picture that are made at a time."""
QUALITY = {FULL: 86, MEDIUM: 82, THUMBNAIL: 78}

BROKEN = (
    OSError,
    ValueError,
    SyntaxError,
    EOFError,
    IndexError,
    TypeError,
    RuntimeError,
    struct.error,
)
"""What Pillow's decoders raise on damaged data (each seen while feeding them pictures with bytes changed at random)."""

ORIENTATION = 0x0112
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What puts a picture upright, by its Exif orientation."""

# all of Pillow's readers at once: asked by name for one that is not loaded yet, it stumbles
Image.init()
pillow_heif.register_heif_opener()
# 32 MB stay with the process between two photographs from a tablet: asking the system for them anew takes a third of the time
Image.core.set_blocks_max(2)  # type: ignore[attr-defined]  # in Pillow's manual under “Block Allocator”


class Undevelopable(Exception):
    """The bytes are no picture, or none that can be taken; the message ends a sentence that begins with its name."""


@dataclass(frozen=True, slots=True)
class Developed:
    """A picture in three sizes, as JPEG; `medium` is None when full is no larger. `width` and `height` are of full."""

    full: bytes
    medium: bytes | None
    thumbnail: bytes
    width: int
    height: int


def develop(data: bytes) -> Developed:
    """Read a picture of any of FORMATS and return it upright, without metadata, in three sizes.

    The first frame of a moving picture is taken; transparency becomes white. Raises Undevelopable.
    """
    # WeasyPrint, once it is loaded, has Pillow fill the missing half of a broken picture with grey, without a word
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        with Image.open(io.BytesIO(data), formats=FORMATS) as negative:
            _check_size(*negative.size, MOST_PIXELS_OF.get(str(negative.format), MOST_PIXELS))
            # a JPEG can be decoded at a fraction of its size, in a fraction of the memory
            negative.draft("RGB", (FULL, FULL))
            negative.load()
            positive = _upright(_smaller(negative), TURNS.get(_orientation(negative)))
    except Undevelopable:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise Undevelopable(_too_many("far more")) from None
    except UnidentifiedImageError:
        raise Undevelopable(
            "is not a picture that this shop can read: send JPEG, PNG, WebP or HEIC."
        ) from None
    except BROKEN as error:
        raise Undevelopable("is broken: part of the picture is missing. Send it again.") from error
    return _print(positive)


def empty_sheet() -> bytes:
    """A sheet to draw on, as PNG: as large as a small photograph, ruled so faintly that lines over it stand out."""
    sheet = Image.new("RGB", SHEET, "#fdfcf7")
    pencil = ImageDraw.Draw(sheet)
    width, height = SHEET
    for x in range(RULED, width, RULED):
        pencil.line([(x, 0), (x, height)], fill="#e4e9ee")
    for y in range(RULED, height, RULED):
        pencil.line([(0, y), (width, y)], fill="#e4e9ee")
    written = io.BytesIO()
    sheet.save(written, "PNG")
    return written.getvalue()


def _check_size(width: int, height: int, most: int) -> None:
    if width * height > most:
        raise Undevelopable(_too_many(f"{math.ceil(width * height / 1e6)} million", most))
    if max(width, height) > LONGEST_SIDE:
        raise Undevelopable(f"is {max(width, height):,} pixels long; up to {LONGEST_SIDE:,} can be taken.")


def _too_many(pixels: str, most: int = MOST_PIXELS) -> str:
    return f"has {pixels} pixels; up to {most // 1_000_000} million can be taken. Take it again at a lower resolution."


def _smaller(negative: Image.Image) -> Image.Image:
    """A picture far larger than what is kept of it by a whole factor smaller: what follows then copies a part of its memory."""
    factor = max(negative.size) // (FULL + FULL // 4)
    if factor < 2 or negative.mode not in {"RGB", "RGBA", "L", "LA", "CMYK", "YCbCr"}:
        return negative
    width, height = negative.size
    smaller = Image.new(negative.mode, (-(-width // factor), -(-height // factor)))
    # in strips: what is transparent is copied on the way, and a copy of the whole would take as much again
    for top in range(0, height, factor * STRIP):
        strip = negative.crop((0, top, width, min(top + factor * STRIP, height)))
        smaller.paste(strip.reduce(factor), (0, top // factor))
    return smaller


def _upright(negative: Image.Image, turn: Image.Transpose | None) -> Image.Image:
    turned = negative if turn is None else negative.transpose(turn)
    if turned.mode == "P" and "transparency" in turned.info:
        turned = turned.convert("RGBA")
    if turned.mode in {"RGBA", "LA", "PA", "RGBa", "La"}:
        turned = turned.convert("RGBA")
        paper = Image.new("RGB", turned.size, "white")
        paper.paste(turned, mask=turned.getchannel("A"))
        return paper
    if turned.mode.startswith("I;16"):
        turned = turned.point(lambda value: value / 256).convert("L")
    return turned if turned.mode == "RGB" else turned.convert("RGB")


def _orientation(negative: Image.Image) -> int:
    """The Exif orientation; 1, upright, where there is none or it is damaged: that is no reason to lose the picture."""
    try:
        return int(negative.getexif().get(ORIENTATION, 1))
    except BROKEN:
        return 1


def _print(positive: Image.Image) -> Developed:
    positive.thumbnail((FULL, FULL), Image.Resampling.LANCZOS)
    width, height = positive.size
    full = _jpeg(positive, FULL)
    medium = None
    if max(width, height) > MEDIUM:
        positive.thumbnail((MEDIUM, MEDIUM), Image.Resampling.LANCZOS)
        medium = _jpeg(positive, MEDIUM)
    # whole factors first: for a thumbnail the eye sees no difference, and it takes a tenth of the time
    positive.thumbnail((THUMBNAIL, THUMBNAIL), Image.Resampling.LANCZOS, reducing_gap=1.0)
    return Developed(full, medium, _jpeg(positive, THUMBNAIL), width, height)


def _jpeg(picture: Image.Image, size: int) -> bytes:
    # a new picture carries nothing over from the old one: no EXIF, no place, no comment, no profile
    clean = Image.new("RGB", picture.size, None)
    clean.paste(picture)
    file = io.BytesIO()
    # neither optimized nor progressive: that saves a tenth of the bytes and costs five times the time
    clean.save(file, "JPEG", quality=QUALITY[size])
    return file.getvalue()
