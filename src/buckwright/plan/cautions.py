"""What a sheet must say before someone starts: the danger, and the standard that covers it.

Titles and numbers of the standards are from memory except 29 CFR 1910.252 (read in part).
Editions change and local codes go first, so every caution says so.
"""

__all__ = ["CAUTIONS", "LOCAL_CODES"]

LOCAL_CODES = "Current edition of each; your local codes go first."

_EYES = "Safety glasses (ANSI/ISEA Z87.1)."
_EDGES = "Sheet edges cut: gloves (29 CFR 1910.138), but none at rotating machines."
_NOISE = "Hammering passes 85 dBA: ear defenders (29 CFR 1910.95)."
_WELDING = (
    "Welding: ANSI Z49.1 and 29 CFR 1910.252; filter shade for the process; fresh air; strip "
    "zinc and never weld cadmium plate; no chlorinated cleaner near the arc. Fire: NFPA 51B, clear "
    "35 ft (11 m) and keep a fire watch for 60 minutes."
)
_ENDS = "Rod ends are sharp at eye height: cap them at once."

CAUTIONS = {
    "bend wire": f"{_EYES} {_ENDS} {LOCAL_CODES}",
    "build frame": f"{_WELDING} {_EYES} Two people lift the frame. {LOCAL_CODES}",
    "tack": f"{_WELDING} {_EYES} {_ENDS} {LOCAL_CODES}",
    "cut gauge": f"{_EYES} {_EDGES} {LOCAL_CODES}",
    "cut blank": f"{_EYES} {_EDGES} Guards on shears (29 CFR 1910.212). {LOCAL_CODES}",
    "form panel": f"{_NOISE} {_EYES} {_EDGES} Guards on power hammer and rolls "
    f"(29 CFR 1910.212, .219). {LOCAL_CODES}",
    "weld seam": f"{_WELDING} {_EYES} {_EDGES} {LOCAL_CODES}",
    "check panel": f"{_EDGES} {LOCAL_CODES}",
}
"""By kind of task, named as in the work rates."""
