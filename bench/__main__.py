"""`python -m bench [NAME ...]`: every figure beside that of a peer on the same input, as ratios.

Each module of this folder has a `main()` that prints its table. Machines are noisy: read the
ratios, and compare only what stands in one run. Options are for the module that knows them.
"""

import importlib
import pkgutil
import sys
from itertools import takewhile
from pathlib import Path


def main(names: list[str]) -> None:
    here = Path(__file__).parent
    found = sorted(m.name for m in pkgutil.iter_modules([str(here)]) if m.name != "__main__")
    unknown = sorted(set(names) - set(found))
    if unknown:
        sys.exit(f"There is no bench {', '.join(unknown)}: choose from {', '.join(found)}.")
    for name in names or found:
        module = importlib.import_module(f"bench.{name}")
        title = (module.__doc__ or name).strip().splitlines()[0]
        print(f"\n## {name}: {title}\n", flush=True)
        module.main()


if __name__ == "__main__":
    main(list(takewhile(lambda word: not word.startswith("-"), sys.argv[1:])))
