"""The sums of a race day: `work` does one by name, `asked` answers a question in words. Pure."""

from advisor.sums.questions import Answer, asked
from advisor.sums.registry import SUMS
from advisor.sums.working import Outcome, WrongValuesError, work

__all__ = ["SUMS", "Answer", "Outcome", "WrongValuesError", "asked", "work"]
