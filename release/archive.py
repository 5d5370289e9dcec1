"""Puts together what one system's users download: release/archive.py TARGET OWN DOWNLOAD.

TARGET is the target that was built, OWN the folder of what the program says of itself, DOWNLOAD where the archive goes.
The same commit gives the same bytes: every file carries the time of SOURCE_DATE_EPOCH and nobody's name.
"""

import gzip
import io
import os
import pathlib
import sys
import tarfile
import time
import tomllib
import zipfile


def files(target, own):
    """The archive's files: name, bytes, whether it can be started."""
    binary = "packstring.exe" if "windows" in target else "packstring"
    yield binary, pathlib.Path("target", target, "dist", binary).read_bytes(), True
    for name in ["LICENSE-APACHE", "LICENSE-MIT", "CHANGELOG.md"]:
        yield name, pathlib.Path(name).read_bytes(), False
    yield "INSTALL.md", pathlib.Path("docs/install.md").read_bytes(), False
    for path in sorted(pathlib.Path(own).rglob("*")):
        if path.is_file():
            yield path.relative_to(own).as_posix(), path.read_bytes(), False
    ending = ".bat" if "windows" in target else ".command" if "apple" in target else ""
    for path in sorted(pathlib.Path("src/session/begin/starters").iterdir()):
        if path.suffix == ending or not ending and path.suffix != ".bat":
            yield f"starters/{path.name}", path.read_bytes(), True


def tar(packed, when):
    """The bytes of a .tar.gz."""
    inner = io.BytesIO()
    with tarfile.open(fileobj=inner, mode="w", format=tarfile.PAX_FORMAT) as archive:
        for name, data, runs in packed:
            entry = tarfile.TarInfo(f"packstring/{name}")
            entry.size, entry.mtime, entry.mode = len(data), when, 0o755 if runs else 0o644
            archive.addfile(entry, io.BytesIO(data))
    return gzip.compress(inner.getvalue(), 9, mtime=when)


def zipped(packed, when):
    """The bytes of a .zip."""
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, data, runs in packed:
            entry = zipfile.ZipInfo(f"packstring/{name}", time.gmtime(when)[:6])
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.create_system, entry.external_attr = 3, (0o755 if runs else 0o644) << 16
            archive.writestr(entry, data)
    return inner.getvalue()


def main(target, own, download):
    when = int(os.environ["SOURCE_DATE_EPOCH"])
    version = tomllib.loads(pathlib.Path("Cargo.toml").read_text())["package"]["version"]
    packed = list(files(target, own))
    ending, data = (".zip", zipped(packed, when)) if "windows" in target else (".tar.gz", tar(packed, when))
    pathlib.Path(download, f"packstring-{version}-{target}{ending}").write_bytes(data)


main(*sys.argv[1:])
