"""The photos in a yard's folder: each under the SHA-256 of its bytes, written once, never changed."""

import os
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from uuid import uuid4

from yardwright.web.pictures import Picture

PHOTOS = "photos"
SMALL = "-small"
OWNER_ONLY, OWNERS_FOLDER = 0o600, 0o700


def path_of(home: Path, sha: str, *, small: bool = False) -> Path:
    return home / PHOTOS / sha[:2] / f"{sha}{SMALL if small else ''}.jpg"


def name_of(picture: Picture) -> str:
    return sha256(picture.jpeg).hexdigest()


def put(home: Path, picture: Picture) -> str:
    """On the disk for good, when this returns; its SHA-256 names it."""
    sha = name_of(picture)
    _write(path_of(home, sha, small=True), picture.small)
    _write(path_of(home, sha), picture.jpeg)
    return sha


def copy_missing(source: Path, target: Path) -> tuple[int, list[Path]]:
    """Copy the photos of one folder that another lacks.

    Returns
    -------
    int
        How many were copied.
    list of Path
        Those in the source that are damaged; they are left.
    """
    copied, damaged = 0, []
    for photo in _photos(source):
        there = target / PHOTOS / photo.parent.name / photo.name
        if there.exists():
            continue
        content = photo.read_bytes()
        if SMALL not in photo.stem and sha256(content).hexdigest() != photo.stem:
            damaged.append(photo)
            continue
        _write(there, content)
        copied += SMALL not in photo.stem
    return copied, damaged


def _photos(home: Path) -> Iterator[Path]:
    yield from sorted((home / PHOTOS).glob("??/*.jpg"))


def _write(path: Path, content: bytes) -> None:
    """All of it or nothing, also when the power fails."""
    if path.exists() and path.stat().st_size == len(content):
        return
    for folder in (path.parents[1], path.parent):
        folder.mkdir(mode=OWNERS_FOLDER, parents=True, exist_ok=True)
    beside = path.with_name(f"{uuid4().hex}.new")
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY), "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    beside.replace(path)
    for folder in (path.parent, path.parents[1], path.parents[2]):
        _settle(folder)


def _settle(folder: Path) -> None:
    """A new name in a folder is on the disk too."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
