"""Groups of panels by name: what a question shows, and what a page or report lays out."""

from __future__ import annotations

from dataclasses import dataclass, fields

from dashboards.figures.drawn import Drawn


@dataclass(frozen=True, slots=True, kw_only=True)
class Groups:
    """Panels in groups, a field each."""

    @property
    def named(self) -> dict[str, tuple[Drawn, ...]]:
        """The groups by name."""
        return {item.name: getattr(self, item.name) for item in fields(self)}

    @property
    def every(self) -> tuple[Drawn, ...]:
        """All panels."""
        return tuple(panel for group in self.named.values() for panel in group)
