"""Taking in what people send: photographs of units, and files such as service manuals."""

from __future__ import annotations

import datetime as dt
import hashlib
from pathlib import PurePath
from typing import TYPE_CHECKING

from django.core.files.base import ContentFile
from django.core.files.base import File as DjangoFile

from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.frame.spelling import file_size
from shop.keeping.models import Picture, StoredFile

if TYPE_CHECKING:
    from shop.keeping.darkroom import Developed

MOST_PICTURE_BYTES = 30_000_000
MOST_FILE_BYTES = 200_000_000
CHUNK = 1 << 20
NAME_SHOWN = 60
AHEAD = "developed_ahead"


@keyless("joined")
def take_picture(
    upload: DjangoFile[bytes], *, by: Staff | None, at: dt.datetime | None = None, field: str | None = None
) -> Picture:
    """Take in a photograph: upright, as JPEG, without place or camera data, in three sizes, with its SHA-256.

    Joins the caller's act. Anything that is no picture, is broken, or is too large (bytes or pixels) is refused with one
    sentence, at `field` of the form. A rolled-back act leaves at most files without a row; the nightly check removes them.
    """
    developed: Developed = getattr(upload, AHEAD, None) or _develop(upload, field)
    with acting(by=by, at=at) as act:
        picture = Picture(
            sha256=hashlib.sha256(developed.full).hexdigest(),
            width=developed.width,
            height=developed.height,
            added_at=act.at,
            by=by,
        )
        _store(picture, developed)
        picture.save(force_insert=True)
        act.record("picture.taken_in", subject=picture, sha256=picture.sha256)
    return picture


def empty_sheet() -> DjangoFile[bytes]:
    """An empty sheet, to be taken in like a photograph and drawn on."""
    from shop.keeping import darkroom  # noqa: PLC0415  Pillow, only where it is needed

    return ContentFile(darkroom.empty_sheet(), name="sheet.png")


def develop_ahead(upload: DjangoFile[bytes]) -> None:
    """Do the slow part of `take_picture` now and keep it with the upload; forms call it, so that no act waits for it.

    A large photograph takes half a second; done inside an act it would keep everybody else from writing. Refuses as
    `take_picture` does.
    """
    setattr(upload, AHEAD, _develop(upload, None))


def _develop(upload: DjangoFile[bytes], field: str | None) -> Developed:
    from shop.keeping.apart import develop  # noqa: PLC0415  Pillow, only where it is needed
    from shop.keeping.darkroom import Undevelopable  # noqa: PLC0415

    name = _shown_name(upload)
    data = _read(upload, name, MOST_PICTURE_BYTES, "picture", field)
    try:
        return develop(data)
    except Undevelopable as reason:
        raise Refusal(f"“{name}” {reason}", field=field) from reason


def take_file(
    upload: DjangoFile[bytes], *, by: Staff | None, at: dt.datetime | None = None, field: str | None = None
) -> StoredFile:
    """Take in a PDF (service manual, data sheet) or a plain text (a written message) as it is, with its SHA-256.

    The kind is read from the content, not from the name. Joins the caller's act; refuses anything else with one sentence.
    """
    name = _shown_name(upload)
    data = _read(upload, name, MOST_FILE_BYTES, "file", field)
    media_type, suffix = _kind_of(data, name, field)
    return keep_file(
        data=data,
        name=f"{PurePath(name).stem[:180] or 'file'}{suffix}",
        media_type=media_type,
        by=by,
        at=at,
    )


@keyless("joined")
def keep_file(
    *, data: bytes, name: str, media_type: str, by: Staff | None, at: dt.datetime | None = None
) -> StoredFile:
    """Keep a file of the shop's own making under its name, with its SHA-256. Joins the caller's act."""
    suffix = PurePath(name).suffix
    with acting(by=by, at=at) as act:
        kept = StoredFile(
            name=name,
            media_type=media_type,
            sha256=hashlib.sha256(data).hexdigest(),
            size=len(data),
            added_at=act.at,
            by=by,
        )
        kept.file.save(f"{kept.sha256[:24]}{suffix}", ContentFile(data), save=False)
        kept.save(force_insert=True)
        act.record("file.taken_in", subject=kept, sha256=kept.sha256)
    return kept


def _store(picture: Picture, developed: Developed) -> None:
    stem = picture.sha256[:24]
    picture.file.save(f"{stem}.jpg", ContentFile(developed.full), save=False)
    if developed.medium is not None:
        picture.medium.save(f"{stem}-medium.jpg", ContentFile(developed.medium), save=False)
    picture.thumbnail.save(f"{stem}-thumbnail.jpg", ContentFile(developed.thumbnail), save=False)


def _kind_of(data: bytes, name: str, field: str | None) -> tuple[str, str]:
    # readers accept a header within the first kilobyte (ISO 32000, implementation note; from memory)
    if b"%PDF-" in data[:1024]:
        if b"%%EOF" not in data[-4096:]:
            raise Refusal(f"“{name}” is broken: the end of the PDF is missing. Send it again.", field=field)
        return "application/pdf", ".pdf"
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if any(ord(sign) < 32 and sign not in "\t\n\r\f" for sign in text):
        raise Refusal(f"“{name}” is neither a PDF nor a plain text; only these are kept.", field=field)
    return "text/plain", ".txt"


def _read(upload: DjangoFile[bytes], name: str, most: int, what: str, field: str | None) -> bytes:
    """Read the upload, never more than one chunk beyond `most` bytes."""
    data = bytearray()
    for chunk in upload.chunks(CHUNK):
        data += chunk
        if len(data) > most:
            size = file_size(max(upload.size or 0, len(data)))
            raise Refusal(f"“{name}” has {size}; a {what} may have up to {file_size(most)}.", field=field)
    if not data:
        raise Refusal(f"“{name}” is empty. Send it again.", field=field)
    return bytes(data)


def _shown_name(upload: DjangoFile[bytes]) -> str:
    """The upload's own name without folders or control characters, short enough for a sentence."""
    plain = PurePath(str(upload.name or "").replace("\\", "/")).name
    plain = "".join(sign for sign in plain if sign.isprintable()).strip()
    return (plain if len(plain) <= NAME_SHOWN else f"{plain[: NAME_SHOWN - 10]}…{plain[-9:]}") or "This file"
