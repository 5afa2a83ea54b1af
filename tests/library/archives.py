"""Archives of kept days, taken apart and put together otherwise: as by a bad line, a careless hand, or a clever one."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from telemetry.library.archive import ORDINARY
from telemetry.library.manifest import NAME

RECORD = "days/"


def entries(file: Path) -> dict[str, bytes]:
    """Return what an archive holds."""
    with zipfile.ZipFile(file) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def plain_entry(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    info.external_attr, info.compress_type = ORDINARY, zipfile.ZIP_DEFLATED
    return info


def written(file: Path, held: Mapping[str, bytes] | list[tuple[str | zipfile.ZipInfo, bytes]]) -> Path:
    """Write entries into an archive as they are given."""
    with zipfile.ZipFile(file, "w") as archive:
        for name, data in held.items() if isinstance(held, Mapping) else held:
            archive.writestr(plain_entry(name) if isinstance(name, str) else name, data)
    return file


def as_json(tables: Any) -> bytes:
    return json.dumps(tables, ensure_ascii=False).encode("utf-8", "surrogatepass")


def sealed(tables: dict[str, Any]) -> bytes:
    """Return a manifest with its own SHA-256, as whoever makes an archive can work it out."""
    plain = {key: value for key, value in tables.items() if key != "sha256"}
    return as_json(plain | {"sha256": hashlib.sha256(as_json(plain)).hexdigest()})


def listed(held: dict[str, bytes], change: Callable[[dict[str, Any]], None] | None = None) -> dict[str, bytes]:
    """Return entries with a manifest that fits them: a clever hand's."""
    manifest = json.loads(held[NAME])
    manifest["files"] = [
        {"path": path, "size": len(data), "sha256": hashlib.sha256(data).hexdigest()}
        for path, data in sorted(held.items())
        if path != NAME
    ]
    if change is not None:
        change(manifest)
    return {NAME: sealed(manifest)} | {path: data for path, data in held.items() if path != NAME}


def content_of(record: dict[str, Any]) -> str:
    """Return what tells a record's originals from any others, as docs/library.md says."""
    originals = [file for file in record["files"] if file["kind"] == "original"]
    lines = sorted(f"{file['sha256']} {file['path']}\n" for file in originals)
    return hashlib.sha256("".join(lines).encode("utf-8", "surrogateescape")).hexdigest()


def of_record(held: dict[str, bytes], change: Callable[[dict[str, Any]], None]) -> dict[str, bytes]:
    """Return entries whose record says something else, with a manifest that fits it.

    Where other files are named, it says too that names were removed from it: that explains another id.
    """
    (path,) = [path for path in held if path.startswith(RECORD)]
    record = json.loads(held[path])
    before = content_of(record)
    change(record)
    content = content_of(record)
    if content != before:
        record["removed_on"] = "2026-06-01"
    changed = held | {path: as_json(record)}
    return listed(changed, lambda manifest: manifest["days"][0].update(content=content))


def packed_table(table: Any, **how: Any) -> bytes:
    """Return a table as Parquet."""
    from pyarrow import parquet

    out = io.BytesIO()
    parquet.write_table(table, out, **how)
    return out.getvalue()
