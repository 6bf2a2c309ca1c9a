"""A photograph, and how the bench's pages are reached and written to, by a browser and by a tablet."""

from __future__ import annotations

import io
import uuid

from django.urls import reverse
from PIL import Image


def at(job, name: str = "job", *args) -> str:
    return reverse(f"bench:{name}", args=[job.number, *args])


def jpeg() -> bytes:
    """A small photograph."""
    file = io.BytesIO()
    Image.new("RGB", (160, 120), "tan").save(file, "JPEG")
    return file.getvalue()


def send(client, job, name: str, *args, **typed):
    return client.post(at(job, name, *args), {"once": str(uuid.uuid4()), **typed})


def post(client, job, name: str, *args, entry: str = "", **typed):
    headers = {"x-bench-entry": entry} if entry else {}
    return client.post(at(job, name, *args), {"once": entry or str(uuid.uuid4()), **typed}, headers=headers)


CONCLUDED = {"failed": "Capstan motor", "mode": "worn", "remedy": "New motor.", "outcome": "repaired"}
