"""All that is derived from a journal and kept in its file."""

from __future__ import annotations

from advisor.journal import belonging, notes, sittings, trials, verdicts

VIEWS = (trials.VIEW, sittings.VIEW, sittings.EACH, sittings.ASKED, belonging.VIEW, verdicts.VIEW, notes.VIEW)
