"""The example's scripts import one another by plain names, as when they are run."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2] / "examples" / "wren"))
