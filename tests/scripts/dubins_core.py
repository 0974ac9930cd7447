"""The C core of the PyPI package `dubins`, loaded with ctypes.

The package's own extension was generated for interpreters before 3.11 and does not compile on
later ones; its core is plain C and does. The source archive is fetched by pip, checked against
its hash, and compiled with `cc`.
"""

import ctypes
import hashlib
import pathlib
import subprocess
import sys
import tarfile
import tempfile

VERSION = "1.0.1"
SHA256 = "2b761b8f9f6d4270867377c18b93d74c63ed4650c98dca485ed81323861f4934"


def load():
    folder = pathlib.Path(tempfile.mkdtemp(prefix="dubins-"))
    subprocess.run(
        [sys.executable, "-m", "pip", "download", "-q", "--no-binary", ":all:", "--no-deps", f"dubins=={VERSION}", "-d", folder],
        check=True,
    )
    archive = folder / f"dubins-{VERSION}.tar.gz"
    found = hashlib.sha256(archive.read_bytes()).hexdigest()
    if found != SHA256:
        raise SystemExit(f"dubins {VERSION}: the archive's hash is {found}")
    with tarfile.open(archive) as t:
        t.extractall(folder, filter="data")
    src = folder / f"dubins-{VERSION}" / "dubins"
    lib = folder / "libdubins.so"
    subprocess.run(["cc", "-O2", "-shared", "-fPIC", f"-I{src / 'include'}", src / "src" / "dubins.c", "-lm", "-o", lib], check=True)
    return ctypes.CDLL(str(lib))


class _Path(ctypes.Structure):
    _fields_ = [("qi", ctypes.c_double * 3), ("param", ctypes.c_double * 3), ("rho", ctypes.c_double), ("type", ctypes.c_int)]


def shortest_length(lib, start, end, radius):
    """Length of the shortest forward path between two (x, y, heading) poses."""
    lib.dubins_path_length.restype = ctypes.c_double
    path = _Path()
    three = ctypes.c_double * 3
    error = lib.dubins_shortest_path(ctypes.byref(path), three(*start), three(*end), ctypes.c_double(radius))
    if error:
        raise ValueError(f"dubins: error {error}")
    return lib.dubins_path_length(ctypes.byref(path))
