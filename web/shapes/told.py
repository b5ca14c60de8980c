"""What the shapes of answers have in common.

What the controller tells is passed on as it comes, so its shapes describe here and check
nothing; a test holds them to what is told.
"""

from __future__ import annotations

from pydantic import BaseModel


class Told(BaseModel):
    """Something that is answered; more keys may come with time."""
