"""What was worked out, forgotten as a whole when it is too much."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any


class Kept(dict[Any, Any]):
    """A memo of at most `most` results."""

    def __init__(self, most: int) -> None:
        super().__init__()
        self.most = most

    def get_or(self, key: Any, make: Callable[[], Any]) -> Any:
        """The result of a key, made if it is not known."""
        if key not in self:
            if len(self) >= self.most:
                self.clear()
            self[key] = make()
        return self[key]
