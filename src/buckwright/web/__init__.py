"""The page: a local server, and in `ui/` the TypeScript that a browser runs.

serving    opening a job in the browser
app        the addresses and what serves them; guard: who may ask at all
answers    what each address answers; edits: what may be changed on the page
loft       lines in the hand: one is given to the page, and what it pulled is answered at once
room       what requests share: desk (the job as read last), workshop (long work), packet
work       long work in a process of its own, with progress and a stop
sheets/    the sheets: one sentence, tables, and numbers for pictures
frames     numbers in binary; words: sentences with figures that follow the reader's units
contracts  what a store and a long work must offer
"""

from buckwright.web.app import make_app
from buckwright.web.serving import serve

__all__ = ["make_app", "serve"]
