"""A picture that goes onto a page."""

from __future__ import annotations

import base64
from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture as it stands in its file; `media` is its internet media type."""

    media: Literal["image/png", "image/jpeg"]
    width_px: int
    height_px: int
    data: bytes = field(repr=False)

    @property
    def uri(self) -> str:
        """The picture itself, to stand within a page."""
        return f"data:{self.media};base64,{base64.b64encode(self.data).decode('ascii')}"
