"""People: whether those who will sit in it fit between its sides.

fit_people   needed and given widths at shoulders and elbows   fitting.py
The width between the inner faces is found in inner_width.py.
"""

from buckwright.people.fitting import fit_people

__all__ = ["fit_people"]
