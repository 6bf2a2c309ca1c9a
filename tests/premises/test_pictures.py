"""Photographs and files taken in: upright and without a trace of the place, or refused with one sentence.

Independent readers: the markers of what was stored by ITU-T T.81, Pillow's EXIF reading, and pypdf; the orientation tag's
meaning (value 6: the camera was turned, the top is at the right) is Exif 2.32, table 5, from memory.
"""

from __future__ import annotations

import hashlib
import io
import struct
from typing import Any, cast

import pillow_heif
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from shop.frame.journal import verify
from shop.frame.models import JournalEntry
from shop.frame.refusal import Refusal
from shop.keeping.models import StoredFile
from shop.keeping.pictures import take_file, take_picture
from tests.factories.premises import StaffFactory

pytestmark = pytest.mark.django_db


def picture(size: tuple[int, int] = (640, 480), kind: str = "JPEG", mode: str = "RGB", **how: Any) -> bytes:
    """A picture whose left half is red and whose right half is blue."""
    drawn = Image.new("RGB", size, (200, 30, 30))
    drawn.paste((30, 30, 200), (size[0] // 2, 0, *size))
    file = io.BytesIO()
    drawn.convert(mode).save(file, kind, **how)
    return file.getvalue()


def exif(orientation: int) -> Image.Exif:
    data = Image.Exif()
    data[0x0112] = orientation
    data[0x010F] = "A camera"
    data.get_ifd(0x8825)[1] = "N"
    data.get_ifd(0x8825)[2] = (37.0, 46.0, 30.0)
    return data


def upload(data: bytes, name: str = "unit.jpg", content_type: str = "image/jpeg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, content_type)


def stored(field: Any) -> Image.Image:
    with field.open("rb") as file:
        return Image.open(io.BytesIO(file.read()))


def test_a_photograph_is_kept_in_three_sizes_with_its_hash_and_its_entry() -> None:
    by = StaffFactory()
    kept = take_picture(upload(picture((4000, 3000))), by=by)
    assert stored(kept.file).size == (2400, 1800) == (kept.width, kept.height)
    assert stored(kept.medium).size == (1600, 1200)
    assert stored(kept.thumbnail).size == (400, 300)
    with kept.file.open("rb") as file:
        assert hashlib.sha256(file.read()).hexdigest() == kept.sha256
    entry = JournalEntry.objects.get()
    assert (entry.verb, entry.subject_id, entry.data["sha256"]) == ("picture.taken_in", kept.pk, kept.sha256)
    assert verify() == []


def segments(data: bytes) -> list[int]:
    """The markers of a JPEG up to its scan, read by ITU-T T.81, B.1.1, without Pillow; nothing may follow its end."""
    assert data.startswith(b"\xff\xd8")
    assert data.endswith(b"\xff\xd9")
    at, found = 2, []
    while True:
        lead, marker, length = struct.unpack(">BBH", data[at : at + 4])
        assert lead == 0xFF
        found.append(marker)
        at += 2 + length
        if marker == 0xDA:
            return found


APP0, LAST_APP, COM = 0xE0, 0xEF, 0xFE


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "AVIF", "HEIF"])
def test_a_photograph_forgets_where_and_with_what_it_was_taken(kind: str) -> None:
    comment = {"comment": b"taken at home"} if kind == "JPEG" else {}
    data = picture((2100, 320), kind, exif=exif(1).tobytes(), **comment)
    assert b"A camera" in data
    assert Image.open(io.BytesIO(data)).getexif().get_ifd(0x8825)[1] == "N"
    kept = take_picture(upload(data), by=None)
    for size in (kept.file, kept.medium, kept.thumbnail):
        assert dict(stored(size).getexif()) == {}
        with size.open("rb") as file:
            content = file.read()
        told = [marker for marker in segments(content) if APP0 <= marker <= LAST_APP or marker == COM]
        assert told == [APP0]
        assert content[6:11] == b"JFIF\0"
        assert b"camera" not in content
        assert b"at home" not in content


def test_the_reader_of_segments_sees_what_a_camera_writes() -> None:
    assert 0xE1 in segments(picture(exif=exif(1)))
    assert COM in segments(picture(comment=b"taken at home"))


def test_a_photograph_from_a_tablet_is_its_own_medium_size() -> None:
    kept = take_picture(upload(picture((1600, 1200))), by=None)
    assert (kept.width, kept.height) == (1600, 1200)
    assert not kept.medium
    assert stored(kept.thumbnail).size == (400, 300)


@pytest.mark.parametrize(
    "orientation, size, left, right",
    [
        (1, (640, 480), "red", "blue"),
        (3, (640, 480), "blue", "red"),
        (6, (480, 640), None, None),
        (8, (480, 640), None, None),
    ],
)
def test_a_photograph_stands_upright(
    orientation: int, size: tuple[int, int], left: str | None, right: str | None
) -> None:
    kept = take_picture(upload(picture(exif=exif(orientation))), by=None)
    shown = stored(kept.file)
    assert shown.size == size
    colours = {"red": lambda dot: dot[0] > dot[2], "blue": lambda dot: dot[2] > dot[0]}
    if left and right:
        assert colours[left](shown.getpixel((5, 5)))
        assert colours[right](shown.getpixel((size[0] - 5, 5)))
    else:
        # turned by a quarter: 6 brings what was left to the top, 8 to the foot
        top_is_red = colours["red"](shown.getpixel((5, 5)))
        assert top_is_red == (orientation == 6)


@pytest.mark.parametrize(
    "kind, mode, how",
    [
        ("JPEG", "L", {}),
        ("JPEG", "CMYK", {}),
        ("PNG", "RGB", {}),
        ("PNG", "RGBA", {}),
        ("PNG", "P", {}),
        ("PNG", "1", {}),
        ("WEBP", "RGB", {}),
        ("GIF", "P", {}),
        ("AVIF", "RGB", {}),
    ],
)
def test_every_usual_kind_of_picture_is_taken(kind: str, mode: str, how: dict[str, Any]) -> None:
    kept = take_picture(upload(picture((100, 80), kind, mode, **how)), by=None)
    assert stored(kept.file).format == "JPEG"
    assert (kept.width, kept.height) == (100, 80)
    assert not kept.medium


def test_a_picture_of_a_telephone_in_heic_is_taken() -> None:
    file = io.BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (320, 240), (30, 160, 30))).save(file, quality=80)
    kept = take_picture(upload(file.getvalue(), "IMG_0042.HEIC", "image/heic"), by=None)
    assert stored(kept.file).size == (320, 240)
    red, green, blue = cast("tuple[int, int, int]", stored(kept.file).getpixel((160, 120)))
    assert green > red + 80
    assert green > blue + 80


def test_what_is_clear_in_a_picture_becomes_white() -> None:
    clear = Image.new("RGBA", (40, 40), (0, 0, 0, 0))
    file = io.BytesIO()
    clear.save(file, "PNG")
    kept = take_picture(upload(file.getvalue()), by=None)
    assert min(stored(kept.file).getpixel((20, 20))) > 250


def test_sixteen_bits_of_grey_are_not_all_white() -> None:
    grey = Image.new("I;16", (40, 40), 20000)
    file = io.BytesIO()
    grey.save(file, "PNG")
    kept = take_picture(upload(file.getvalue()), by=None)
    assert 60 < stored(kept.file).getpixel((20, 20))[0] < 100


# --- files ----------------------------------------------------------------------------------------------------

PDF = b"%PDF-1.4\n1 0 obj<<>>endobj\ntrailer<<>>\n%%EOF\n"


def test_a_service_manual_is_kept_byte_for_byte_under_its_own_name() -> None:
    kept = take_file(upload(PDF, "VX-318 service.pdf", "text/html"), by=StaffFactory())
    assert (kept.name, kept.media_type, kept.size) == ("VX-318 service.pdf", "application/pdf", len(PDF))
    with kept.file.open("rb") as file:
        assert file.read() == PDF
    assert kept.sha256 == hashlib.sha256(PDF).hexdigest()


def test_what_a_file_is_called_does_not_make_it_a_page() -> None:
    kept = take_file(upload(b"<script>alert(1)</script>", "letter.html", "text/html"), by=None)
    assert (kept.name, kept.media_type) == ("letter.txt", "text/plain")


@pytest.mark.parametrize(
    "data", [b"", b"\x00\x01\x02", b"\xff\xfe\x00", b"PK\x03\x04" + bytes(9), b"%PDF-1.4 and then nothing"]
)
def test_a_file_that_is_neither_pdf_nor_text_is_refused(data: bytes) -> None:
    with pytest.raises(Refusal) as refusal:
        take_file(upload(data, "thing.pdf"), by=None)
    assert refusal.value.sentence.count(".") <= 3
    assert not StoredFile.objects.exists()


# --- handing out ----------------------------------------------------------------------------------------------


def test_a_photograph_is_handed_to_staff_as_a_picture_and_nothing_else(client: Client) -> None:
    kept = take_picture(upload(picture((3000, 2000))), by=None)
    client.force_login(StaffFactory(roles=["bench"]))
    for size, longest in (("full", 2400), ("medium", 1600), ("thumbnail", 400)):
        answer = client.get(reverse("premises:picture", args=[kept.pk, size]))
        assert answer.status_code == 200
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert "sandbox" in answer["Content-Security-Policy"]
        assert "private" in answer["Cache-Control"]
        assert max(Image.open(io.BytesIO(answer.getvalue())).size) == longest
    assert client.get(reverse("premises:picture", args=[kept.pk, "huge"])).status_code == 404


def test_a_stranger_sees_no_photograph_no_paper_and_no_file(client: Client) -> None:
    kept = take_picture(upload(picture()), by=None)
    for address in (
        reverse("premises:picture", args=[kept.pk, "full"]),
        reverse("premises:paper", args=[1]),
        reverse("premises:file", args=[1]),
    ):
        answer = client.get(address)
        assert answer.status_code == 302
        assert reverse("premises:sign_in") in answer["Location"]


def test_a_photograph_whose_file_is_gone_is_not_found(client: Client) -> None:
    kept = take_picture(upload(picture()), by=None)
    kept.file.storage.delete(kept.file.name)
    client.force_login(StaffFactory())
    assert client.get(reverse("premises:picture", args=[kept.pk, "full"])).status_code == 404


def test_a_pdf_is_shown_and_a_text_is_saved(client: Client) -> None:
    client.force_login(StaffFactory())
    manual = take_file(upload(PDF, "manual.pdf"), by=None)
    message = take_file(upload("Grüße".encode(), "message.txt"), by=None)
    shown = client.get(reverse("premises:file", args=[manual.pk]))
    assert shown["Content-Type"] == "application/pdf"
    assert shown["Content-Disposition"].startswith("inline")
    saved = client.get(reverse("premises:file", args=[message.pk]))
    assert saved["Content-Type"] == "text/plain; charset=utf-8"
    assert saved["Content-Disposition"].startswith("attachment")
    assert saved.getvalue().decode() == "Grüße"
