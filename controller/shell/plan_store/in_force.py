"""Which plan is in force, what is wrong with the plan file, and what of both was told before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from controller.shell.plan_store.taken import Taken, refusal_words

if TYPE_CHECKING:
    from controller.shell.plan_store.beginning import Begun
    from controller.shell.plan_store.examination import Examination
    from controller.shell.plan_store.prepared import Prepared
    from controller.shell.plan_store.revision import Revision


class InForce:
    """The plan of the start, until `put` makes it another one.

    `refused` is what is wrong with the plan file, as far as it has been looked at.
    """

    def __init__(self, begun: Begun) -> None:
        self.revision = begun.revision
        self.refused = begun.refused
        self._prepared = begun.prepared
        self._told_number = None if begun.is_new else begun.revision.number
        self._told_refusal: str | None = None

    def put(self, revision: Revision, prepared: Prepared) -> None:
        """From now on this is the plan in force."""
        self.revision = revision
        self._prepared = prepared

    def tell(
        self, *, remarks: tuple[str, ...] = (), examination: Examination | None = None
    ) -> Taken:
        """What is in force now; new, or news, where who was told last was told otherwise."""
        refusal = None if self.refused is None else refusal_words(self.refused)
        is_new = self.revision.number != self._told_number
        is_news = is_new or refusal != self._told_refusal
        self._told_number, self._told_refusal = self.revision.number, refusal
        return Taken(
            revision=self.revision,
            prepared=self._prepared,
            is_new=is_new,
            is_news=is_news,
            refused=self.refused,
            remarks=remarks,
            examination=examination,
        )
