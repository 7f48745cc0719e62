"""All that is derived from a journal and kept in its file."""

from __future__ import annotations

from advisor.journal import sittings, trials

VIEWS = (trials.VIEW, sittings.VIEW, sittings.EACH)
