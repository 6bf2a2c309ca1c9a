"""What may be typed in the stockroom, and the sentence for what may not."""

from __future__ import annotations
