"""The checking step: what was built, held against the skin.

check      `check_survey`, the whole step
seating    turns and shifts the points on to the skin, so that dents do not pull them
starts     where to begin: how a heap of points may lie on the region
spots      connected high and low spots, their place and size
skin_doubt how sure the skin is itself, beside its lines and between
words      the same as one would say it at the bench
doubts     findings, and surveys that cannot be seated
"""

from buckwright.checking.check import check_survey

__all__ = ["check_survey"]
