"""Pictures that are not taken in, and the sentence why."""

from __future__ import annotations

import gzip
import io
import random
import struct
import zlib

import pillow_heif
import pytest
from django.conf import settings
from django.utils.datastructures import MultiValueDict
from PIL import Image, ImageFile

from shop.frame.formwork import PlainForm
from shop.frame.journal import acting
from shop.frame.models import JournalEntry
from shop.frame.refusal import Refusal
from shop.keeping.darkroom import Undevelopable, develop
from shop.keeping.fields import PhotosField
from shop.keeping.models import Picture
from shop.keeping.pictures import MOST_PICTURE_BYTES, take_picture
from tests.premises.test_pictures import exif, picture, upload

pytestmark = pytest.mark.django_db


def png(width: int, height: int, *chunks: tuple[bytes, bytes]) -> bytes:
    """A PNG whose header says so many pixels, whatever follows."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + header + b"".join(chunk(*each) for each in chunks) + chunk(b"IEND", b"")


def heic_with_huge_size() -> bytes:
    file = io.BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (64, 64))).save(file)
    data = bytearray(file.getvalue())
    at = data.index(b"ispe") + 8
    data[at : at + 8] = struct.pack(">II", 60000, 60000)
    return bytes(data)


def broken_jpeg(share: float) -> bytes:
    noise = Image.frombytes("RGB", (400, 300), random.Random(7).randbytes(400 * 300 * 3))  # noqa: S311
    file = io.BytesIO()
    noise.save(file, "JPEG")
    return file.getvalue()[: int(len(file.getvalue()) * share)]


def too_many_pixels(kind: str) -> bytes:
    file = io.BytesIO()
    Image.new("1", (9000, 7000)).save(file, kind)
    return file.getvalue()


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script><image href="file:///etc/hostname"/></svg>'

HOSTILE: dict[str, bytes] = {
    "nothing": b"",
    "one byte": b"\xff",
    "text": b"I am not a picture, I only say so.",
    "html": b"<!doctype html><script>alert(1)</script>",
    "svg": SVG,
    "svg, packed": gzip.compress(SVG),
    "pdf": b"%PDF-1.7\n%%EOF\n",
    "zip": b"PK\x03\x04" + bytes(200),
    "program": b"\x7fELF" + bytes(400),
    "windows program": b"MZ" + bytes(400),
    "jpeg head only": b"\xff\xd8\xff\xe0",
    "jpeg cut at a third": broken_jpeg(0.33),
    "jpeg cut near the end": broken_jpeg(0.97),
    "png head only": b"\x89PNG\r\n\x1a\n",
    "png without data": png(100, 100),
    "png with broken data": png(100, 100, (b"IDAT", b"not zlib at all")),
    "png of no width": png(0, 100, (b"IDAT", zlib.compress(b""))),
    "png bomb, one gigapixel": png(32000, 32000, (b"IDAT", zlib.compress(bytes(1 << 20)))),
    "png bomb, 100 megapixels": png(10000, 10000, (b"IDAT", zlib.compress(bytes(1 << 20)))),
    "png, a thread 2 000 000 pixels long": png(2_000_000, 20, (b"IDAT", zlib.compress(bytes(1 << 20)))),
    "png, largest size there is": png(2**31 - 1, 2**31 - 1, (b"IDAT", b"")),
    "png, text bomb": png(10, 10, (b"zTXt", b"Comment\0\0" + zlib.compress(bytes(1 << 26)))),
    "png of 63 megapixels": too_many_pixels("PNG"),
    "gif of 63 megapixels": too_many_pixels("GIF"),
    "gif head only": b"GIF89a\x01\x00\x01\x00",
    "webp head only": b"RIFF\x00\x00\x00\x00WEBPVP8 ",
    "heic head only": b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic",
    "heic that says 60 000 by 60 000": heic_with_huge_size(),
    "postscript": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 10 10\n(/etc/hostname) run\n",
    "tiff": b"II*\x00\x08\x00\x00\x00" + bytes(64),
    "bmp that says 40 000 by 40 000": b"BM"
    + struct.pack("<IHHIIiiHHIIiiII", 54, 0, 0, 54, 40, 40000, 40000, 1, 24, 0, 0, 0, 0, 0, 0),
    "icon": b"\x00\x00\x01\x00\x01\x00" + bytes(60),
}


REASONS = (
    "is empty",
    "is not a picture",
    "is broken",
    "has far more",
    "has 1",
    "has 63",
    "is 2,000,000 pixels long",
)


@pytest.mark.parametrize("data", HOSTILE.values(), ids=HOSTILE.keys())
def test_what_is_no_sound_picture_gets_one_sentence_and_leaves_nothing(data: bytes) -> None:
    before = {path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()}
    with pytest.raises(Refusal) as refusal:
        take_picture(upload(data, "unit.jpg"), by=None, field="photos")
    sentence = refusal.value.sentence
    assert sentence.startswith("“unit.jpg” ")
    assert any(sentence.startswith(f"“unit.jpg” {reason}") for reason in REASONS)
    assert sentence.endswith(".")
    assert len(sentence) < 160
    assert refusal.value.field == "photos"
    assert not Picture.objects.exists()
    assert not JournalEntry.objects.exists()
    assert {path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()} == before


def test_half_a_picture_is_refused_even_after_papers_were_made() -> None:
    """The library that makes papers tells Pillow, for the whole process, to pass broken pictures off as whole."""
    import weasyprint  # noqa: F401, PLC0415

    ImageFile.LOAD_TRUNCATED_IMAGES = True
    with pytest.raises(Undevelopable, match="is broken"):
        develop(broken_jpeg(0.5))


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_pictures_with_bytes_changed_at_random_are_either_taken_or_refused() -> None:
    dice = random.Random(20261125)  # noqa: S311
    seeds = [
        picture((60, 40), exif=exif(6)),
        picture((60, 40), "PNG", "P"),
        picture((60, 40), "WEBP"),
        picture((60, 40), "AVIF"),
        heic_with_huge_size(),
    ]
    outcomes = set()
    for _ in range(150):
        data = bytearray(dice.choice(seeds))
        for _ in range(dice.choice([1, 3, 10])):
            data[dice.randrange(len(data))] = dice.randrange(256)
        try:
            develop(bytes(data[: dice.choice([len(data), len(data) - dice.randrange(len(data) // 2)])]))
            outcomes.add("taken")
        except Undevelopable:
            outcomes.add("refused")
    assert outcomes == {"taken", "refused"}


def test_a_picture_of_more_bytes_than_any_camera_makes_is_refused_before_it_is_read_whole() -> None:
    with pytest.raises(Refusal, match="may have up to 30 MB"):
        take_picture(upload(bytes(MOST_PICTURE_BYTES + 1)), by=None)


def test_a_sixty_megapixel_picture_is_just_small_enough() -> None:
    kept = take_picture(upload(picture((10000, 6000), quality=40)), by=None)
    assert (kept.width, kept.height) == (2400, 1440)


@pytest.mark.parametrize(
    "name, shown",
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\Users\\someone\\unit.jpg", "unit.jpg"),
        ("line\nbreak\x00.jpg", "linebreak.jpg"),
        ("x" * 300 + ".jpg", "…xxxxx.jpg"),
    ],
)
def test_an_uploads_name_never_decides_where_it_is_kept(name: str, shown: str) -> None:
    sent = upload(b"no picture")
    sent.__dict__["_name"] = name
    with pytest.raises(Refusal) as refusal:
        take_picture(sent, by=None)
    assert f"{shown}” is not" in refusal.value.sentence
    sent = upload(picture())
    sent.__dict__["_name"] = name
    kept = take_picture(sent, by=None)
    assert kept.file.name.startswith("pictures/")
    assert kept.sha256[:24] in kept.file.name


class PhotoForm(PlainForm):
    """A form with photographs, as every room has one."""

    photos = PhotosField()


def test_a_form_says_which_photograph_is_none_at_its_field() -> None:
    sent = MultiValueDict({"photos": [upload(picture()), upload(b"no picture", "second.jpg")]})
    form = PhotoForm({}, sent)
    assert not form.is_valid()
    assert form.errors == {
        "photos": ["“second.jpg” is not a picture that this shop can read: send JPEG, PNG, WebP or HEIC."]
    }


def test_photographs_are_developed_before_the_act_so_that_nobody_waits_for_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    form = PhotoForm({}, MultiValueDict({"photos": [upload(picture())] * 2}))
    assert form.is_valid()
    monkeypatch.setattr("shop.keeping.apart.develop", lambda _data: pytest.fail("developed inside the act"))
    with acting(by=None):
        for sent in form.cleaned_data["photos"]:
            take_picture(sent, by=None)
    assert Picture.objects.count() == 2
