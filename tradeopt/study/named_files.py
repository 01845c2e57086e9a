"""The files that a study names: given with it, or beside it in its folder."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tradeopt.errors import StudyError
from tradeopt.study.fields import spoken
from tradeopt.study.forms import Form
from tradeopt.study.layout import value_at
from tradeopt.study.reading import Reading
from tradeopt.study.text import load_text


@dataclass(frozen=True)
class NamedFiles:
    """Where the contents of named files come from.

    Attributes
    ----------
    reading : Reading
        The study; what is wrong with a name is reported there.
    given : mapping of str to str
        Contents that came with the study, by name.
    folder : Path or None
        Where to look for others.
    used : dict
        Contents that the study does name.
    """

    reading: Reading
    given: Mapping[str, str]
    folder: Path | None
    used: dict[str, str] = field(default_factory=dict)

    def content(self, path: str, form: Form) -> str | None:
        """Return the text of the file named at a path, or None where there is none."""
        name = value_at(self.reading.document.data, path)
        if not isinstance(name, str) or not name:
            return None  # the model reports the name itself
        content = self.used.get(name) or self._found(tuple(path.split(".")), name, form)
        if content is not None:
            self.used[name] = content
        return content

    def _found(self, at: tuple[str, ...], name: str, form: Form) -> str | None:
        if name in self.given and len(self.given[name]) <= form.largest:
            return self.given[name]
        if name in self.given:
            got = f"{spoken(name)} of {len(self.given[name])} characters"
            self.reading.report(at, got, f"{form.want} of at most {form.largest}")
        elif self.folder is None:
            want = f"a file that was given: {', '.join(self.given) or 'none was'}"
            self.reading.report_word(at, name, self.given, want=want)
        elif Path(name).name != name:
            self.reading.report(at, spoken(name), form.name_form)
        else:
            return self._loaded(at, self.folder / name, form)
        return None

    def _loaded(self, at: tuple[str, ...], path: Path, form: Form) -> str | None:
        try:
            return load_text(path, largest=form.largest, want=form.want)
        except StudyError as error:
            for problem in error.problems:
                self.reading.report(at, f"{spoken(path.name)}: {problem.got}", problem.want)
            return None
