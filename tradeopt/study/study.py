"""A study that has been read: what it asks, and everything needed to answer it."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.model import Search


@dataclass(frozen=True)
class Study:
    """One study file with all that it refers to.

    Attributes
    ----------
    name : str
        Short name.
    note : str or None
        A word to the reader.
    text : str
        The file as it was read.
    files : mapping of str to str
        Content of the files it names, strides and tables of parts, by the name it gives them.
    search : Search
        How long and how to search.
    problem : CompiledStudy
        The chain, ready to run.
    """

    name: str
    note: str | None
    text: str
    files: Mapping[str, str]
    search: Search
    problem: CompiledStudy

    @cached_property
    def digest(self) -> str:
        """Hash of the file and of all it names: the same question has the same digest."""
        content = json.dumps([self.text, sorted(self.files.items())], ensure_ascii=True)
        return hashlib.sha256(content.encode("ascii")).hexdigest()
