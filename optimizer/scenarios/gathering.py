"""Which files of a portfolio are sites, and what each is called."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from optimizer.errors import InputError, Trouble, quoted
from optimizer.reading import read_source

ENDINGS = (".yaml", ".yml", ".json")
PLAIN_NAME = "site"
"""A file called so goes by the name of its folder."""


@dataclass(frozen=True)
class Gathered:
    """Site files, by what they are called, and files of the folders that are something else."""

    sites: dict[str, Path]
    passed_over: tuple[Path, ...]


def gather(paths: Sequence[str | Path]) -> Gathered:
    """Site files named one by one, and those that lie in the folders named.

    In a folder, files that end in .yaml, .yml or .json count as sites where they say so
    (``leastkit: site/1``); folders in it are not looked into.

    Raises
    ------
    InputError
        If a file of a folder cannot be read, a folder holds no site, two sites would be called
        the same, or a name cannot be used.
    """
    sites: dict[str, Path] = {}
    others: list[Path] = []
    troubles: list[Trouble] = []
    for one in map(Path, paths):
        files, rest = _in_folder(one) if one.is_dir() else ([one], [])
        others += rest
        if not files:
            troubles.append(
                Trouble(
                    "there is no site in this folder",
                    file=str(one),
                    accepted="files with a line 'leastkit: site/1'",
                    hint="name the folder of the site files, or the files themselves",
                )
            )
        for file in files:
            name = called(file)
            troubles += _misnamed(file, name, sites)
            sites.setdefault(name, file)
    if troubles:
        raise InputError(*troubles)
    return Gathered(sites, tuple(others))


def called(file: Path) -> str:
    """What a site is called: its file without the ending; its folder, where that is "site"."""
    return file.resolve().parent.name if file.stem == PLAIN_NAME else file.stem


def _in_folder(folder: Path) -> tuple[list[Path], list[Path]]:
    files = [p for p in sorted(folder.iterdir()) if p.suffix.lower() in ENDINGS and p.is_file()]
    sites = [p for p in files if _is_site(read_source(p, "site").data)]
    return sites, [p for p in files if p not in sites]


def _is_site(data: Any) -> bool:
    kind = data.get("leastkit") if isinstance(data, dict) else None
    return isinstance(kind, str) and kind.startswith("site/")


def _misnamed(file: Path, name: str, sites: dict[str, Path]) -> Iterator[Trouble]:
    if name in sites and sites[name].resolve() == file.resolve():
        yield Trouble(
            "the site is named twice",
            file=str(file),
            accepted="each site once",
            hint="name the folder or the file, not both",
        )
    elif name in sites:
        yield Trouble(
            f"two sites would be called {quoted(name)}; the other is {sites[name]}",
            file=str(file),
            accepted="files of different names; one called site goes by the name of its folder",
            hint="rename one of the two",
        )
    if "@" in name or not name.isprintable() or name.startswith("."):
        yield Trouble(
            "answers are kept under the name of the site, and this one cannot be used",
            file=str(file),
            value=name,
            accepted="a name without '@', not beginning with '.'",
            hint="rename the file",
        )


__all__ = ["Gathered", "called", "gather"]
